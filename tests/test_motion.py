"""What a build's motion comes to: thrown, stalled, falling, staying shut; one design and ten thousand."""

from functools import cache

import numpy as np
import pytest
import ways
from records import demo, dig
from test_kernel_arrays import scatter

import detentsim as ds
from detentsim.analysis.motion import falling
from detentsim.analysis.results import in_unit
from detentsim.knife.checks.problems import BuildError
from detentsim.knife.record.record import record as record_of
from detentsim.mechanics.motion import in_motion as mechanics
from detentsim.mechanics.motion import panels, pivot
from detentsim.mechanics.motion.in_motion import MOTION_NAMES
from detentsim.mechanics.record import Record
from detentsim.mechanics.response import ALL_NAMES, RESULT_NAMES, respond, starts
from detentsim.units.errors import InputError

BUILD = ds.demo()
STAYS = {"pivot.friction_torque": "200 N*mm"}
HANGS = {"attitude.down_angle": "0 deg", "opener.leaves_at": "20 deg"}
EARLY = {"opener.leaves_at": "0.1 deg"}
WEAK = {"finger.effort": 0.5}
STUCK = {
    "finger.effort": 1.0,
    "finger.speed_limit": "0.3 m/s",
    "opener.leaves_at": "110 deg",
    "pivot.friction_torque": "90 N*mm",
}
COASTS = {"opener.leaves_at": "20 deg"}
AWRY = {"opener.push_angle": "170 deg"}
LOCKS = {"friction.ball_on_tang": 0.9}
HELD_OPEN = {"attitude.down_angle": "170 deg"}


def motion(changes=None):
    return _motion(tuple((changes or {}).items()))


@cache
def _motion(changes):
    return ds.motion(BUILD.change(dict(changes)))


# Opening


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


def test_a_stuck_finger_and_a_coasting_blade_part_at_where_it_leaves():
    """The stuck blade would stall there too if the finger stayed on for ever; the coasting one would not."""
    stuck = motion(STUCK).results["stall_angle"]
    assert motion(STUCK | {"opener.leaves_at": f"{stuck + 0.01} deg"}).opening.stall == "finger stuck"
    assert motion(STUCK | {"opener.leaves_at": f"{stuck - 0.5} deg"}).opening.stall == "coasted out"


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


@pytest.mark.parametrize("changes", [{}, COASTS, {"finger.effort": 1.3, "attitude.down_angle": "-100 deg"}])
def test_the_launch_threshold_by_bisection(changes):
    build = BUILD.change(changes)
    found = ds.motion(build).opening.launch
    low, high = 0.02, 20.0
    assert not scaled(build, low)[0]
    assert scaled(build, high)[0]
    for _ in range(15):
        middle = np.sqrt(low * high)
        low, high = (low, middle) if scaled(build, middle)[0] else (middle, high)
    assert found == pytest.approx(scaled(build, high)[1], rel=1e-3)


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


def test_a_breakout_of_scale_one_is_the_design_itself():
    record = scatter(200, 61)._replace(blade_inertia=np.full(200, 4e-5))
    response = respond(record, ALL_NAMES)
    start = starts(response)
    rows = np.flatnonzero(np.isfinite(start.force))
    opens, force = mechanics.throw_scaled(mechanics.chosen(start, rows), np.ones(rows.size))
    np.testing.assert_allclose(force, start.force[rows], rtol=1e-12)
    np.testing.assert_array_equal(opens, response.results["opens_fully"][rows] > 0)


# Energy


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


# Falling


