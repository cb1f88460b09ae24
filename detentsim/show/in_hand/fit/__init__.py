"""What a fit to readings says: report, document, and the readings file to fill in.

Comes in: a `Fit`; a `Build` for the file to fill in.
Leaves: text and a JSON document.
Must not know: how a fit is found.
Read first: ``report``.
"""
