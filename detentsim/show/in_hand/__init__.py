"""Figures, reports and data files for the knife in the hand: comparisons and advice.

Comes in: ``Comparison``, ``Advice``.
Leaves: axes, figures, text, rows of tables.
Must not know: the kernel, the command line.
Read first: ``advise/report``.
"""
