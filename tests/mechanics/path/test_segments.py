"""The ball's path in segments: extremes found from the slopes at their ends, against sampling it densely."""

import numpy as np
import pytest
from helpers.records import demo, one_drill
from helpers.scattered import scatter
from helpers.walked import bench, highest, mouth, slide

from detentsim.mechanics.contact import dimple
from detentsim.mechanics.detent import balance, bar_spring
from detentsim.mechanics.detent.solution import SolvedDetent
from detentsim.mechanics.motion import pivot
from detentsim.mechanics.names import RESULT_NAMES
from detentsim.mechanics.path import at_ball_angle, at_blade_angle, contact_at, segments, stable
from detentsim.mechanics.record import Record, last_axis
from detentsim.mechanics.response import respond

MANY = 400
POINTS = 20_001


@pytest.fixture(scope="module")
def sample():
    """Random designs solved, and everything at a dense grid of ball angles by the pieces found point by point."""
    record = scatter(MANY, 11)
    response = respond(record)
    solved, start = response.load, response.rest.phi
    end = np.maximum(segments.mouth_angle(solved), start)
    phi = start[:, None] + (end - start)[:, None] * np.linspace(1e-9, 1 - 1e-9, POINTS)
    parts = [everywhere(solved, part) for part in np.array_split(phi, 40, axis=1)]  # few enough to stay in the cache
    found = parts[0]._make(np.concatenate(column, axis=1) for column in zip(*parts, strict=True))
    theta = phi - solved.record.overclose[:, None] + balance.twist(solved.spring.twist_give[:, None], found.opening)
    return response, found, theta


def everywhere(solved: SolvedDetent, phi):
    offset, _ = balance.offset_at_phi(last_axis(solved.record), phi)
    piece = dimple.piece_at(solved.shape, offset)
    touch = at_ball_angle.contact(solved, phi, piece)
    return at_ball_angle.torques(solved, phi, piece, touch.depth <= solved.spring.protrusion[..., None])


def alive(response):
    return ~response.flags["floats"] & ~response.flags["locks_solid"] & ~response.flags["stopped_short"]


def at_most_a_hair_below(found, dense, where):
    """What the slopes lead to is never under what a dense look finds, and over it by no more than a step misses.

    A step is 5e-5 of the way; a crest at a hand-over lies up to a step off the grid.
    """
    assert np.all(found[where] >= dense[where] * (1 - 1e-9))
    assert np.quantile(found[where] / dense[where] - 1, 0.9) < 1e-4
    assert np.max(found[where] / dense[where] - 1) < 2e-2


@pytest.mark.slow
def test_no_torque_anywhere_is_above_the_breakout_torque(sample):
    response, found, _ = sample
    stick = np.maximum(found.opening.max(axis=1), response.rest.stick)
    at_most_a_hair_below(response.results["breakout_torque"], stick, alive(response))


@pytest.mark.slow
def test_no_push_anywhere_is_above_the_breakout_force(sample):
    response, found, theta = sample
    record, rest = response.load.record, response.rest
    force = pivot.finger_force(last_axis(record), theta, found.opening, found.push)
    first = pivot.finger_force(record, rest.slip, rest.stick, rest.at.push)
    # A blade that sticks or snaps passes over the ball angles whose blade angle it has reached before.
    reached = np.maximum.accumulate(np.maximum(theta, rest.slip[:, None]), axis=1)
    force = np.where(theta >= reached - 1e-12, force, np.nan)
    dense = np.fmax(np.fmax.reduce(force, axis=1), first)
    both = np.isfinite(response.results["breakout_force"]) & np.isfinite(dense) & alive(response)
    assert np.count_nonzero(both) > 0.5 * MANY
    lacking = alive(response) & ~response.flags["lacks_lever"] & ~response.flags["never_lets_go"]
    assert np.all(np.isfinite(dense[lacking]) & both[lacking])
    found = response.results["breakout_force"]
    assert np.all(found[both] >= dense[both] * (1 - 1e-9))
    # A lever that runs out lets the force climb without end between two points of the grid.
    assert np.quantile(found[both] / dense[both] - 1, 0.8) < 1e-4


