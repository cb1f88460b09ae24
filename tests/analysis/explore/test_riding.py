"""The ball and its forces at any blade angle: those of the curve, of the geometry, and of statics."""

import numpy as np
import pytest
from helpers.dilation import dilated
from helpers.garden import workshop
from helpers.turned import kind, put

import detentsim as ds
from detentsim.analysis.explore.session import Session
from detentsim.mechanics.record import Record
from detentsim.units.errors import InputError

KINDS = ["demo", "thin liner", "one drill", "read by a loose ball", "left hand", "inch", "measured bar"]


@pytest.mark.parametrize("name", KINDS)
def test_the_finger_is_that_of_the_curve(name):
    turns, c = Session(kind(name)), ds.curve(kind(name))
    assert turns.swing(c.results["breakout_force_angle"]).force == pytest.approx(c.results["breakout_force"], rel=1e-9)
    angle, force = c.columns[0], c.columns[3]
    smooth = np.flatnonzero((np.diff(angle, prepend=-1) > 1e-9) & (np.diff(angle, append=1e3) > 1e-9))
    for row in smooth[:: max(1, smooth.size // 15)]:
        assert turns.swing(angle[row]).force == pytest.approx(force[row], rel=1e-7, nan_ok=True), angle[row]


def test_on_an_elastic_rim_finger_and_bar_are_those_of_the_curve_too():
    build = workshop().change({"contact.rim": "elastic"})
    turns, c = Session(build), ds.curve(build)
    assert turns.swing(c.results["breakout_force_angle"]).force == pytest.approx(c.results["breakout_force"], rel=1e-8)
    assert turns.swing(20.0).pressed == pytest.approx(c.results["riding_force"])
    assert turns.settle().share == c.likely.inside


@pytest.mark.parametrize("name", KINDS)
def test_the_ball_climbs_the_rim_as_a_sphere_over_the_sampled_surface_does(name):
    """Height by brute-force dilation, `helpers.dilation`; no formula of the package."""
    turns = Session(kind(name))
    let_go = turns.start.results["let_go_angle"]
    seen = [turns.swing(angle).picture for angle in np.linspace(0, 1.2 * let_go, 9)]
    record = Record(*(np.asarray(field, float).reshape(()) for field in turns.start.response.load.record))
    heights = 1e3 * dilated(record, np.array([one.ball[0] for one in seen]) / 1e3)
    assert [one.ball[1] for one in seen] == pytest.approx(heights, abs=1e-6)
    assert seen[0].ball[1] < seen[-1].ball[1] == pytest.approx(seen[0].radius)
    protrusion = 1e3 * float(record.protrusion)
    for one in seen:
        assert one.bar_face == pytest.approx(protrusion - one.depth)
        assert np.hypot(*(one.contacts - one.ball).T) == pytest.approx(one.radius)


def test_the_tangs_push_leans_from_the_contacts_normal_by_the_angle_of_friction():
    """A sliding contact pushes at the angle arctan(mu) from its normal: any text on statics.

    To 0.3 %: the normal is drawn along the chord to the dimple's axis, the push along the arc of the ball.
    """
    turns = Session(workshop())
    slips, let_go = (turns.start.results[name] for name in ("breakout_force_angle", "let_go_angle"))
    leans = []
    for angle in np.linspace(slips, 1.5 * let_go, 12):
        at = turns.swing(angle)
        (touch,) = at.picture.contacts
        normal, push = np.subtract(at.picture.ball, touch), at.pushed
        leans.append(np.arctan2(push[1], push[0]) - np.arctan2(normal[1], normal[0]))
    assert np.tan(leans) == pytest.approx(0.12, rel=3e-3)


@pytest.mark.parametrize("travel", ["0 deg", "20 deg"])
def test_the_ball_is_in_balance(travel):
    """What the tang pushes along the path, times its radius, is the torque; on the flat it is friction times force."""
    build = workshop().change({"tang.travel_angle": travel})
    turns, c = Session(build), ds.curve(build)
    flat = turns.swing(20.0)
    assert flat.pressed == pytest.approx(c.results["riding_force"])
    assert flat.pushed[0] == pytest.approx(-0.12 * flat.pushed[1])
    assert (flat.pushed[1] == pytest.approx(flat.pressed)) == (travel == "0 deg")
    assert -flat.pushed[0] * 1e3 * build.si("tang.pivot_to_ball") == pytest.approx(c.results["drag_torque"], rel=1e-6)
    top = turns.swing(c.results["breakout_angle"])
    assert -top.pushed[0] * 1e3 * build.si("tang.pivot_to_ball") == pytest.approx(c.results["breakout_torque"])
    assert np.hypot(*top.pushed) < 1.02 * turns.now.greatest_force


def test_a_floating_ball_hangs_clear_and_nothing_pushes_it():
    turns = put(workshop(), {"bar.bend": 0, "tang.face_gap": -1})
    assert turns.now.flags == ("floats",)
    assert turns.now.results["seat_depth"] == ds.curve(turns.now.build).results["seat_depth"]
    for angle in (0, 3, 20):
        at = turns.swing(angle)
        assert at.pressed == 0
        assert at.pushed == (0, 0)
        assert at.picture.contacts.size == 0
        assert at.picture.ball[1] > at.picture.radius
        assert at.picture.ball[1] == turns.start.picture.radius - turns.now.picture.depth


def test_a_ball_that_locks_does_not_move():
    hole = {"dimple.pilot_drill": "1.67 mm", "dimple.rim_drill": "none", "dimple.rim_feed": None}
    turns = Session(workshop().change(hole | {"ball.protrusion": "0.9 mm", "tang.face_gap": "0.5 mm"}))
    assert "locks_solid" in turns.now.flags
    at = turns.swing(5)
    assert np.isnan(at.force)
    assert at.angle == pytest.approx(turns.swing(0).angle)
    assert at.picture.ball == turns.now.picture.ball


def test_a_blade_that_stands_proud_opens_from_where_it_rests():
    turns = put(workshop(), {"dimple.overclose": 0})
    assert "stands_proud" in turns.now.flags
    rest = ds.curve(turns.build).results["rest_angle"]
    assert turns.swing(0).angle == pytest.approx(rest)
    assert turns.angle == 0


def test_the_blade_stays_where_it_was_put_while_knobs_turn():
    turns = Session(workshop())
    turns.swing(3.0)
    before = turns.riding.force
    turns.turn("bar.bend", 40)
    assert turns.riding.angle == pytest.approx(3.0)
    assert turns.riding.force == pytest.approx(turns.now.riding(3.0).force) != before
    turns.turn("dimple.pilot_drill", 24)
    assert turns.now.build is None
    assert turns.riding is None


def test_a_blade_angle_is_a_number_between_closed_and_lock_up():
    turns = Session(workshop())
    turns.swing(1e6)
    assert turns.angle == pytest.approx(np.degrees(workshop().si("blade.open_angle")))
    turns.swing(-4)
    assert turns.angle == 0
    with pytest.raises(InputError, match="is no blade angle; give degrees from 0 to "):
        turns.swing(float("nan"))
