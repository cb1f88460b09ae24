"""Figures, reports and data files of ``analysis.one_build.wear``.

Comes in: `WornIn`.
Leaves: axes, text, documents.
Must not know: how anything is computed.
Read first: ``report``.
"""
