"""Figures and reports of ``analysis.many_builds.design``.

Comes in: `Designs`.
Leaves: axes, text, documents.
Must not know: how anything is computed.
Read first: ``report``.
"""
