"""The section ``[layout]`` of a build: the tang in plan, and the ball's place on the bar, in SI.

Comes in: the section's data, or a drawing file that it names.
Leaves: edges of the tang, the ball's place, and the three sizes of the build that follow from it.
Must not know: forces, results, figures.
Read first: ``section``, then ``outlines``.
"""
