"""A fit to readings as report, figure, JSON and CSV, and the readings file to fill in.

Comes in: a `Fit`; a `Build` for the file to fill in.
Leaves: text, documents, a figure.
Must not know: how a fit is found.
Read first: ``report``.
"""
