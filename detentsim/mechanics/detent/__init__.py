"""The detent at rest, in opening and in closing: force balance, breakout, draw, work.

Comes in: a solved design and the segments of its path.
Leaves: torques, forces and angles of the static results.
Must not know: motion in time.
Read first: ``balance`` (`torque`), then ``rest`` and ``opening``.
"""
