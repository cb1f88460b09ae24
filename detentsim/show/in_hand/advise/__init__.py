"""Figures and reports of ``analysis.in_hand.advise``.

Comes in: `Advice` and symptoms.
Leaves: axes, text, documents.
Must not know: how anything is computed.
Read first: ``report`` and ``map``.
"""
