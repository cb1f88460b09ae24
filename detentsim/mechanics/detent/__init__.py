"""The detent at rest, opening and closing: force balance, breakout, draw, work.

Comes in: a solved design and its path.
Leaves: torques, forces and angles of the static results.
Must not know: motion in time.
Read first: ``balance`` (`torque`), then ``rest`` and ``opening``.
"""
