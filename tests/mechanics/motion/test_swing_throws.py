"""Throws and falls of thirty knives: energy kept to the last millionth, and an integration in time of its own."""

import numpy as np
import pytest
from helpers import standing, ways
from helpers.records import dig
from helpers.scattered import scatter

from detentsim.mechanics.motion import in_motion, swing
from detentsim.mechanics.names import RESULT_NAMES
from detentsim.mechanics.response import respond, starts

MOTION = ("opens_fully", "stall_angle", "arrival_speed", "arrival_energy", "wrist_energy")


# Real ways


def chosen(count, seed, **fields):
    """Designs that break out, every field varied, with what the package says of their motion."""
    record = scatter(1200, seed)._replace(stop_gap=np.full(1200, np.inf))  # nothing stops these short
    rng = np.random.default_rng(seed)
    record = record._replace(blade_inertia=rng.uniform(1.5e-5, 6e-5, 1200), **fields)
    response = respond(record, (*RESULT_NAMES, *MOTION))
    rows = np.flatnonzero(np.isfinite(response.results["breakout_force"]))
    return record, response, rows[rng.permutation(rows.size)[:count]]


def own_way(record, i):
    """One design's way from its breakout, put together again, and the push of its finger by hand."""
    one = respond(dig(record, i))
    start = float(one.results["breakout_force_angle"])
    way = ways.path(one, opening=True, low=start, high=float(record.open_angle[i]))
    f = way.record
    weight = f.blade_mass * 9.80665 * f.balance_radius * np.cos(f.tilt) * np.sin(f.down_angle - start)
    force = f.finger_effort * max(float(one.results["breakout_force"]) - weight / ways.arm_at(f, start), 0.0)
    return way, force


@pytest.fixture(scope="module")
def thrown_thirty():
    record, response, rows = chosen(30, 81)
    flights = []
    for i in rows:
        way, force = own_way(record, i)
        flights.append((way, force, ways.fly(way, force)))
    return record, response, rows, flights


@pytest.mark.slow
def test_the_thirty_are_of_every_kind(thrown_thirty):
    record, response, rows, flights = thrown_thirty
    give = response.load.spring.twist_give[rows]
    for truth in (give > 0, response.flags["snaps"][rows], np.isnan(record.leaves_at[rows])):
        assert 0 < np.count_nonzero(truth) < 30
    assert np.all(record.washer_friction[rows] > 0)
    assert 8 < sum(flight.opens for _, _, flight in flights) < 22
    assert sum(not f.opens and f.angle > w.edges[0] + 1e-6 for w, _, f in flights) > 5


@pytest.mark.slow
def test_energy_is_kept_to_a_millionth_of_the_work_put_in(thrown_thirty):
    """At every edge it passes. The finger's work is integrated in time, the work against it by Gauss over the angle."""
    record, response, rows, flights = thrown_thirty
    stalled = 0
    for i, (way, _, flight) in zip(rows, flights, strict=True):
        assert bool(response.results["opens_fully"][i]) == flight.opens, i
        found = in_motion.throw(starts(respond(dig(record, i))))[2]
        ends, energy = found.theta[0, :, -1], found.energy[0, :, -1]
        for angle, _, finger in flight.marks:
            leg = int(np.argmin(np.abs(ends - angle)))
            assert abs(ends[leg] - angle) < 1e-9, i
            cut = way._replace(edges=np.append(way.edges[way.edges < angle - 1e-12], angle))
            spent = ways.work(cut)
            assert abs(energy[leg] - (finger - spent)) <= 1e-6 * (finger + max(-spent, 0.0)), i
            stalled += not flight.opens
    assert stalled > 20


@pytest.mark.slow
def test_results_of_a_throw_are_of_a_piece(thrown_thirty):
    _, response, rows, flights = thrown_thirty
    for i, (way, _, flight) in zip(rows, flights, strict=True):
        results = {name: float(response.results[name][i]) for name in MOTION}
        gone = ("stall_angle", "wrist_energy") if flight.opens else ("arrival_speed", "arrival_energy")
        assert {name for name in MOTION if np.isnan(results[name])} == set(gone)
        if flight.opens:
            half = way.record.blade_inertia / 2
            assert results["arrival_energy"] == pytest.approx(half * results["arrival_speed"] ** 2, rel=1e-12)


