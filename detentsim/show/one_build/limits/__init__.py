"""Figures and reports of ``analysis.limits``.

Comes in: `Limits`.
Leaves: axes, text, documents.
Must not know: computing; it draws and words what the analysis gives.
Read first: ``report`` and ``bar``.
"""
