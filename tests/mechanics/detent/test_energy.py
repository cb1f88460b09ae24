"""Work of opening and closing against energy stored and lost, each found here by another way than the kernel's."""

from itertools import pairwise

import numpy as np
import pytest
from helpers.records import BALL, CONE_118, NO_53, NO_54, demo, felt, one_drill, raised, torque_at
from helpers.walked import bench, depth_at, mouth, slide, walk_open, walk_shut
from numpy.polynomial.legendre import leggauss

from detentsim.mechanics.path import segments
from detentsim.mechanics.response import respond


def _store(b, phi):
    """Energy that the bar gains while the ball rises from ball angle `phi` to the flat [J]."""
    depth = float(depth_at(b, phi)[0])
    return b.stiffness * (b.reach * depth - depth**2 / 2)


def _random(rng, **fixed):
    """A design that carries the ball at rest, with lash nowhere."""
    pilot = rng.uniform(0.6e-3, 0.72e-3)
    chosen = {
        "pilot_radius": pilot,
        "pilot_depth": rng.uniform(0.6e-3, 1.2e-3),
        "rim_radius": pilot + rng.uniform(0.02e-3, 0.07e-3),
        "rim_feed": rng.uniform(0.0, 0.2e-3),
        "bend": rng.uniform(2.0e-3, 3.5e-3),
        "overclose": rng.uniform(0, 0.02),
        "radial_error": rng.choice([0.0, rng.uniform(-0.08e-3, 0.08e-3)]),
        "pivot_to_ball": rng.uniform(5e-3, 12e-3),
        "edge_radius": 0.0,
        "protrusion": 0.7e-3,
        "face_gap": 0.5e-3,
        "calibration": rng.uniform(0.7, 1.3),
        "grip_force": rng.choice([0.0, 3.0]),
    }
    return demo(**(chosen | fixed))


def test_frictionless_rigid_opening_stores_all_its_work():
    rng = np.random.default_rng(31)
    for _ in range(60):
        record = _random(rng, friction=0.0, lateral_compliance=0.0)
        b, results = bench(record), respond(record).results
        stored = _store(b, b.record.overclose)
        assert float(results["breakout_energy"]) == pytest.approx(stored, rel=1e-6)
        assert stored > 1e-4


def test_rounded_edges_store_the_same_way():
    rng = np.random.default_rng(32)
    for _ in range(20):
        fixed = {"edge_radius": rng.uniform(0.005e-3, 0.05e-3)}
        fixed |= {"rim_radius": NO_53, "pilot_radius": NO_54, "rim_feed": rng.uniform(0.1e-3, 0.2e-3)}
        record = _random(rng, friction=0.0, lateral_compliance=0.0, **fixed)
        b = bench(record)
        work = float(respond(record).results["breakout_energy"])
        assert work == pytest.approx(_store(b, b.record.overclose), rel=1e-6)


@pytest.mark.slow
def test_side_give_has_already_paid_what_the_draw_holds():
    rng = np.random.default_rng(33)
    seen = 0
    for _ in range(80):
        record = _random(rng, friction=0.0, lateral_compliance=rng.uniform(0.5e-6, 4e-6))
        response = respond(record)
        if "snaps" in raised(response):
            continue
        seen += 1
        b = bench(record)
        draw = float(response.results["draw_torque"])
        assert draw > 0 or b.record.radial_error != 0 or b.record.overclose < 1e-3
        wanted = _store(b, float(response.rest.phi)) - draw**2 * b.give / 2
        assert float(response.results["breakout_energy"]) == pytest.approx(wanted, rel=1e-6)
    assert seen > 30


def _quadrature(values, low, high, cuts=()):
    """Integral by Gauss-Legendre on each part between cuts."""
    x, w = leggauss(40)
    edges = np.unique(np.clip([low, *cuts, high], low, high))
    total = 0.0
    for left, right in pairwise(edges):
        total += (right - left) / 2 * np.sum(w * values((left + right) / 2 + (right - left) / 2 * x))
    return total


def _loss(b, sense, start, cuts):
    """Friction's work: mu F_n times the way that the ball slides, opened or closed once [J]."""
    rho = b.record.pivot_to_ball

    def lost(phi):
        _, size = slide(b, phi, sense)
        height = 1e-9
        rise = (depth_at(b, phi - height) - depth_at(b, phi + height)) / (2 * height * rho)
        return b.record.friction * size * np.hypot(1, rise) * rho

    return _quadrature(lost, start, mouth(b), cuts)


def _corners(b, start):
    """Ball angles at which the contact jumps from one feature to another, by bisection of the contact angle's steps."""
    grid = np.linspace(start + 1e-12, mouth(b), 4001)
    slope = np.gradient(depth_at(b, grid), grid)
    steps = np.flatnonzero(np.abs(np.diff(slope)) > 30 * np.median(np.abs(np.diff(slope))))
    found = []
    for i in steps:
        low, high = grid[i], grid[min(i + 1, grid.size - 1)]
        for _ in range(3):
            fine = np.linspace(low - (high - low), high + (high - low), 2001)
            jump = np.argmax(np.abs(np.diff(depth_at(b, fine), 2))) + 1
            low, high = fine[jump - 1], fine[jump + 1]
        found.append((low + high) / 2)
    return found


