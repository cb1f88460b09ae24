"""Figures and reports of ``analysis.sweep``.

Comes in: a `Sweep`.
Leaves: axes, text, documents.
Must not know: computing; it draws and words what the analysis gives.
Read first: ``report``, then ``scales`` and ``maps``.
"""