def test_attitudes_are_builds_held_that_way():
    m = motion()
    assert m.attitudes[0].name == "as given"
    downs = {h.down_angle for h in m.attitudes}
    assert downs == {-45, 0, -90, 90, 180}
    assert {h.falls for h in m.attitudes} == {True, False}
    for h in m.attitudes:
        other = motion({"attitude.down_angle": f"{h.down_angle} deg"})
        assert other.results["falls_shut"] is h.falls
        hangs = other.results["hang_angle"]
        assert h.hangs == (None if hangs is None else pytest.approx(hangs, rel=1e-9))
        if h.falls:
            one = respond(record_of(other.build))
            way = ways.path(one, opening=False, low=0.0, high=np.pi / 2, splines=False)
            gained = ways.drop(way)[1]
            assert h.speed == pytest.approx(np.sqrt(2 * gained / float(one.load.record.blade_inertia)), rel=1e-5)
        else:
            assert h.speed is None


def test_an_attitude_given_twice_is_told_once():
    m = motion({"attitude.down_angle": "180 deg"})
    assert [h.down_angle for h in m.attitudes].count(180) == 1
    m = motion({"attitude.down_angle": "-180 deg"})
    assert [h.down_angle for h in m.attitudes] == [-180, 0, -45, -90, 90]


def opens_by_hand(m, down, at):
    """Whether the weight alone beats drag and pivot in opening from a place on the flat."""
    one, rec = m.response, m.response.load.record
    rub = float(one.results["drag_torque"]) + float(pivot.pivot_torque(rec, one.results["riding_force"]))
    return float(rec.blade_mass * rec.balance_radius) * 9.80665 * np.sin(np.radians(down - at)) > rub


def test_a_blade_that_swings_open_is_told_apart_from_one_that_hangs():
    m = motion({"blade.mass": "200 gram", "blade.inertia": "300 kg*mm**2"})
    seen = set()
    for h in m.attitudes:
        assert h.opens == opens_by_hand(m, h.down_angle, 90)
        assert not (h.opens and h.falls)
        seen.add(h.opens)
    assert seen == {True, False}


def test_at_lock_up_nothing_swings_open():
    m = motion({"blade.mass": "200 gram", "blade.inertia": "300 kg*mm**2", "blade.open_angle": "90 deg"})
    assert not any(h.opens for h in m.attitudes)


def test_what_the_dimple_holds_does_not_swing_open():
    """Let go a fifth of a degree off its stop, the detent draws it back however it is held."""
    m = motion(
        {"blade.mass": "100 gram", "blade.inertia": "150 kg*mm**2"}
        | {"attitude.close_from": "0.2 deg", "attitude.down_angle": "95 deg"}
    )
    assert opens_by_hand(m, 95, 0.2)
    assert m.carry_g.magnitude > 2
    assert not m.attitudes[0].opens


# Staying shut


def test_carry_g_by_hand_and_with_half_the_friction():
    for changes in (
        {},
        {"pivot.kind": "washers", "blade.mass": "60 gram", "blade.inertia": "80 kg*mm**2"},
        {"attitude.tilt": "90 deg"},
    ):
        m = motion(changes)
        rec = m.response.load.record
        weight = float(rec.blade_mass * rec.balance_radius) * 9.80665
        held = float(m.response.results["breakout_torque"])
        push = float(respond(rec).rest.at.push)
        rub = float(rec.pivot_torque + rec.washer_friction * max(rec.washer_radius, rec.pivot_to_ball) * push)
        low = (held + float(rec.pivot_torque)) / weight
        assert m.carry_g.magnitude == pytest.approx(m.staying.carry_g)
        if rec.washer_friction == 0:
            assert m.staying.carry_g == pytest.approx((held + rub) / weight, rel=1e-9)
        else:
            assert m.staying.carry_g > low
        assert m.staying.torque == pytest.approx((m.staying.carry_g - 1) * weight * 1e3, rel=1e-9)
        slick = {name: getattr(rec, name) / 2 for name in ("friction", "static_friction", "washer_friction")}
        slick = respond(rec._replace(**slick, pivot_torque=rec.pivot_torque / 2), (*RESULT_NAMES, "carry_g"))
        assert m.staying.carry_g_slick == pytest.approx(float(slick.results["carry_g"]), rel=1e-9)
        assert m.staying.carry_g_slick < m.staying.carry_g


