"""A ball that is still in its dimple at lock-up, seen only between the ends of the path's segments."""

import numpy as np
import pytest
from helpers.garden import GARDEN_TEXT

import detentsim as ds

HUMP = {
    "dimple.rim_feed": "0.0042 mm",
    "dimple.edge_radius": "0.0532 mm",
    "bar.relief_thickness": "1.4331 mm",
    "bar.bend": "1.8594 mm",
    "tang.face_gap": "0.2062 mm",
    "tang.pivot_to_ball": "4.3987 mm",
    "friction.ball_on_tang_static": 0.5392,
}
"""Close to locking on the rounded edge alone, where the blade angle of the slipping ball rises to many turns."""


def solved(opens_to):
    return ds.curve(ds.Build.loads(GARDEN_TEXT).change(HUMP | {"blade.open_angle": opens_to}))


@pytest.mark.parametrize("opens_to", ["113 deg", "180 deg"])
def test_a_hump_of_the_blade_angle_beyond_lock_up_leaves_no_breakout(opens_to):
    """The curve's rows reach lock-up with the ball slipping in its dimple, and the torque rising: it never lets go."""
    curve = solved(opens_to)
    assert np.all(np.diff(curve.columns[1][curve.columns[0] > 0]) > 0)
    assert "never_lets_go" in curve.flags
    for name in ("breakout_force", "breakout_torque", "let_go_angle", "breakout_energy"):
        assert curve.results[name] is None
    assert curve.in_words("breakout_force") == "none: the ball is still in its dimple at lock-up"
