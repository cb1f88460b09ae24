"""What a build's opening and its energy come to, against hand checks."""

import numpy as np
import pytest
from helpers import ways
from helpers.moved import AWRY, BUILD, COASTS, EARLY, HANGS, HELD_OPEN, LOCKS, STAYS, STUCK, WEAK, motion
from helpers.scattered import scatter

import detentsim as ds
from detentsim.knife.record.record import record as record_of
from detentsim.mechanics.motion import in_motion as mechanics
from detentsim.mechanics.motion import pivot
from detentsim.mechanics.names import ALL_NAMES
from detentsim.mechanics.response import respond, starts

# Opening


@pytest.mark.slow
@pytest.mark.parametrize(
    ("changes", "stall"),
    [
        ({}, ""),
        (AWRY, "no breakout"),
        (LOCKS, "no breakout"),
        (WEAK, "finger too weak"),
        (EARLY, "finger leaves first"),
        (COASTS, "coasted out"),
        (STUCK, "finger stuck"),
    ],
)
def test_kinds_of_stall(changes, stall):
    m = motion(changes)
    assert m.opening.stall == stall
    opens = m.results["opens_fully"]
    assert opens is (True if stall == "" else None if stall == "no breakout" else False)
    if stall in ("", "no breakout"):
        assert m.stall_angle is None
        assert (m.opening.after, m.opening.after_at) == ("", None)
    else:
        start = float(m.response.results["breakout_force_angle"])
        at = np.radians(m.results["stall_angle"])
        leaves = np.radians(m.opening.leaves)
        assert (at == pytest.approx(start, abs=1e-9)) == (stall in ("finger too weak", "finger leaves first"))
        assert {"finger stuck": at <= leaves, "coasted out": at > leaves}.get(stall, True)
        assert m.results["wrist_energy"] > 0
        assert m.opening.after


@pytest.mark.slow
def test_a_stuck_finger_and_a_coasting_blade_part_at_where_it_leaves():
    """The stuck blade would stall there too if the finger stayed on for ever; the coasting one would not."""
    stuck = motion(STUCK).results["stall_angle"]
    assert motion(STUCK | {"opener.leaves_at": f"{stuck + 0.01} deg"}).opening.stall == "finger stuck"
    assert motion(STUCK | {"opener.leaves_at": f"{stuck - 0.5} deg"}).opening.stall == "coasted out"


@pytest.mark.slow
@pytest.mark.parametrize(
    ("changes", "after"), [(WEAK, "shut"), (EARLY, "shut"), (COASTS, "shut"), (STAYS, "stays"), (HANGS, "hangs")]
)
def test_what_a_stalled_blade_does_then(changes, after):
    m = motion(changes)
    assert m.opening.after == after
    if after == "shut":
        assert m.opening.after_at is None
    else:
        stall = m.results["stall_angle"]
        assert (m.opening.after_at == pytest.approx(stall, abs=1e-6)) == (after == "stays")
        assert 0 < m.opening.after_at <= stall + 1e-9


def test_a_blade_that_hangs_after_a_stall_hangs_by_its_own_fall():
    """Let go at the stall, the blade ends where a dense trapezoidal rule has it."""
    build = BUILD.change(HANGS)
    m = ds.motion(build)
    one = respond(record_of(build))
    way = ways.path(one, opening=False, low=0.0, high=float(np.radians(m.results["stall_angle"])), splines=False)
    assert m.opening.after_at == pytest.approx(np.degrees(ways.drop(way)[0]), abs=1e-3)


@pytest.mark.slow
@pytest.mark.parametrize("effort", [0.8, 0.98])
def test_what_a_weak_finger_lacks_is_the_deepest_point_of_its_way(effort):
    """Beyond the detent's crest the same finger would carry the blade on by itself."""
    build = BUILD.change({"finger.effort": effort, "attitude.down_angle": "120 deg", "opener.leaves_at": "100 deg"})
    m = ds.motion(build)
    one = respond(record_of(build))
    start = float(one.results["breakout_force_angle"])
    way = ways.path(one, opening=True, low=start, high=np.pi)
    wanted = ways.lacks(way, m.opening.finger, start)
    assert m.opening.stall == "finger too weak"
    assert m.results["wrist_energy"] == pytest.approx(1e3 * wanted, rel=1e-3, abs=2e-5)
    last = float(mechanics.throw(starts(one))[2].energy[0, -1, -1])
    assert -last < 0.5 * wanted


