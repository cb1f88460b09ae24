"""The sheet for the bench: drilling, pressing, bending, what to read, and what to do when a reading is off.

Comes in: a build.
Leaves: `Sheet`.
Must not know: figures, paper.
Read first: ``sheet``, then ``setting``.
"""
