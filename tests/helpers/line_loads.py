"""Greatest line load of a ball beside the middle of its rim: solved apart from the package, and the package's own."""

import numpy as np

from detentsim.mechanics.contact.coining.loaded_arc import line_load
from detentsim.mechanics.contact.rim import Edge
from helpers.elastic_rim import POISSON, Pair, both

STEEL = 210e9 / (1 - POISSON**2)

NAMES = ("ball_radius_mm", "hole_over_ball", "edge_mm", "force_N", "offset_mm", "line_load_N_mm")


class Turned(Pair):
    """A ball beside the middle of its rim, whose gives are those where and at the angle at which it touches there."""

    def __init__(self, ball, hole, edge, offset, places):
        self.offset = offset
        super().__init__(ball, hole, edge, places=places)

    def gives(self, hole, edge):
        return both(hole, edge, round((hole + edge - self.offset / self.ball) / (1 + edge), 6))


def package_load(row):
    """Greatest line load by the package [N/mm], of a row of `NAMES`."""
    ball, hole, edge, force, offset = (row[name] for name in NAMES[:5])
    sine = (hole * ball + edge - offset) / (ball + edge)
    one = Edge(ball * 1e-3, sine, edge * 1e-3, np.pi / 2, np.pi / 4)
    return float(line_load(one, (STEEL, STEEL), force, offset * 1e-3)) / 1e3