@pytest.mark.slow
def test_the_band_of_finger_speeds_rises():
    for changes in ({}, COASTS, {"finger.speed_limit": "2 m/s"}, {"pivot.friction_torque": "60 N*mm"}):
        m = motion(changes)
        limits = [s.limit for s in m.opening.speeds]
        assert limits == sorted({*limits})
        assert {0.75, 1.5, 3.0} <= {*limits}
        opens = [s.opens for s in m.opening.speeds]
        assert opens == sorted(opens)
        stalls = [s.stall for s in m.opening.speeds if not s.opens]
        assert stalls == sorted(stalls)
        speeds = [s.speed for s in m.opening.speeds if s.opens]
        assert speeds == sorted(speeds)
        times = [s.time for s in m.opening.speeds if s.opens]
        assert times == sorted(times, reverse=True)
        lacks = [s.lacks for s in m.opening.speeds if not s.opens]
        assert lacks == sorted(lacks, reverse=True)
        own = next(s for s in m.opening.speeds if s.limit == m.build.si("finger.speed_limit"))
        assert own.opens is m.results["opens_fully"]
        assert own.speed == (None if not own.opens else pytest.approx(m.results["arrival_speed"], rel=1e-6))
        assert own.lacks == (None if own.opens else pytest.approx(m.results["wrist_energy"], rel=1e-6))
        assert own.stall == (None if own.opens else pytest.approx(m.results["stall_angle"], rel=1e-6))


def test_the_finger_overcomes_detent_and_weight_times_its_effort():
    for changes in ({}, HELD_OPEN, {"finger.effort": 1.4, "attitude.tilt": "50 deg"}):
        m = motion(changes)
        rec = m.response.load.record
        angle = float(m.response.results["breakout_force_angle"])
        weight = float(rec.blade_mass * rec.balance_radius * np.cos(rec.tilt)) * 9.80665
        pull = weight * np.sin(float(rec.down_angle) - angle)
        arm = float(rec.opener_radius) * np.cos(float(rec.push_angle) - angle)
        wanted = float(rec.finger_effort) * (float(m.response.results["breakout_force"]) - pull / arm)
        assert m.opening.finger == pytest.approx(wanted, rel=1e-9)


def scaled(build, scale):
    """Throw the build once more with its detent scaled above drag; whether it opens, and the breakout force [N]."""
    one = respond(record_of(build))
    rec = one.load.record
    start = float(one.results["breakout_force_angle"])
    way = ways.path(one, opening=True, low=start, high=float(rec.open_angle))
    f = way.record
    rub = float(one.results["drag_torque"]) + float(pivot.pivot_torque(rec, one.results["riding_force"]))
    weight = f.blade_mass * f.balance_radius * np.cos(f.tilt) * 9.80665

    def floor(theta):
        return rub - weight * np.sin(f.down_angle - theta)

    parts = [lambda t, part=part: floor(t) + scale * (part(t) - floor(t)) for part in way.parts]
    arm = ways.arm_at(f, start)
    force = rub / arm + scale * (float(one.results["breakout_force"]) - rub / arm)
    push = f.finger_effort * max(force - weight * np.sin(f.down_angle - start) / arm, 0.0)
    return ways.fly(way._replace(parts=parts), push).opens, force


