"""Figures, reports and data files of one build: feel curve, limits, motion, layout and wear-in.

Comes in: ``Curve``, ``Limits``, ``Motion``, ``Layout``, ``WornIn``.
Leaves: axes, figures, text, rows of tables.
Must not know: the kernel, the command line.
Read first: ``feel_curve/report``.
"""
