"""Figures and reports of ``analysis.in_hand.compare``.

Comes in: a `Comparison`.
Leaves: axes, text, documents.
Must not know: how anything is computed.
Read first: ``report``, ``data_files`` and ``overlays``.
"""
