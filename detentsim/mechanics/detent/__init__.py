"""The detent at rest, in opening and in closing: force balance, breakout, draw, work, limits.

Comes in: a solved design and the segments of its path.
Leaves: torques, forces and angles of the static results; stresses, pressures and travels at their limits.
Must not know: motion in time.
Read first: ``balance`` (`torque`), then ``rest`` and ``opening``.

Names that stand for one thing in all files: ``solved`` or ``load`` is a `SolvedDetent`, ``bar`` its `Spring`; ``one``
is the `OpeningPath` of n designs. The other names are those of ``path``.
"""
