"""Figures and reports of ``analysis.one_build.curve``.

Comes in: a `Curve`.
Leaves: axes, text, documents.
Must not know: how anything is computed.
Read first: ``report`` and ``lines``.
"""
