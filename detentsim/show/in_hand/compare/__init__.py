"""Figures and reports of ``analysis.compare``.

Comes in: a `Comparison`.
Leaves: axes, text, documents.
Must not know: computing; it draws and words what the analysis gives.
Read first: ``report``, ``data_files`` and ``overlays``.
"""
