"""A ball still in its dimple at lock-up, or a push whose lever ends before let-go: no breakout, named everywhere."""

import numpy as np
import pytest
from helpers.garden import garden

import detentsim as ds
from detentsim.show.one_build.feel_curve.report import report
from detentsim.show.one_build.motion.words import opening_words

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
    return ds.curve(garden().change(HUMP | {"blade.open_angle": opens_to}))


@pytest.mark.parametrize("opens_to", ["113 deg", "180 deg"])
def test_a_hump_of_the_blade_angle_beyond_lock_up_leaves_no_breakout(opens_to):
    """The curve's rows reach lock-up with the ball slipping in its dimple, and the torque rising: it never lets go."""
    curve = solved(opens_to)
    assert np.all(np.diff(curve.columns[1][curve.columns[0] > 0]) > 0)
    assert "never_lets_go" in curve.flags
    for name in ("breakout_force", "breakout_torque", "let_go_angle", "breakout_energy"):
        assert curve.results[name] is None
    assert curve.in_words("breakout_force") == "none: the ball is still in its dimple at lock-up"


def test_a_lever_that_ends_before_let_go_is_named_by_curve_rows_motion_and_sweep_alike():
    """The bar gives sideways for 171 deg before its ball slips; the push has no lever from 107 deg on."""
    build = garden().change({"bar.lateral_stiffness": "1 N/mm"})
    curve = ds.curve(build)
    assert "lacks_lever" in curve.flags
    assert np.isnan(curve.columns[3][curve.columns[0] <= curve.results["let_go_angle"]]).any()
    assert curve.results["breakout_force"] is None
    assert curve.results["breakout_torque"] > 0
    assert curve.in_words("breakout_force").startswith("none: the opener has almost no lever")
    assert not curve.summary.sound
    assert curve.results["drag_force"] is None  # at 90 deg the ball still sticks
    assert "still in its dimple" in curve.why("drag_force")
    motion = ds.motion(build)
    assert motion.results["opens_fully"] is None
    assert "almost no lever" in " ".join(opening_words(motion))
    sweep = ds.sweep(build, {"bar.bend": ["1.5 mm", "1.6 mm"]}, "breakout_force")
    assert sweep.flags["lacks_lever"].all()
    assert np.isnan(sweep.results["breakout_force"]).all()


def test_a_bar_that_lies_on_the_tang_gives_one_depth_of_the_ball_in_figure_report_and_limits():
    build = garden().change(
        {"ball.protrusion": "0.45 mm", "bar.bend": "3 mm", "dimple.rim_feed": "0.12 mm", "dimple.overclose": "0 mm"}
    )
    curve, limits = ds.curve(build), ds.limits(build)
    assert "bar_on_tang" in curve.flags
    assert curve.results["seat_depth"] == pytest.approx(0.5367, abs=1e-4)  # of a ball laid in
    assert curve.picture.depth == pytest.approx(0.45, rel=1e-12)
    assert "when laid in; the bar's face on the tang holds it at 0.450 mm" in " ".join(report(curve, full=True).split())
    flat = build.si("tang.face_gap") * 1e3 - 0.45
    places = {place.name: place.offset for place in limits.service.places}
    assert places["seated"] == pytest.approx(flat + 0.45, rel=1e-9)
    assert "rests" not in places
    # The bench's pull unloads the face: the stiffness times what is left of the bend, over the ratio of the lever arms.
    assert curve.results["lift_force_closed"] > 0.5 * curve.results["lift_force_open"]
