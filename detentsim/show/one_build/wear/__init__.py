"""Figures, report and data files of ``analysis.one_build.wear``.

Comes in: `WornIn`.
Leaves: axes, text, documents.
Must not know: computing; it draws and words what the analysis gives.
Read first: ``report``.
"""
