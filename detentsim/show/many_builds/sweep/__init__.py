"""Figures and reports of ``analysis.many_builds.sweep``.

Comes in: a `Sweep`.
Leaves: axes, text, documents.
Must not know: how anything is computed.
Read first: ``report``, then ``scales`` and ``maps``.
"""
