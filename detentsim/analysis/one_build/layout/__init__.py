"""The ball's path on the tang: clearances, where it drops off, better places for the ball, over-close as it is set.

Comes in: a build with a section ``[layout]``.
Leaves: `Layout`, and its faults for the verdict on the build.
Must not know: other questions; figures.
Read first: ``layout``, then ``clearances``.
"""
