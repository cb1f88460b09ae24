"""Figures and reports of ``analysis.one_build.limits``.

Comes in: `Limits`.
Leaves: axes, text, documents.
Must not know: how anything is computed.
Read first: ``report`` and ``bar``.
"""
