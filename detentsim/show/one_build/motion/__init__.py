"""Figures and reports of ``analysis.one_build.motion``.

Comes in: `Motion`.
Leaves: axes, text, documents.
Must not know: how anything is computed.
Read first: ``report`` and ``strip``.
"""