@pytest.mark.slow
@pytest.mark.parametrize("changes", [{}, COASTS, {"finger.effort": 1.3, "attitude.down_angle": "-100 deg"}])
def test_a_throw_opens_from_just_above_the_launch_threshold_on(changes):
    build = BUILD.change(changes)
    found = ds.motion(build).opening.launch
    low, high = 0.02, 20.0
    (stalls, least), (opens, most) = scaled(build, low), scaled(build, high)
    assert (stalls, opens) == (False, True)
    for off in (-5e-4, 5e-4):  # of the threshold, a straight function of the scale
        scale = low + (high - low) * (found * (1 + off) - least) / (most - least)
        opens, force = scaled(build, scale)
        assert force == pytest.approx(found * (1 + off), rel=1e-12)
        assert opens == (off > 0)


def test_a_threshold_of_none_and_of_nothing():
    assert motion(WEAK).opening.launch is None  # the finger never beats the detent, whatever its size
    assert motion(STAYS).opening.launch > 1000  # no finger gives that
    assert motion(HELD_OPEN).opening.launch == 0  # its weight alone opens it
    assert motion(AWRY).opening.launch is None


def test_a_blade_above_its_threshold_opens_and_below_stalls():
    m = motion()
    force = float(m.response.results["breakout_force"])
    assert m.opening.launch < force
    start = starts(respond(record_of(BUILD)._replace(bend=np.full(2, float(record_of(BUILD).bend)))))
    arm = float(start.load.record.opener_radius) * np.cos(float(start.load.record.push_angle) - start.angle[0])
    one = m.response
    rub = float(one.results["drag_torque"]) + float(pivot.pivot_torque(one.load.record, one.results["riding_force"]))
    at = (m.opening.launch - rub / arm) / (force - rub / arm)
    opens, forces = mechanics.throw_scaled(start, at * np.array([0.995, 1.005]))
    assert opens.tolist() == [False, True]
    assert forces[0] < m.opening.launch < forces[1]


@pytest.mark.slow
def test_a_breakout_of_scale_one_is_the_design_itself():
    record = scatter(200, 61)._replace(blade_inertia=np.full(200, 4e-5))
    response = respond(record, ALL_NAMES)
    start = starts(response)
    rows = np.flatnonzero(np.isfinite(start.force))
    opens, force = mechanics.throw_scaled(mechanics.chosen(start, rows), np.ones(rows.size))
    np.testing.assert_allclose(force, start.force[rows], rtol=1e-12)
    np.testing.assert_array_equal(opens, response.results["opens_fully"][rows] > 0)


# Energy


@pytest.mark.slow
@pytest.mark.parametrize("changes", [{}, COASTS, {"finger.effort": 2.0, "pivot.kind": "washers"}])
def test_the_budget_adds_up(changes):
    """Left is the finger's less what is spent; at every angle what is spent is the area under the curve."""
    m = motion(changes)
    b = m.budget
    np.testing.assert_allclose(b.finger[np.isfinite(b.finger)], (b.left + b.spent)[np.isfinite(b.finger)], rtol=1e-12)
    inertia = float(m.response.load.record.blade_inertia)
    np.testing.assert_allclose(b.left, inertia / 2 * b.speed**2 * 1e3, rtol=1e-9)
    assert np.all(np.diff(b.angle) > 0)
    moving = np.isfinite(b.time)
    assert np.all(np.diff(b.time[moving]) > 0)
    start = float(m.response.results["breakout_force_angle"])
    assert b.angle[0] == pytest.approx(np.degrees(start))
    if m.results["opens_fully"]:
        assert moving.all()
        assert b.speed[-1] == pytest.approx(m.results["arrival_speed"], rel=1e-6)
        assert b.angle[-1] == pytest.approx(180)
    else:
        assert np.all(b.speed[np.radians(b.angle) > np.radians(m.results["stall_angle"]) + 1e-9] == 0)
        assert not moving.all()
    one = respond(record_of(m.build))
    for at in np.flatnonzero(np.isfinite(b.spent))[5::40]:
        way = ways.path(one, opening=True, low=start, high=float(np.radians(b.angle[at])))
        assert b.spent[at] == pytest.approx(1e3 * ways.work(way), rel=1e-6)


def test_nothing_thrown_has_no_budget():
    assert motion(AWRY).budget is None
