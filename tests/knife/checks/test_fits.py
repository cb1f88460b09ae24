"""Cross-field checks: what must fit together, and odd builds that can be computed."""

import math

import pytest
from helpers.build_texts import refused
from helpers.garden import garden

from detentsim.units.quantities import quantity

# -- what must fit together ----------------------------------------------------------------------


@pytest.mark.parametrize(
    ("changes", "key", "says"),
    [
        ({"bar.relief_thickness": "3.1 mm"}, "bar.relief_thickness", "thicker than the bar"),
        ({"bar.relief_thickness": None}, "bar.relief_thickness", "is missing"),
        ({"bar.relief_length": None}, "bar.relief_length", "is missing"),
        ({"bar.relief_length": "44 mm"}, "bar.relief_length", "reaches the ball"),
        ({"bar.ball_from_root": "51 mm"}, "bar.ball_from_root", "beyond the tip"),
        ({"bar.bend_at": "45 mm"}, "bar.bend_at", "between root and ball"),
        ({"grip.from_root": "60 mm"}, "grip.from_root", "beyond the tip"),
        ({"bar.measured.pull": "3 N"}, "bar.measured.at", "measured = { pull"),
        ({"bar.stiffness": "13 N/mm", "bar.calibration": 1.1}, "bar.calibration", "beside bar.stiffness"),
        ({"ball.protrusion": "1/16 in"}, "ball.protrusion", "the whole ball"),
        ({"ball.protrusion": "0 mm"}, "ball.protrusion", "out of range"),
        ({"dimple.rim_drill": "#55"}, "dimple.rim_drill", "smaller than the first drill"),
        ({"dimple.rim_drill": "none"}, "dimple.rim_feed", "needs a rim drill"),
        ({"dimple.rim_feed": None}, "dimple.rim_feed", "is missing"),
        ({"dimple.loose_ball_height": "1 mm"}, "dimple.loose_ball_height", "beside rim_feed"),
        (
            {"dimple.rim_feed": None, "dimple.loose_ball_height": "1.6 mm"},
            "dimple.loose_ball_height",
            "the whole ball",
        ),
        ({"tang.pivot_to_ball": "1/32 in"}, "tang.pivot_to_ball", "is this the ball's radius?"),
        ({"tang.pivot_to_ball": "3.1 mm"}, "tang.pivot_to_ball", "is this the ball's radius?"),
        ({"dimple.radial_error": "2.1 mm"}, "dimple.radial_error", "no small error"),
        ({"dimple.overclose": "4.5 mm"}, "dimple.overclose", "too far"),
        ({"tang.face_gap": None}, "tang.face_gap", "is missing"),
        ({"pivot.washer_thickness": "0.5 mm"}, "tang.face_gap", "beside the washer"),
        (
            {"tang.face_gap": None, "pivot.washer_thickness": "0.5 mm", "pivot.tang_pocket": "0.6 mm"},
            "pivot.washer_thickness",
            "below zero",
        ),
        (
            {"tang.face_gap": None, "pivot.handle_pocket": "0.1 mm"},
            "pivot.washer_thickness",
            "is missing beside its pockets",
        ),
        ({"pivot.pull.force": "0.1 N"}, "pivot.pull.at", "is missing"),
        (
            {"pivot.pull.force": "0.1 N", "pivot.pull.at": "40 mm", "pivot.friction_torque": "4 N*mm"},
            "pivot.friction_torque",
            "beside pull",
        ),
        ({"pivot.washer_inner": "9 mm", "pivot.washer_outer": "9 mm"}, "pivot.washer_inner", "not smaller"),
        ({"pivot.washer_inner": "9 mm"}, "pivot.washer_outer", "both diameters or neither"),
        ({"dimple.burr": "0.1 mm", "ball.diameter": "0.7 mm"}, "dimple.burr", "is no burr"),
        ({"tang.coating": "0.06 mm", "dimple.pilot_drill": "0.1 mm"}, "tang.coating", "fills the dimple"),
        ({"tang.coating": "0.06 mm", "tang.face_gap": "0.05 mm"}, "tang.coating", "closes the gap"),
        ({"bar.coating": "0.06 mm", "ball.protrusion": "0.05 mm"}, "bar.coating", "buries the ball"),
        ({"pivot.end_play": "0.05 mm"}, "pivot.washer_outer", "missing beside end_play"),
        ({"pivot.washer_contact": "face"}, "pivot.washer_outer", 'missing beside washer_contact = "face"'),
        ({"pivot.pin_friction": 0.2}, "pivot.pin_diameter", "missing beside pin_friction"),
        (
            {"pivot.washer_inner": "5 mm", "pivot.washer_outer": "9 mm", "pivot.pin_diameter": "6 mm"},
            "pivot.pin_diameter",
            "thicker than the washers' hole",
        ),
        ({"pivot.pin_diameter": "14 mm", "tang.pivot_to_ball": "7 mm"}, "pivot.pin_diameter", "reaches the ball"),
        ({"dimple.edge_radius": "sanded"}, "dimple.edge_radius", 'such as "0.02 mm"'),
        ({"stop.pin_change": "0.05 mm"}, "stop.radius", "is missing beside pin_change"),
        ({"friction.ball_on_tang": 1.6}, "friction.ball_on_tang", "0 to 1.5"),
        ({"friction.ball_on_tang": "0.12"}, "friction.ball_on_tang", "without quotes"),
        ({"friction.ball_on_tang": True}, "friction.ball_on_tang", "plain number"),
        ({"friction.ball_on_tang": math.nan}, "friction.ball_on_tang", "finite"),
        ({"dimple.point_angle": "55 deg"}, "dimple.point_angle", "60 deg to 170 deg"),
        ({"dimple.edge_radius": "1.1 mm"}, "dimple.edge_radius", "0 mm to 0.5 mm"),
        ({"bar.thickness": None}, "bar.thickness", "is missing"),
    ],
)
def test_misfits(changes, key, says):
    found = refused(changes)
    assert says in found[key]


