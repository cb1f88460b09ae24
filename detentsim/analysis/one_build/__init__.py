"""One build: its feel, limits, motion, layout and wear-in, and the verdict over them.

Comes in: a ``Build``.
Leaves: ``Curve``, ``Limits``, ``Motion``, ``Layout``, ``WornIn`` with units; a ``Summary``, worst check first.
Must not know: other builds to compare with, files, figures.
Read first: ``curve/curve``, then ``summary``.
"""
