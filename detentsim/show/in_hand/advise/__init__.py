"""Figures and reports of ``analysis.advise``.

Comes in: `Advice` and symptoms.
Leaves: axes, text, documents.
Must not know: computing; it draws and words what the analysis gives.
Read first: ``report`` and ``map``.
"""
