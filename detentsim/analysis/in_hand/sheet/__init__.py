"""What goes to the bench on one page: drilling, pressing, bending, what to read and what to do when it is off.

Comes in: a build.
Leaves: `Sheet`.
Must not know: figures, paper.
Read first: ``sheet``, then ``setting``.
"""
