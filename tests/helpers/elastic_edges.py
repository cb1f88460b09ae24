"""Ball carried by two elastic edges at once: each with the give of a hole of its own, at one height of the ball."""

import numpy as np
from scipy.optimize import brentq

from helpers.elastic_rim import Pair
from helpers.pressed_balls import MM, solved

# Half a step of differences [mm].
NEAR = 1e-6

CERAMIC = (310e3, 205e3)  # ball of silicon nitride on steel [N/mm^2]


def handed_over(sizes, force, friction, places=None):
    """Offsets about a hand-over [mm], elastic force across there, a rigid rim's at its crest [N], the package's load.

    `sizes`: radius of ball and pilot, that of the edge between the drills, second drill, its feed, edge radius [mm].
    Other offsets are those of `places` [mm]. How the two edges' gives couple through ball and tang is left out.
    """
    ball, hole, inner, rim, feed, edge = sizes
    moduli = tuple(1e6 * modulus for modulus in CERAMIC)
    load = solved(ball, hole, edge, force, friction, moduli=moduli, second=(rim, feed), inner=inner)
    met, *_, outer = load.shape.meet
    edges = []
    for piece in (3, int(outer)):  # the edge between the drills, and the rounded edge of the rim
        out, depth = (float(field[piece]) / MM for field in (load.shape.r, load.shape.z))
        rounding = max(float(load.shape.size[piece]) / MM - ball, 1e-3)
        edges.append((Pair(ball, round(out - rounding, 6), round(rounding, 6), CERAMIC), depth))
    offsets = met / MM + np.linspace(-0.03, 0.05, 41) if places is None else np.asarray(places)

    def height(offset):
        return max(pair.rigid_height(offset) - depth for pair, depth in edges)

    high = [height(offset) for offset in offsets]
    climb = (
        np.gradient(high, offsets)
        if places is None
        else [(height(s + NEAR) - height(s - NEAR)) / (2 * NEAR) for s in offsets]
    )
    across = []
    for offset, rigid, up in zip(offsets, high, climb, strict=True):

        def carried(sunk, offset=offset, rigid=rigid, up=up):
            return np.sum(
                [pair.forces(offset, rigid - sunk + depth, up, friction)[:2] for pair, depth in edges], axis=0
            )

        sunk = brentq(lambda sunk, carried=carried: carried(sunk)[0] - force, 1e-7, 0.04)
        across.append(carried(sunk)[1])
    tangent = float(load.shape.meet[3])
    return offsets, np.array(across), force * (tangent + friction) / (1 - friction * tangent), load
