"""What one build feels like, bears and does: its curve, its limits, its motion, and the verdict over them.

Comes in: a ``Build``.
Leaves: ``Curve``, ``Limits``, ``Motion`` with units, and a ``Summary`` that says the worst of them first.
Must not know: other builds to compare with, files, figures.
Read first: ``curve/curve``, then ``summary``.
"""
