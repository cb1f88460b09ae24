"""Coats on tang, ball and bar: against the coated sizes typed by hand, and against a larger ball on bare metal.

A ball of radius R that rides a profile moved out by t along its normals has its middle where that of a ball of radius
R + t lies over the profile itself: both are the profile dilated by R + t (Minkowski sums are associative; any text on
mathematical morphology). Nothing of the coat's own formulas enters that.
"""

import numpy as np
import pytest
from helpers.garden import garden

import detentsim as ds
from detentsim.knife.record.fields import COATS, assemble, uncoated
from detentsim.knife.record.record import plain, record
from detentsim.mechanics.contact import dimple, envelope
from detentsim.mechanics.response import respond

GARDEN = garden()
T = 0.012  # mm
HALF = np.radians(59)
EVERY = ("breakout_force", "draw_torque", "drag_force", "closing_spare", "contact_pressure", "riding_force")


def numbers_of(build):
    found = respond(record(build), EVERY)
    return {name: float(value) for name, value in found.results.items()}, {k for k, v in found.flags.items() if v}


@pytest.mark.parametrize(
    "base",
    [
        {},
        {"dimple.rim_drill": "none", "dimple.rim_feed": None},
        {"dimple.pilot_point_angle": "135 deg", "dimple.pilot_depth": "0.05 mm"},
    ],
)
@pytest.mark.parametrize("seats", ["masked", "coated"])
def test_a_coated_knife_is_the_knife_of_its_coated_sizes(base, seats):
    bare = GARDEN.change(base)
    coats = {"tang.coating": f"{T} mm", "bar.coating": "0.005 mm", "ball.coating": "0.003 mm", "pivot.seats": seats}
    pilot = np.radians(67.5) if "dimple.pilot_point_angle" in base else HALF
    gap = 20 * 0.0254 - (T + 0.005 if seats == "masked" else 0)
    depth = bare.si("dimple.pilot_depth") * 1e3 + T * (1 - np.tan(pilot / 2))
    by_hand = {
        "dimple.pilot_drill": f"{0.055 * 25.4 - 2 * T:.9f} mm",
        "dimple.pilot_depth": f"{depth:.12f} mm",
        "dimple.edge_radius": f"{0.02 + T:.9f} mm",
        "tang.face_gap": f"{gap:.9f} mm",
        "ball.diameter": f"{25.4 / 16 + 0.006:.9f} mm",
        "ball.protrusion": f"{0.635 + 0.003 - 0.005:.9f} mm",
    }
    if not base.get("dimple.rim_drill"):
        by_hand["dimple.rim_drill"] = f"{0.0595 * 25.4 - 2 * T:.9f} mm"
        by_hand["dimple.inner_edge_radius"] = f"{T} mm"
        by_hand["dimple.rim_feed"] = f"{0.07 + T * (1 - np.tan(HALF / 2)):.12f} mm"
    found, flags = numbers_of(bare.change(coats))
    wanted, same = numbers_of(bare.change(by_hand))
    assert flags == same
    for name in EVERY:
        assert found[name] == pytest.approx(wanted[name], rel=1e-7), name


def test_a_ball_on_a_coat_rides_like_a_larger_ball_on_bare_metal():
    """Exact on every piece of the dimple, unless the outer rounding ends between wall and cone, which is a point."""
    rng = np.random.default_rng(3)
    n, s = 60, np.linspace(0, 1.3e-3, 300)
    t = rng.uniform(2e-6, 30e-6, n)
    sizes = {
        "dimple.pilot_drill": rng.uniform(1.3e-3, 1.7e-3, n),
        "dimple.rim_drill": rng.uniform(1.75e-3, 1.9e-3, n),
        "dimple.pilot_depth": rng.uniform(0.1e-3, 0.7e-3, n),
        "dimple.point_angle": rng.uniform(1.6, 2.4, n),
        "dimple.rim_feed": rng.uniform(0.0, 0.25e-3, n),
        "dimple.edge_radius": rng.uniform(0.0, 0.04e-3, n),
    }
    coated = assemble(sizes | {"ball.diameter": np.full(n, 2e-3), "tang.coating": t})
    larger = assemble(sizes | {"ball.diameter": 2e-3 + 2 * t})
    depths = [one.ball_radius[:, None] - dimple.ball_height(envelope.pieces(one), s)[0] for one in (coated, larger)]
    apart = np.max(np.abs(depths[0] - depths[1]), axis=1)
    wall = sizes["dimple.rim_feed"] - (coated.rim_radius - coated.pilot_radius) / coated.rim_tangent
    between = (wall > 0) & (wall < coated.edge_radius)
    assert 2 < np.count_nonzero(between) < n / 3
    assert np.max(apart[~between]) < 1e-12
    assert np.all(apart[between] < 0.15 * t[between])


def test_a_coat_of_no_thickness_changes_nothing():
    coats = dict.fromkeys(COATS, "0 mm")
    for one, other in zip(record(GARDEN), record(GARDEN.change(coats)), strict=True):
        np.testing.assert_array_equal(one, other)
    bare = assemble(uncoated(plain(GARDEN.change(dict.fromkeys(COATS, "0.01 mm")))))
    for one, other in zip(record(GARDEN), bare, strict=True):
        np.testing.assert_array_equal(one, other)


def test_a_loose_ball_s_height_in_the_finished_dimple_gives_the_feed_that_was_drilled():
    coated = GARDEN.change({"tang.coating": "0.01 mm"})
    height = float(respond(record(coated)).results["loose_ball_height"])
    told = coated.change({"dimple.rim_feed": None, "dimple.loose_ball_height": f"{height * 1e3:.12f} mm"})
    assert float(np.asarray(plain(told)["dimple.rim_feed"])) == pytest.approx(0.07e-3, abs=1e-9)


def test_the_bench_reads_the_ball_before_the_coat_is_on():
    bare, coated = ds.curve(GARDEN), ds.curve(GARDEN.change({"tang.coating": "0.01 mm"}))
    assert [t.height for t in coated.bench.tries] == [t.height for t in bare.bench.tries]
    assert [t.breakout for t in coated.bench.tries] != [t.breakout for t in bare.bench.tries]
    assert "proud, before any coat." in coated.bench.steps[1].read
    assert coated.results["loose_ball_height"] != bare.results["loose_ball_height"]