@pytest.mark.slow
def test_no_blade_angle_anywhere_is_beyond_let_go(sample):
    response, _, theta = sample
    farthest = np.maximum(theta.max(axis=1), response.rest.slip)
    at_most_a_hair_below(response.results["let_go_angle"], farthest, alive(response))


@pytest.mark.slow
def test_a_blade_snaps_where_its_angle_falls_anywhere(sample):
    response, _, theta = sample
    with np.errstate(invalid="ignore"):
        turns = np.any(np.diff(theta, axis=1) < -1e-13, axis=1)
    ok = alive(response)
    np.testing.assert_array_equal(response.flags["snaps"][ok], turns[ok])
    assert np.count_nonzero(turns[ok]) > 10


@pytest.mark.slow
def test_the_angle_of_breakout_holds_its_torque(sample):
    """At the angle of breakout the curve read backwards gives the breakout torque from one side or the other."""
    response, _, _ = sample
    rest, results = response.rest, response.results
    table = at_blade_angle.opening_table(response.load, rest.phi, rest.slip)
    at = np.where(alive(response), results["breakout_angle"], 0.0)
    offsets = at[:, None] + np.array([-1e-9, 0.0, 1e-9])
    felt = [at_blade_angle.torque_at(table, offsets, opening=True, above=side).torque for side in (False, True)]
    nearest = np.max(np.concatenate(felt, axis=1), axis=1)
    # A higher static limit is left with a leap, and a crest that a snapping blade jumps over is nowhere on its way.
    sticks = rest.stick >= results["breakout_torque"] * (1 - 1e-9)
    quiet = alive(response) & ~sticks & ~response.flags["snaps"] & (rest.slip <= at)
    assert np.count_nonzero(quiet) > 0.3 * MANY
    np.testing.assert_allclose(nearest[quiet], results["breakout_torque"][quiet], rtol=2e-6)


@pytest.mark.slow
@pytest.mark.parametrize("sense", [True, False])
def test_the_way_read_backwards_is_the_way(sample, sense):
    """A torque read at a blade angle is that of a ball angle which gives this blade angle."""
    response, _, _ = sample
    rest = response.rest
    make = at_blade_angle.opening_table if sense else at_blade_angle.closing_table
    table = make(response.load, *((rest.phi, rest.slip) if sense else (rest.phi,)))
    ways = table.met.ways
    middle = segments.points(ways, np.array([0.1, 0.37, 0.8]))
    theta = stable.turn(opening=sense)(ways, middle).T
    torque = segments.torque(ways, middle, opening=sense).T
    for i in np.random.default_rng(4).choice(ways.design.size, 120, replace=False):
        design = ways.design[i]
        if not alive(response)[design] or not ways.right[i] > ways.left[i] + 1e-9:
            continue
        asked = np.broadcast_to(theta[i], (MANY, 3))
        got = at_blade_angle.torque_at(table, asked, opening=sense, above=False).torque[design]
        scale = np.max(np.abs(torque[i])) + 1e-9
        np.testing.assert_allclose(got, torque[i], rtol=1e-7, atol=1e-7 * scale)


@pytest.mark.slow
def test_blade_angles_met_never_fall_and_never_overlap(sample):
    response, _, _ = sample
    rest = response.rest
    for table in (
        at_blade_angle.opening_table(response.load, rest.phi, rest.slip),
        at_blade_angle.closing_table(response.load, rest.phi),
    ):
        met = table.met
        assert np.all(met.high >= met.low - 1e-12)
        follows = met.ways.design[1:] == met.ways.design[:-1]
        assert np.all(met.low[1:][follows] >= met.high[:-1][follows] - 1e-12)
        assert np.all(np.diff(table.theta, axis=1) >= 0)


