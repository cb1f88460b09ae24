"""Figures, reports and data files for the knife on the bench: comparison, fit, advice, sheet, report page.

Comes in: ``Comparison``, ``Fit``, ``Advice``, ``Sheet``, ``Report``.
Leaves: axes, figures, text, rows of tables, the HTML page.
Must not know: the kernel, the command line.
Read first: ``compare/report``.
"""
