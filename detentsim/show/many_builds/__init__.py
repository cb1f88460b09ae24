"""Figures, reports and data files of many builds: lines and maps of a sweep, proposals of a design.

Comes in: ``Sweep``, ``Design``.
Leaves: axes, figures, text, rows of tables.
Must not know: the kernel, the command line.
Read first: ``sweep/report``.
"""
