"""Figures and reports of ``analysis.explore``.

Comes in: a `Session`.
Leaves: axes, text, documents.
Must not know: computing; it draws and words what the analysis gives.
Read first: ``report``, then ``window`` and ``notebook``.
"""