def test_a_blade_without_weight_has_no_g_to_carry():
    light = respond(demo(balance_radius=0.0), (*RESULT_NAMES, "carry_g"))
    assert np.isnan(light.results["carry_g"])
    assert motion({"blade.mass": None}).staying.carry_g is None


def test_a_drop_by_hand():
    """Angular momentum m r v at the stop; its energy (m r v)^2/(2 I) is used up by the work to let-go."""
    m = motion()
    r, rec = m.response.results, m.response.load.record
    work = float(r["breakout_energy"] + (r["drag_torque"] + rec.pivot_torque) * (r["let_go_angle"] - r["rest_angle"]))
    lever = float(rec.blade_mass * rec.balance_radius)
    speed = np.sqrt(2 * float(rec.blade_inertia) * work) / lever
    assert m.staying.drop == pytest.approx(1e3 * speed**2 / 2 / 9.80665, rel=1e-9)
    assert 5 < m.staying.drop < 50
    heavy = motion({"blade.mass": "60 gram", "blade.inertia": "80 kg*mm**2"})
    assert heavy.staying.drop == pytest.approx(m.staying.drop / 2, rel=1e-9)


def test_the_ball_pulls_shut_from_rest_to_let_go():
    m = motion()
    draw = float(m.response.results["draw_torque"]) * 1e3
    assert m.staying.biased is True
    assert m.staying.pull >= draw - 1e-9
    grid = np.linspace(0, float(m.response.results["let_go_angle"]), 20_001)[1:-1]
    table = ways.trace.closing_table(m.response.load, m.response.rest.phi)
    felt = ways.trace.felt_at(table, grid, opening=False, above=False).torque
    assert m.staying.pull == pytest.approx(max(draw, 1e3 * np.max(felt)), rel=2e-3)


def test_some_blade_is_not_pulled_shut_all_the_way():
    """Drilled far past closed, the ball would have to come back over the rim: at rest the flank is behind it."""
    seen = set()
    record = scatter(50, 62)
    for i in range(50):
        one = respond(dig(record, i))
        if np.isfinite(one.results["let_go_angle"]):
            pull, biased = falling.pulls_shut(one)
            seen.add(biased)
            rest, last = float(one.rest.angle), float(one.results["let_go_angle"])
            theta = np.linspace(rest, last, 1002)[1:-1]
            out = ways.trace.opening_table(one.load, one.rest.phi, one.rest.slip)
            back = ways.trace.closing_table(one.load, one.rest.phi)
            both = (
                ways.trace.felt_at(out, theta, opening=True, above=False).torque
                + ways.trace.felt_at(back, theta, opening=False, above=False).torque
            )
            if np.min(both) > 0:
                assert biased
            if np.mean(both <= 0) > 0.02:
                assert not biased
            assert pull >= float(one.results["draw_torque"]) * 1e3 - 1e-9
    assert seen == {True, False}


# Words


def test_without_an_inertia_nothing_moves():
    with pytest.raises(BuildError, match=r"blade\.inertia: is missing"):
        motion({"blade.inertia": None})
    with pytest.raises(BuildError, match=r"blade\.pendulum_period: needs blade\.mass beside it"):
        motion({"blade.inertia": None, "blade.mass": None, "blade.pendulum_period": "0.4 s"})
    with pytest.raises(BuildError, match=r"blade\.pendulum_period: needs blade\.balance_radius beside it"):
        motion({"blade.inertia": None, "blade.balance_radius": None, "blade.pendulum_period": "0.4 s"})


