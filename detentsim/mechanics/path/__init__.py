"""The path of the ball through its dimple, for many designs in one list.

Comes in: a solved design (bar stiffness and dimple geometry).
Leaves: segments of ball angle, stable branches, torque at blade angles.
Must not know: results by name.
Read first: ``segments``, then ``stable`` and ``at_blade_angle``.

Names that stand for one thing in all files: ``ways`` are `Segments` (m of them, of n designs), ``at`` their
`Columns`, a ``part`` or ``some`` of them a choice of rows; a ``way`` is a `Path`, segments with what is felt at their
ends. ``phi`` is a ball angle, ``theta`` a blade angle, ``turn`` the function from one to the other. ``touch`` is a
`Contact`, ``rise`` its slopes over the ball angle. A `Rule` gives a quantity at ball angles, a `Climb` with its
slope. ``opening`` true or false is the sense of motion, by which friction turns.
"""
