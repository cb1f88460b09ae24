"""What a fit to readings says: report, figure, document, table, and the readings file to fill in.

Comes in: a `Fit`; a `Build` for the file to fill in.
Leaves: text, a JSON document, a figure.
Must not know: how a fit is found.
Read first: ``report``.
"""