def test_a_pendulum_and_a_shape_stand_for_an_inertia():
    given = float(record_of(BUILD).blade_inertia)
    weight = float(record_of(BUILD).blade_mass * record_of(BUILD).balance_radius) * 9.80665
    period = 2 * np.pi * np.sqrt(given / weight)
    swung = motion({"blade.inertia": None, "blade.pendulum_period": f"{period:.12f} s"})
    assert swung.results["arrival_speed"] == pytest.approx(motion().results["arrival_speed"], rel=1e-6)
    shape = {"blade.length": "75 mm", "blade.root_width": "22 mm", "blade.tip_width": "4 mm", "blade.thickness": "3 mm"}
    drawn = motion(shape | {"blade.mass": None, "blade.balance_radius": None, "blade.inertia": None})
    assert drawn.results["opens_fully"] is not None
    assert drawn.staying.carry_g > 0


def test_a_blade_without_mass_opens_and_does_not_fall():
    m = motion({"blade.mass": None})
    assert m.results["opens_fully"] is True
    assert m.falls_shut is None
    assert m.attitudes == ()
    assert m.staying.drop is None
    assert m.why("falls_shut")
    assert m.why("carry_g")
    assert "nan" not in repr(m).lower()


@pytest.mark.parametrize("changes", [{}, AWRY, LOCKS, WEAK, EARLY, COASTS, STUCK, STAYS, HANGS, HELD_OPEN])
def test_what_has_no_value_says_why(changes):
    m = motion(changes)
    for name, value in m.results.items():
        assert value is None or np.isfinite(value)
        if value is None:
            words = m.why(name)
            assert words[0].islower()
            assert "nan" not in words
    assert "<td>" in m._repr_html_()


def test_gravity_that_holds_it_open_throws_it_harder_and_lets_it_hang():
    m, plain = motion(HELD_OPEN), motion()
    assert m.results["arrival_speed"] > 1.3 * plain.results["arrival_speed"]
    assert m.opening.finger < plain.opening.finger
    assert m.results["falls_shut"] is False
    assert m.results["hang_angle"] == pytest.approx(90)


def test_drag_beyond_everything_leaves_it_where_the_finger_does():
    m = motion(STAYS)
    assert m.opening.stall == "coasted out"
    assert 60 < m.results["stall_angle"] < 61
    assert all(not h.falls and h.hangs == pytest.approx(90) for h in m.attitudes)


@pytest.mark.parametrize("overclose", ["0.8 mm", "1 mm", "2 mm"])
def test_a_ball_that_rests_on_the_flat_has_no_dimple_to_leave(overclose):
    m = motion({"dimple.overclose": overclose})
    assert m.response.rest.phi > 0.1
    assert m.results["hang_angle"] is not None or m.results["falls_shut"]
    one = respond(record_of(m.build), ALL_NAMES)
    way = ways.path(one, opening=False, low=0.0, high=np.pi / 2, splines=False)
    assert m.results["falls_shut"] is (ways.drop(way)[0] is None)


# Ten thousand


@pytest.fixture(scope="module")
def many():
    return ds.sweep(
        BUILD,
        {
            "dimple.rim_feed": ("0 mm", "0.15 mm", 25),
            "bar.bend": ("1 mm", "3 mm", 20),
            "friction.ball_on_tang": (0.05, 0.2, 20),
        },
        MOTION_NAMES,
    )


def test_ten_thousand_in_one_call_equal_single_calls(many):
    assert many.size == 10_000
    rng = np.random.default_rng(63)
    for place in zip(*(rng.integers(n, size=40) for n in many.shape), strict=True):
        place = tuple(int(i) for i in place)
        one = respond(record_of(many.build_at(*place)), MOTION_NAMES)
        for name in MOTION_NAMES:
            value, found = float(in_unit(name, one.results[name])), many.results[name][place]
            if name in ("opens_fully", "falls_shut"):
                assert bool(found) == (value > 0), (name, place)
            else:
                np.testing.assert_allclose(found, value, rtol=1e-7, atol=1e-9, err_msg=f"{name} {place}")


