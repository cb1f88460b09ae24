"""Figures and reports of ``analysis.curve``.

Comes in: a `Curve`.
Leaves: axes, text, documents.
Must not know: computing; it draws and words what the analysis gives.
Read first: ``report`` and ``lines``.
"""
