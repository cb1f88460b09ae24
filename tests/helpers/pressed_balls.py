"""The package's force across the dimple for a ball pressed into a drilled hole with a constant force, by offset."""

import numpy as np

from detentsim.mechanics.contact import envelope
from detentsim.mechanics.detent import bar_spring
from detentsim.mechanics.path import segment_rows, segments
from helpers.records import one_drill

ARM = 1.0  # pivot to ball so far that the ball's path is straight [m]
SOFT = 1e-3  # stiffness of a bar whose push does not change on the way [N/m]
MM = 1e-3


def solved(
    ball, hole, rounding, force, friction, *,
    elastic=True, moduli=(210e9, 210e9), poisson=0.3, stiffness=SOFT, second=None, inner=0.0,
):  # fmt: skip
    """A ball in a hole with a broken edge, sizes in mm, pressed by `force` [N]; radius and feed of a `second` drill,
    whose edge in the pilot has the radius `inner`.
    """
    record = one_drill(
        hole * MM, ball_radius=ball * MM, edge_radius=rounding * MM, friction=abs(friction), elastic_rim=float(elastic),
        pivot_to_ball=ARM, ball_modulus=moduli[0], tang_modulus=moduli[1], ball_poisson=poisson, tang_poisson=poisson,
        inner_edge_radius=inner * MM,
        **({} if second is None else {"rim_radius": second[0] * MM, "rim_feed": second[1] * MM}),
    )  # fmt: skip
    found = bar_spring.solve(record._replace(elastic_rim=np.asarray(0.0)))
    seat = found.shape.seat[..., 0]
    bar = found.spring._replace(
        stiffness=np.asarray(stiffness), reach=seat + force / stiffness, protrusion=np.asarray(1.0), swing=np.zeros(())
    )
    shape = found.shape._replace(meet=envelope.hand_over(record, found.shape))
    if elastic:
        bar = bar_spring.bedded(record, bar, shape)
    return found._replace(record=record, spring=bar, shape=shape)


def path(load, far):
    """Segments of the path out to an offset [mm]."""
    flat = segments.flatten(load, ())
    return segments.cut(flat, np.zeros(1), np.full(1, far * MM / ARM))


def across(load, offsets, *, opening=True):
    """Force across the dimple [N] at offsets [mm], the ball moving outward or inward."""
    ways = path(load, 1.001 * np.max(offsets))
    angles = 2 * np.arcsin(np.asarray(offsets) * MM / (2 * ARM))
    row = np.minimum(np.searchsorted(ways.right, angles), ways.right.size - 1)
    part = segment_rows.select(ways, row)
    return segments.torque(part, angles, opening=opening) / ARM