def test_ten_thousand_hold_every_end(many):
    opens, falls = many.results["opens_fully"], many.results["falls_shut"]
    for truth in (opens, falls):
        assert 100 < np.count_nonzero(truth) < 9900
    np.testing.assert_array_equal(np.isnan(many.results["arrival_speed"]), ~opens)
    np.testing.assert_array_equal(np.isnan(many.results["hang_angle"]), falls)
    known = np.isfinite(many.results["carry_g"])
    np.testing.assert_array_equal(np.isnan(many.results["stall_angle"]), opens | ~known)
    np.testing.assert_array_equal(np.isnan(many.results["wrist_energy"]), opens | ~known)


def test_random_designs_in_one_call_equal_single_calls():
    """Every field varied, in blocks; what one design cannot do leaves its neighbours alone."""
    record = scatter(3000, 64)
    record = record._replace(blade_mass=np.where(np.arange(3000) % 10 == 0, np.nan, record.blade_mass))
    many = respond(record, ALL_NAMES)
    rows = np.random.default_rng(65).choice(3000, 40, replace=False)
    for i in rows:
        one = respond(dig(record, i), MOTION_NAMES).results
        for name in MOTION_NAMES:
            np.testing.assert_allclose(many.results[name][i], one[name], rtol=1e-7, atol=1e-9, err_msg=f"{name} {i}")
    for name in MOTION_NAMES:
        assert 0 < np.count_nonzero(np.isnan(many.results[name])) < 3000, name
    assert not any(np.isinf(many.results[name]).any() for name in MOTION_NAMES)


@pytest.mark.parametrize("name", MOTION_NAMES)
def test_a_result_asked_for_alone_is_the_same(name):
    record = scatter(60, 66)
    alone = respond(record, (name,)).results
    assert list(alone) == [name]
    np.testing.assert_array_equal(alone[name], respond(record, MOTION_NAMES).results[name])


def test_no_designs_at_all():
    found = respond(demo(bend=np.empty(0)), MOTION_NAMES).results
    assert all(value.shape == (0,) for value in found.values())


@pytest.mark.parametrize(
    ("of", "changes", "said"),
    [
        ("falls_shut", {"blade.mass": None}, "falls_shut needs blade.mass, such as"),
        (
            "carry_g",
            {"blade.mass": None, "blade.balance_radius": None},
            "carry_g needs blade.mass and blade.balance_rad",
        ),
        ("arrival_speed", {"blade.inertia": None}, "arrival_speed needs blade.inertia, such as"),
        (["opens_fully", "stall_angle"], {"blade.inertia": None}, "opens_fully needs blade.inertia, such as"),
    ],
)
def test_a_sweep_of_motion_says_what_the_blade_lacks(of, changes, said):
    with pytest.raises(InputError, match=r"^of: ") as told:
        ds.sweep(BUILD.change(changes), {"bar.bend": ["1 mm", "2 mm"]}, of)
    assert said in str(told.value)
    assert "\n" not in str(told.value)


def test_a_sweep_may_bring_what_the_blade_lacks():
    s = ds.sweep(
        BUILD.change({"blade.inertia": None}), {"blade.inertia": ["40 kg*mm**2", "50 kg*mm**2"]}, "arrival_speed"
    )
    assert s.results["arrival_speed"][0] == pytest.approx(motion().results["arrival_speed"], rel=1e-7)


def test_friction_halved_is_all_friction_and_nothing_else():
    rec = demo(washer_friction=0.1)
    half = mechanics.with_friction(rec, 0.5)
    names = ("friction", "static_friction", "washer_friction", "pivot_torque")
    assert {n for n in Record._fields if not np.array_equal(getattr(rec, n), getattr(half, n), equal_nan=True)} == {
        *names
    }
    assert all(float(getattr(half, n)) == float(getattr(rec, n)) / 2 for n in names)
    assert float(panels.finger_leaves(half)) == float(panels.finger_leaves(rec))
