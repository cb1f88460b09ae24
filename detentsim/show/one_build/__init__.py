"""Figures, reports and data files of one build: its feel curve, limits and motion.

Comes in: ``Curve``, ``Limits``, ``Motion``.
Leaves: axes, figures, text, rows of tables.
Must not know: the kernel, the command line.
Read first: ``feel_curve/report``.
"""
