"""How far the ball presses back and wears away a drilled edge.

Comes in: an edge as cut, its hardness, loads of the ball on it; SI.
Leaves: pressures that the edge bears, how far it goes back, and its radius as it wears; SI.
Must not know: pint, files, drawing; the ball's path.
Read first: ``recession`` (on ``loaded_arc``, the ball's line load), then ``strength`` for what stops it and ``wearing``
for what comes after.
"""
