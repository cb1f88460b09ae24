"""The rounded edge between the two drills' cuts against a grey opening of the drilled profile on a grid."""

import numpy as np
import pytest
from helpers.dilation import INCH, TAN_59, drilled, opened_on_a_grid

from detentsim.mechanics.contact import dimple, envelope


@pytest.mark.parametrize("feed", [0.12e-3, 0.2e-3])  # the rim cut a cone alone; a wall over it
def test_edge_between_the_drills_is_rounded_as_an_opening_on_a_grid(feed):
    """A disc rolled over both cuts rounds both edges: a grey opening of the profile, no formula of the package."""
    edge, ball, step = 40e-6, INCH / 32, 0.25e-6
    design = drilled(0.6e-3, 0.85e-3, feed, edge_radius=edge, inner_edge_radius=edge)
    r = np.arange(-1.2e-3, 1.2e-3, step)
    away = np.abs(r)
    cone = np.minimum(-feed + (away - 0.6e-3) / TAN_59, 0.0)
    cut = np.where(away < 0.85e-3, cone, 0.0)
    height = np.where(away < 0.6e-3, -2e-3, cut)
    s = np.linspace(0.05e-3, 0.8e-3, 16)
    grid = opened_on_a_grid(r, height, edge, ball, s)
    shape = envelope.pieces(design)
    sharp = envelope.pieces(design._replace(inner_edge_radius=np.array(0.0)))
    np.testing.assert_allclose(dimple.ball_height(shape, s)[0], grid, rtol=0, atol=2 * step)
    assert np.max(dimple.ball_height(sharp, s)[0] - dimple.ball_height(shape, s)[0]) > 3e-6


def test_edge_between_the_drills_is_no_rounder_than_has_room():
    s, full = np.linspace(0, 0.5e-3, 20), 0.07e-3 * TAN_59 / (1 - np.cos(np.radians(59)))
    wide, room = (envelope.pieces(drilled(0.7e-3, 2e-3, 0.07e-3, inner_edge_radius=q)) for q in (1e-3, full))
    np.testing.assert_allclose(dimple.ball_height(wide, s), dimple.ball_height(room, s), rtol=0, atol=1e-8)
