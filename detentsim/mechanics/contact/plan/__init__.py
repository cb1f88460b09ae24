"""Ball and tang in plan: the edges of the tang, and the arc that the ball rides over it.

Comes in: edges, the pivot, the ball, widths of chamfers; SI.
Leaves: distances, stretches off the flat, the drop and the climb back; SI.
Must not know: pint, files, drawing.
Read first: ``plane``, then ``riding``.
"""