def test_a_weak_bar_has_its_crest_inside_a_stretch():
    """The crest is that of the independent model, to far more than a grid would give."""
    for record in (one_drill(bend=0.5e-3, overclose=0), one_drill(bend=0.6e-3, overclose=0.002)):
        b = bench(record)
        response = respond(record)
        start = float(response.rest.phi) + 1e-9
        top, phi = highest(lambda x, b=b: slide(b, x, +1)[0], start, mouth(b), rounds=9)
        assert start + 1e-3 < phi < 0.9 * mouth(b)
        assert float(response.results["breakout_torque"]) == pytest.approx(top, rel=1e-9)


def test_a_subset_of_results_is_that_part_of_all():
    record = scatter(50, 5)
    whole = respond(record)
    for wanted in ((), ("breakout_energy",), ("pull_in_angle", "preload"), RESULT_NAMES[::2]):
        part = respond(record, wanted)
        assert list(part.results) == [name for name in RESULT_NAMES if name in wanted]
        for name, values in part.results.items():
            np.testing.assert_array_equal(values, whole.results[name], err_msg=name)
        for name, values in part.flags.items():
            np.testing.assert_array_equal(values, whole.flags[name], err_msg=name)
    assert tuple(whole.results) == RESULT_NAMES


def test_what_all_designs_share_is_kept_once():
    record = demo(bend=np.linspace(1e-3, 2e-3, 5), rim_feed=np.linspace(0, 1e-4, 3)[:, None])
    solved = bar_spring.solve(Record(*(np.asarray(field, float) for field in record)))
    lean = segments.flatten(solved, (3, 5))
    assert lean.record.bend.shape == lean.record.rim_feed.shape == (15,)
    assert lean.record.width.shape == lean.spring.stiffness.shape == ()
    assert lean.shape.start.shape == (15, 8)
    wide = segments.flatten(respond(record).load, (3, 5))
    assert wide.record.width.shape == ()
    np.testing.assert_array_equal(wide.record.bend, lean.record.bend)


@pytest.mark.parametrize("sense", [True, False])
def test_slopes_are_those_of_torque_and_blade_angle(sense):
    """Against central differences, on segments with and without radial error and sideways travel."""
    for record in (scatter(60, 5), scatter(60, 5)._replace(radial_error=np.zeros(()), travel_angle=np.zeros(()))):
        solved = segments.flatten(bar_spring.solve(record), (60,))
        ways = segments.cut(solved, np.zeros(60), np.broadcast_to(segments.mouth_angle(solved), 60))
        phi, step = segments.points(ways, np.array([0.2, 0.5, 0.8])), 1e-5 * (ways.right - ways.left)
        low, high = (segments.torque(ways, phi + side * step, opening=sense) for side in (-1, 1))
        torque, slope = contact_at.climb(ways, phi, opening=sense)
        np.testing.assert_allclose(torque, segments.torque(ways, phi, opening=sense), rtol=1e-14)
        free = np.isfinite(low) & np.isfinite(high) & np.isfinite(torque)
        # A step of 1e-5 of a segment leaves 1e-10 of its curvature, and rounding 1e-11 of the torque.
        near = 1e-5 * np.abs(slope) + 1e-9 * np.max(np.abs(np.where(free, torque, 0))) / np.where(step > 0, step, 1)
        assert np.all(np.abs((high - low) / 2 / step - slope)[free] <= near[free])
        assert np.count_nonzero(free & (slope != 0)) > 200


def test_a_ball_turned_far_past_its_dimple_stays_on_the_flat():
    """A bar so soft sideways that drag turns the ball by a whole turn does not bring it back into the dimple."""
    beside = demo(radial_error=-5e-6, overclose=0)
    give = 2 * np.pi / respond(beside).results["drag_torque"]
    response = respond(beside._replace(lateral_compliance=give * beside.pivot_to_ball**2))
    assert response.rest.phi == pytest.approx(2 * np.pi)
    assert response.flags["misses_dimple"]
    assert response.rest.at.depth == pytest.approx(0, abs=1e-15)
    assert np.isnan(response.results["breakout_torque"])