LOSSES = {
    "one drill": one_drill(overclose=0.004, lateral_compliance=0),
    "two drills": demo(edge_radius=0, overclose=0.004, lateral_compliance=0),
    "deep": demo(rim_feed=0.16e-3, overclose=0.004, lateral_compliance=0),
    "too far out": demo(edge_radius=0, radial_error=0.06e-3, overclose=0.004, lateral_compliance=0),
}


@pytest.mark.parametrize("name", LOSSES)
def test_opening_less_closing_is_what_friction_takes(name):
    record = LOSSES[name]
    b, response = bench(record), respond(record)
    start, eps = float(response.rest.phi), b.record.overclose
    cuts = _corners(b, start)
    results = {key: float(value) for key, value in response.results.items()}
    opened = results["breakout_energy"] + results["drag_torque"] * (results["let_go_angle"] - results["rest_angle"])
    assert opened == pytest.approx(_store(b, start) + _loss(b, +1, start, cuts), rel=1e-5)

    def shut(phi):
        return felt(response, phi - eps, opening=False)

    closed = _quadrature(shut, start, mouth(b), cuts)
    assert closed == pytest.approx(_store(b, start) - _loss(b, -1, start, cuts), rel=1e-5)
    lost = _loss(b, +1, start, cuts) + _loss(b, -1, start, cuts)
    assert opened - closed == pytest.approx(lost, rel=2e-5)
    assert lost > 0.1 * closed


SNAPPING = {
    "two drills": demo(edge_radius=0, overclose=0),
    "two drills, over-closed": demo(edge_radius=0, overclose=0.006),
    "deep": demo(rim_feed=0.16e-3, overclose=0.004),
    "deep and limp": demo(rim_feed=0.16e-3, overclose=0.004, lateral_compliance=1.5e-5),
    "handed to the rim": demo(edge_radius=0, overclose=0, rim_feed=0.1e-3, lateral_compliance=1e-5),
    "proud": demo(edge_radius=0, overclose=-0.01),
    "static": demo(edge_radius=0, overclose=0.006, static_friction=0.2),
    "static, slides on": one_drill(overclose=0.022, static_friction=0.16),
    "frictionless": demo(rim_feed=0.16e-3, overclose=0.004, friction=0.0),
    "a wide ball": demo(edge_radius=0, ball_radius=1.05 * BALL, rim_feed=0.15e-3, rim_tangent=CONE_118),
}


@pytest.mark.parametrize("name", SNAPPING)
def test_breakout_energy_over_a_jump_at_one_blade_angle(name):
    record = SNAPPING[name]
    b, response = bench(record), respond(record)
    if "slides on" not in name:
        assert "snaps" in raised(response)
    start = max(0.0, -b.record.overclose)
    rest = walk_shut(b, 1.4 * mouth(b)).phi[-1] if b.record.overclose > 0 else 0.0
    results = {key: float(value) for key, value in response.results.items()}
    opened = walk_open(b, rest, start, steps=20001, end=results["let_go_angle"])
    work = np.trapezoid(opened.torque, opened.theta) - results["drag_torque"] * (results["let_go_angle"] - start)
    assert results["breakout_energy"] == pytest.approx(work, rel=2e-4)
    # The finger also paid for the side give that the jump lets loose: more than bar and friction took.
    spent = _store(b, rest) + _loss(b, +1, max(rest, 1e-9), _corners(b, rest))
    spent -= results["drag_torque"] * (results["let_go_angle"] - start) + results["draw_torque"] ** 2 * b.give / 2
    if "slides on" not in name and "static" not in name and "proud" not in name:
        assert work > 1.0005 * spent


@pytest.mark.parametrize(("share", "near"), [(0.9, 1e-6), (0.98, 1e-4)])
def test_work_of_a_ball_on_the_verge_of_locking(share, near):
    """Against some thousand panels, dense where the torque climbs steeply: the friction is a share of what locks."""
    rigid = one_drill(edge_radius=0, lateral_compliance=0.0, overclose=0.01)
    steepest = np.tan(float(respond(rigid).results["contact_angle"]))
    record = rigid._replace(friction=np.asarray(share / steepest), static_friction=np.asarray(share / steepest))
    response = respond(record)
    rest, last = float(response.rest.phi), float(segments.mouth_angle(response.load))
    edges = rest + (last - rest) * np.linspace(0, 1, 1001) ** 4
    nodes, weights = leggauss(8)
    middle, half = (edges[1:] + edges[:-1]) / 2, np.diff(edges) / 2
    torque = torque_at(response.load, np.ravel(middle[:, None] + half[:, None] * nodes), opening=True)[0]
    work = float(half @ (torque.reshape(-1, nodes.size) @ weights))
    above = work - float(response.results["drag_torque"]) * (last - rest)
    assert float(response.results["breakout_energy"]) == pytest.approx(above, rel=near)
