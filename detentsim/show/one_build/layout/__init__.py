"""The layout of the ball's path: report, JSON, table of places, and the figure of tang and map.

Comes in: a finished `Layout`.
Leaves: text, documents, axes.
Must not know: how anything is computed.
Read first: ``report``, then ``plan``.
"""
