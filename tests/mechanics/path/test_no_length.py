"""Designs about a place where a piece of the dimple comes to nothing: flags and results are their neighbours'.

The places are found in closed form from drills and edge radius, not from the package's own pieces.
"""

import numpy as np
import pytest
from helpers.records import demo
from helpers.scattered import scatter

from detentsim.mechanics.record import Record
from detentsim.mechanics.response import respond

# Share by which a size is off the place, to either side.
BESIDE = np.concatenate([-(10.0 ** np.arange(-6, -16, -1.0)), [0.0], 10.0 ** np.arange(-15, -5, 1.0)])


def neighbours(design, field, at):
    """Responses of n designs with `field` at and beside `at`, shape (21, n)."""
    return respond(design._replace(**{field: at * (1 + BESIDE[:, None])}))


def spread(found, name):
    """Greatest difference of a result between neighbours, over its size."""
    values = found.results[name]
    known = ~np.isnan(values)
    assert np.all(known == known[0])
    values = values[:, known[0]]
    return np.max(np.ptp(values, axis=0) / np.maximum(np.max(np.abs(values), axis=0), 1e-12))


@pytest.mark.parametrize("inner", [0.0, 0.02e-3])
def test_a_flank_that_is_just_rounded_away_makes_no_snap(inner):
    """The broken edge reaches from `a1 + q tau + r_e tan(d/2)` inward by `r_e sin(d)`, just to the pilot's wall."""
    n = 400
    many = Record(*(np.array(np.broadcast_to(field, n)) for field in scatter(n, 12)))
    slope = np.arctan(1 / many.rim_tangent)
    edge = np.maximum(many.edge_radius, 5e-6)
    feed = edge * (np.sin(slope) - np.tan(slope / 2)) / many.rim_tangent
    design = many._replace(edge_radius=edge, rim_radius=many.rim_radius + 0.1e-3, inner_edge_radius=np.full(n, inner))
    found = neighbours(design, "rim_feed", feed)
    snaps = found.flags["snaps"]
    np.testing.assert_array_equal(snaps, np.broadcast_to(snaps[0], snaps.shape))
    assert snaps[0].any()
    for name in ("seat_depth", "breakout_torque", "breakout_force", "let_go_angle", "breakout_energy"):
        assert spread(found, name) < 1e-5, name


@pytest.mark.parametrize("edge", [0.0, 0.02e-3])
def test_a_centred_ball_at_the_very_end_of_a_flank_sits_on_no_floor(edge):
    """The flank touches the ball `R sin(d)` from its axis, where the broken edge begins; the floor is far below."""
    a1 = np.linspace(0.2e-3, 0.38e-3, 200)
    base = demo(edge_radius=edge, pilot_depth=0.9e-3, pilot_radius=a1)
    ball, tau = float(base.ball_radius), float(base.rim_tangent)
    slope = np.arctan(1 / tau)
    feed = (ball * np.sin(slope) - a1 - edge * (np.tan(slope / 2) - np.sin(slope))) / tau
    found = neighbours(base._replace(rim_radius=np.asarray(ball)), "rim_feed", feed)
    assert not found.flags["ball_on_floor"].any()
    assert not found.flags["bar_on_tang"].any()
    assert spread(found, "seat_depth") < 1e-5
    seat = ball + feed + a1 / tau - ball / np.cos(slope)
    np.testing.assert_allclose(found.results["seat_depth"][10], seat, rtol=1e-9)


def test_a_sharp_edge_without_a_wall_is_a_broken_one_of_no_radius():
    """On an elastic rim the edge's wedge of metal counts: that of a sharp edge is the limit of rounder ones."""
    drilled = {"elastic_rim": 1, "pilot_radius": 0.3e-3, "rim_feed": 0.03e-3, "rim_radius": 0.95e-3}
    sharp, broken = (respond(demo(edge_radius=radius, **drilled)).load.spring.bed for radius in (0.0, 1e-10))
    assert float(sharp / broken) == pytest.approx(1, rel=1e-4)
