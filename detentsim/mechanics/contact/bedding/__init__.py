"""How the ball beds in an elastic rim along its path.

Comes in: contacts on a rigid rim at ball angles of segments, friction, numbers of the segments; SI.
Leaves: contacts on the rim as it gives, and their slopes; SI.
Must not know: pint, files, drawing; how the path is cut and searched.
Read first: ``pressing``, then ``leaning``, ``wedging`` for a ball that climbs late, ``sharing`` for two edges at once.
"""
