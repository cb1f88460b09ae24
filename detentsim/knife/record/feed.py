"""Solves the feed of the second drill for the height of a loose ball in the dimple.

Inverts `detentsim.mechanics.contact.dimple.seat_depth`; called by `record` where that height is given.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from detentsim.knife.checks.problems import Problem
from detentsim.knife.record.fields import assemble
from detentsim.mechanics.contact import dimple, envelope
from detentsim.mechanics.record import Array, Index, Record, Truth
from detentsim.mechanics.roots import bracketed_root

if TYPE_CHECKING:
    from detentsim.knife.model import Build
    from detentsim.knife.record.inputs import Plain

# Feeds solved together for a loose-ball height; bounds the memory to some tens of megabytes.
FEEDS_AT_ONCE = 16_384

NO_FEED = "no feed of the second drill gives that loose-ball height"


def feed_for_height(numbers: Plain) -> tuple[Array, Truth]:
    """Return the rim feed at which a loose ball has the given height above the flat, and where there is none.

    Parameters
    ----------
    numbers : dict of str to float or array
        In SI by dotted name, as from `record.swept`; `dimple.loose_ball_height` [m] among them.

    Returns
    -------
    feed : array
        Quill travel [m], of the shape of the sizes it depends on; 0 where there is none.
    no_feed : array of bool
        True where no feed gives the height; False where the height is NaN.

    Notes
    -----
    Height is ball diameter less seat depth; bracketed root between no feed and one ball diameter.
    """
    wanted = np.asarray(numbers["dimple.loose_ball_height"], float)
    solved = assemble(numbers | {"dimple.rim_feed": 0.0})
    drills = ("pilot_radius", "pilot_depth", "pilot_tangent", "rim_radius", "rim_tangent")
    names = ("ball_radius", *drills, "edge_radius", "inner_edge_radius")
    needed = [np.asarray(getattr(solved, name), float) for name in names]
    shape = np.broadcast_shapes(wanted.shape, *(part.shape for part in needed))
    flat = [np.broadcast_to(part, shape).ravel() for part in needed]
    target = np.broadcast_to(wanted, shape).ravel()
    place = Record(*np.zeros(len(Record._fields)))
    sunk = np.broadcast_to(solved.rim_feed, shape).ravel()  # by a coat, before any feed

    def miss(feed: Array, index: Index) -> Array:
        parts = dict(zip(names, (part[index] for part in flat), strict=True))
        seat = dimple.seat_depth(envelope.pieces(place._replace(rim_feed=feed + sunk[index], **parts)))
        return np.asarray(2 * parts["ball_radius"] - seat - target[index])

    feed, bad = np.zeros_like(target), np.zeros(target.shape, bool)
    for start in range(0, target.size, FEEDS_AT_ONCE):
        part = np.arange(start, min(start + FEEDS_AT_ONCE, target.size))
        low, high = np.zeros(part.size), _full_feed(flat[0][part])
        root = bracketed_root(miss, low, high, close=1e-12, index=part)
        bad[part] = np.isnan(root) | (miss(low, part) <= 0)
        feed[part] = np.where(bad[part], 0.0, root)
    return feed.reshape(shape), (bad & ~np.isnan(target)).reshape(shape)


def _full_feed(ball_radius: Array) -> Array:
    """Return a feed of one ball diameter, beyond which the loose ball cannot sink further [m]."""
    return 2 * ball_radius


def no_feed_reason(build: Build, numbers: Plain) -> Problem:
    """Return the problem of a loose-ball height that no feed gives, with the heights that these drills reach.

    Parameters
    ----------
    build : Build
        Gives the source and the height as typed.
    numbers : dict of str to float
        In SI by dotted name, as from `record.swept`.

    Returns
    -------
    Problem
    """

    def height(feed: npt.ArrayLike) -> float:
        solved = assemble(numbers | {"dimple.rim_feed": feed})
        return 2 * float(solved.ball_radius) - float(dimple.seat_depth(envelope.pieces(solved)))

    low, high = height(_full_feed(assemble(numbers).ball_radius)), height(0.0)
    given = build.word("dimple.loose_ball_height")
    reach = f"this ball and these drills take it from above {low * 1e3:.3f} to below {high * 1e3:.3f} mm"
    text = f'"{given}" decides no feed; {reach}; give rim_feed instead, such as "0.05 mm"'
    return Problem(build.source, None, "dimple.loose_ball_height", text)
