"""The path of the ball through its dimple, for many designs in one list.

Comes in: a solved design (bar stiffness and dimple geometry).
Leaves: segments of ball angle, stable branches, torque at blade angles.
Must not know: results by name.
Read first: ``segments``, then ``stable`` and ``at_blade_angle``.
"""
