"""Falling shut by hand, for tests of the curve's numbers."""

from helpers.curves import DEEP, RIGID

INCH = 25.4


BALL = INCH / 32  # radius of the 1/16 in ball [mm]


NO_RIM = {"dimple.rim_drill": "none", "dimple.rim_feed": None}


KINDS = {
    "as it is": {},
    "rigid": RIGID,
    "snaps": DEEP,
    "rigid and deep": RIGID | DEEP,
    "no rim drill": NO_RIM,
    "square on": {"dimple.overclose": "0 mm"},
    "proud": {"dimple.overclose": "-0.05 mm"},
    "radial error": {"dimple.radial_error": "0.05 mm"},
    "washers": {"pivot.kind": "washers", "pivot.washer_outer": "12 mm", "pivot.washer_inner": "5 mm"},
}
