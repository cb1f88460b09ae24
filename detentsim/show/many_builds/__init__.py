"""Figures, reports and data files of many builds: sweeps, batches and proposed designs.

Comes in: ``Sweep``, ``Findings`` of a batch, ``Designs``.
Leaves: axes, figures, text, rows of tables.
Must not know: the kernel, the command line.
Read first: ``sweep/report``.
"""
