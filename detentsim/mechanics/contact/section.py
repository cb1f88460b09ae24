"""Half section of the drilled dimple with its broken edge.

Self-contained; ``envelope`` finds which parts of it carry the ball.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

if TYPE_CHECKING:
    from detentsim.mechanics.record import Array, Record, Truth


# Share of flank and wall that the rounding of the edge below it leaves at least, so that the edges stay apart.
LEFT = 1e-6


class Section(NamedTuple):
    """Half section of the dimple; lengths in [m], each of the designs' shape."""

    fillet_r: Array  # radius of the rounded edge's centre circle; the mouth
    fillet_sin: Array  # largest sine of the slope on the rounded edge
    edge_r: Array  # radius of its lower end
    edge_z: Array  # depth of its lower end
    inner_r: Array  # radius of the rim cut's inner edge, on the pilot's wall
    inner_z: Array  # depth of that edge
    inner_round: Array  # its radius, as much of it as has room below the upper edge
    inner_centre: Array  # depth of that rounding's centre
    flank_tan: Array  # slope of the rim cut's flank
    corner_r: Array  # radius at which the two cones of the floor cross
    steep_tan: Array  # slope of the steeper cone
    steep_z: Array  # depth of its line at the pilot's radius
    flat_tan: Array  # slope of the flatter cone
    flat_z: Array  # depth of its line at the pilot's radius


def section(record: Record) -> Section:
    """Half section of the drilled dimple with its broken edge, from drills, depths and edge radius.

    Parameters
    ----------
    record : Record
        Designs of any shape.

    Returns
    -------
    Section

    Notes
    -----
    The broken edge is a disc of the edge radius rolled in the outermost cut: against its wall where the cutter's full
    diameter reaches deeper than the radius, against the wall's lower end or the cone below that. The edge between the
    cuts is a disc of its own radius that touches the pilot's wall and the cone. In a pilot shallower
    than its own rounding the rounding ends on the floor. Exact, derived in studies/00-the-model.ipynb, but for a pilot
    shallower than the edge radius with a steeper second drill through its floor, where a few um are missed; no knife
    has that.

    Examples
    --------
    >>> import detentsim as ds
    >>> sec = section(ds.curve(ds.demo()).response.load.record)
    >>> bool(sec.inner_r < sec.edge_r < sec.fillet_r)
    True
    """
    fillet_r, sine = _rounded_edge(record)
    a1, r_e = record.pilot_radius, record.edge_radius
    reaches, inner_r, run = _rounding_ends(record, fillet_r, r_e * sine)
    with np.errstate(divide="ignore", invalid="ignore"):
        sine = np.where(reaches, np.where(r_e > 0, np.minimum(run / r_e, 1), 1.0), sine)
    edge_r = np.where(reaches, inner_r, fillet_r - r_e * sine)
    edge_z = r_e * (1 - np.sqrt(1 - sine**2))
    inner_z = np.where(reaches, edge_z, record.rim_feed)
    corner, steep, steep_z, flat, flat_z = _floor(record)
    cut = a1 - inner_r
    flank = 1 / record.rim_tangent
    inner_round, centre = _inner_rounding(record, flank, edge_r - inner_r, record.pilot_depth - inner_z)
    floor = (np.minimum(corner, inner_r), steep, steep_z + cut * steep, flat, flat_z + cut * flat)
    return Section(fillet_r, sine, edge_r, edge_z, inner_r, inner_z, inner_round, inner_z + centre, flank, *floor)


def _inner_rounding(record: Record, flank: Array, across: Array, wall: Array) -> tuple[Array, Array]:
    """Radius of the edge between the cuts [m], and how far its centre lies below that edge [m].

    The disc touches the pilot's wall, which reaches `wall` below the edge, and the flank, which is `across` wide [m].
    """
    slant = np.sqrt(1 + flank**2)
    room = np.minimum(across / (1 - flank / slant), wall / (slant - flank))
    rounding = np.minimum(record.inner_edge_radius, (1 - LEFT) * np.maximum(room, 0))
    return rounding, rounding * (slant - flank)


def _rounding_ends(record: Record, fillet_r: Array, natural: Array) -> tuple[Truth, Array, Array]:
    """Truth of the rounding reaching the pilot; its inner radius, and its extent inward [m]."""
    a1, r_e, tangent = record.pilot_radius, record.edge_radius, 1 / record.pilot_tangent
    at_wall = fillet_r - a1
    reaches = natural >= at_wall - 1e-12 * a1
    left = np.sqrt(np.maximum(r_e**2 - at_wall**2, 0))
    walled = record.pilot_depth >= r_e - left
    # Where the pilot's point comes out of the rounding again: line against circle.
    drop = r_e - record.pilot_depth + at_wall * tangent
    under = (1 + tangent**2) * r_e**2 - drop**2
    meet = (drop * tangent - np.sqrt(np.maximum(under, 0))) / (1 + tangent**2)
    run = np.where((under > 0) & (meet > at_wall) & (meet < natural), meet, natural)
    run = np.where(walled, at_wall, run)
    return reaches, np.where(reaches & ~walled, fillet_r - run, a1), run


def _rounded_edge(record: Record) -> tuple[Array, Array]:
    """Centre radius of the rolled disc [m] and the largest sine of slope on it."""
    tau, r_e = record.rim_tangent, record.edge_radius
    rim = np.minimum(record.rim_radius, record.pilot_radius + record.rim_feed * tau)
    wall = np.maximum(0, record.rim_feed - (record.rim_radius - record.pilot_radius) / tau)
    slope = np.arctan(1 / tau)
    # Without a wall the edge is tangent to the cone, a sharp one too.
    on_wall, on_corner = (wall > 0) & (wall >= r_e), (wall > 0) & (wall >= r_e * (1 - np.cos(slope)))
    corner = np.sqrt(np.maximum(2 * r_e * wall - wall**2, 0))
    reach = np.where(on_corner, corner, tau * wall + r_e * np.tan(slope / 2))
    reach = np.where(on_wall, r_e, reach)
    with np.errstate(divide="ignore", invalid="ignore"):
        sine = np.where(on_corner, corner / r_e, sine_of(1 / tau))
    return rim + reach, np.where(on_wall, 1.0, sine)


def sine_of(tangent: Array) -> Array:
    """Sine of a slope from its tangent [-]; the same digits wherever a slope is asked for.

    >>> float(sine_of(np.array(0.75)))
    0.6
    """
    return np.asarray(tangent / np.sqrt(1 + tangent**2))


def _floor(record: Record) -> tuple[Array, Array, Array, Array, Array]:
    """Floor inside the pilot's radius: the deeper of the two drill points at each radius."""
    pilot, rim = 1 / record.pilot_tangent, 1 / record.rim_tangent
    pilot_z, rim_z = record.pilot_depth, record.rim_feed
    steep_is_pilot = (pilot > rim) | ((pilot == rim) & (pilot_z >= rim_z))
    steep, flat = np.where(steep_is_pilot, pilot, rim), np.where(steep_is_pilot, rim, pilot)
    steep_z, flat_z = np.where(steep_is_pilot, pilot_z, rim_z), np.where(steep_is_pilot, rim_z, pilot_z)
    with np.errstate(divide="ignore", invalid="ignore"):
        corner = record.pilot_radius - (flat_z - steep_z) / (steep - flat)
    corner = np.where(steep == flat, record.pilot_radius, corner)
    return np.clip(corner, 0, record.pilot_radius), steep, steep_z, flat, flat_z
