"""The explorer in a window and in a notebook; figures and reports of ``analysis.explore``.

Comes in: a `Session`.
Leaves: axes, text, documents.
Must not know: how anything is computed.
Read first: ``report``, then ``window`` and ``notebook``.
"""