@pytest.mark.slow
def test_an_integration_in_time_arrives_and_stalls_alike(thrown_thirty):
    _, response, rows, flights = thrown_thirty
    for i, (_, _, flight) in zip(rows, flights, strict=True):
        if flight.opens:
            assert float(response.results["arrival_speed"][i]) == pytest.approx(flight.speed, rel=1e-6), i
        else:
            assert float(response.results["stall_angle"][i]) == pytest.approx(flight.angle, abs=1e-5), i


@pytest.mark.slow
def test_the_time_of_a_throw(thrown_thirty):
    record, _, rows, flights = thrown_thirty
    seen = 0
    for i, (_, _, flight) in zip(rows, flights, strict=True):
        one = respond(dig(record, i))
        found = in_motion.throw(starts(one))[2]
        time = swing.times(one.load.record, found)[0, -1, -1]
        if flight.opens:
            seen += 1
            assert time == pytest.approx(flight.time, rel=1e-3), i
        else:
            assert np.isposinf(time)
    assert seen > 8


@pytest.mark.slow
def test_what_the_wrist_would_add(thrown_thirty):
    _, response, rows, flights = thrown_thirty
    seen = 0
    for i, (way, force, flight) in zip(rows, flights, strict=True):
        if not flight.opens:
            wanted = ways.lacks(way, force, flight.angle)
            assert float(response.results["wrist_energy"][i]) == pytest.approx(wanted, rel=1e-4, abs=1e-7), i
            seen += wanted > 1e-4
    assert seen > 5


# Falling


@pytest.mark.slow
@pytest.mark.parametrize("inside", [False, True])
def test_a_fall_is_the_area_under_what_shuts(inside):
    """Let go outside the dimple or inside, proud or not, in every attitude; a dense trapezoidal rule."""
    rng = np.random.default_rng(91)
    count = 300
    record = scatter(count, 92)
    record = record._replace(
        down_angle=rng.uniform(-np.pi, np.pi, count),
        blade_mass=rng.uniform(0.03, 0.5, count),
        friction=record.friction * rng.choice([0.1, 1.0], count),
    )
    if inside:
        record = record._replace(close_from=np.maximum(-record.overclose, 0) + rng.uniform(0.002, 0.2, count))
    response = respond(record, (*RESULT_NAMES, "falls_shut", "hang_angle"))
    start = starts(response)
    rows, _, fallen = in_motion.fall(start)
    assert rows.size == count
    seen = {"shut": 0, "hangs": 0, "stays": 0, "proud": 0}
    for i in np.flatnonzero(~response.flags["floats"])[:40]:
        rest, let_go = float(start.rest[i]), float(min(record.close_from[i], record.open_angle[i]))
        way = ways.path(respond(dig(record, i)), opening=False, low=rest, high=let_go, splines=False)
        stop, gained = ways.drop(way)
        assert bool(response.results["falls_shut"][i]) == (stop is None), i
        if stop is None:
            assert np.isnan(response.results["hang_angle"][i])
            assert fallen.energy[i, -1, -1] == pytest.approx(gained, rel=1e-5), i
            seen["shut"] += 1
            seen["proud"] += rest > 0
        else:
            assert float(response.results["hang_angle"][i]) == pytest.approx(stop, abs=2e-5), i
            seen["hangs" if stop < let_go - 1e-6 else "stays"] += 1
    assert min(seen["shut"], seen["stays"]) > 5, seen
    assert min(seen["proud"], seen["hangs"] + inside) > 0, seen


@pytest.mark.slow
def test_what_falls_from_standstill_everywhere_falls_shut():
    record = scatter(3000, 93)
    response = respond(record, (*RESULT_NAMES, "falls_shut"))
    still = standing.falls_shut(response.load, response.rest.phi, response.rest.angle)
    moving = response.results["falls_shut"] > 0
    assert np.all(moving[still])
    assert 30 < np.count_nonzero(still) < np.count_nonzero(moving) < 1500
