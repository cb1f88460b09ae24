"""Figures and reports of ``analysis.motion``.

Comes in: `Motion`.
Leaves: axes, text, documents.
Must not know: computing; it draws and words what the analysis gives.
Read first: ``report`` and ``strip``.
"""