@pytest.mark.parametrize(
    "changes",
    [
        {"tang.face_gap": "2 mm"},  # the ball cannot reach
        {"tang.face_gap": "0 mm"},
        {"bar.bend": "0 mm"},
        {"bar.bend": "-1 mm"},
        {"friction.ball_on_tang": 0},
        {"dimple.rim_drill": "3 mm", "dimple.rim_feed": "1 mm"},  # rim wider than the ball
        {"dimple.rim_drill": "#54"},  # the same drill again
        {"dimple.pilot_depth": "0 mm"},  # the ball rests on the floor cone
        {"dimple.pilot_drill": "#80"},
        {"dimple.rim_drill": None, "dimple.rim_feed": None},
        {"bar.relief_length": None, "bar.relief_thickness": None},
        {"bar.relief_thickness": "3 mm"},
        {"bar.ball_from_root": "50 mm"},
        {"ball.protrusion": "1.5 mm"},
        {"dimple.overclose": "-0.05 mm"},
        {"dimple.overclose": "0.5 deg"},
        {"dimple.radial_error": "-0.1 mm"},
        {"grip.force": "20 N"},
        {"bar.lateral_stiffness": "rigid"},
        {"bar.lateral_stiffness": "200 N/mm"},
        {"friction.ball_on_tang_static": 0.05},
        {"dimple.rim_feed": None, "dimple.loose_ball_height": "1 mm"},
        {"tang.face_gap": None, "pivot.washer_thickness": "0.8 mm", "pivot.tang_pocket": "0.2 mm"},
        {"bar.measured.pull": "10 N", "bar.measured.travel": "0.8 mm", "bar.measured.at": "50 mm"},
        {"stop.radius": "9 mm", "stop.pin_change": "-0.1 mm"},
    ],
)
def test_odd_but_computable_builds_are_accepted(changes):
    build = garden().change(changes)
    for name, given in changes.items():
        assert given is None or build[name].given


def test_a_faulty_value_is_told_once_and_blamed_for_nothing_else():
    assert list(refused({"dimple.rim_drill": "#99"})) == ["dimple.rim_drill"]
    assert list(refused({"bar.thickness": 3})) == ["bar.thickness"]
    assert list(refused({"bar.relief_length": quantity(1.0, "N")})) == ["bar.relief_length"]
    assert list(refused({"tang.face_gap": "20"})) == ["tang.face_gap"]


def test_everything_wrong_with_a_change_at_once():
    found = refused({"bar.thicknes": "1 mm", "bar.thickness": "1 mm", "ball.diameter": 3, "hand": "both"})
    assert set(found) == {"bar.thicknes", "bar.relief_thickness", "ball.diameter", "hand"}
    assert "did you mean bar.thickness" in found["bar.thicknes"]
