"""Figures and reports of ``analysis.design``.

Comes in: `Designs`.
Leaves: axes, text, documents.
Must not know: computing; it draws and words what the analysis gives.
Read first: ``report``.
"""
