"""Stable branches of the path: the parts with `d theta/d phi > 0` that a moving blade passes through.

Where the blade angle falls as the ball moves outward, the blade jumps at constant angle. So the path is cut where the
blade angle turns, the falling parts are dropped, and of each rising part only what lies ahead of the blade is kept:
beyond the largest angle so far in opening, below the smallest so far in closing. Stands on ``segments``; torque at
blade angles, the work of opening and the motion of the blade stand on it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from detentsim.mechanics.detent import balance
from detentsim.mechanics.path import extrema, segment_rows, segments

if TYPE_CHECKING:
    from detentsim.mechanics.path.segment_rows import Rule, Segments
    from detentsim.mechanics.record import Array, Index, Truth

# A blade angle that falls by less than this from point to point counts as constant [rad]; of one beyond a radian, as
# a bar that gives absurdly far sideways makes it, this share of itself.
STANDS = 1e-14

# If the torque's fall, as blade angle, is a smaller share of the segment's width, the blade angle cannot turn back
# inside: the steepest fall on a segment is less than ten times its average.
GENTLE = 0.1

# Points at which to look for such a turn, as shares of the segment: dense toward its ends.
INSIDE = (1 - np.cos(np.pi * np.arange(21) / 20)) / 2
SHARES = np.union1d(INSIDE, [1e-6, 1 - 1e-6])

# Points of a first and of a second look, and the rise of the blade angle over the ball angle between two of them that
# needs no further look.
LOOKS = ((INSIDE[::4], 0.5), (INSIDE, 0.1))

# Blade angle put in place of infinity where the ball locks: a solver needs a finite number [rad].
FAR = 1e6


class StableBranches(NamedTuple):
    """Stable branches of the path, outward: `d theta/d phi > 0` and not yet passed; fields of shape (m,)."""

    ways: Segments  # cut down to the branch
    hold: Array  # ball angle at which the ball comes onto the branch, and may stick [rad]
    low: Array  # blade angle from which the ball slips along it [rad]
    high: Array  # blade angle up to which it does [rad]
    before: Array  # largest blade angle of the branches before, in closing the smallest [rad]


def opening_turn(ways: Segments, phi: Array) -> Array:
    """Blade angle of the slipping ball in opening at ball angles `phi` [rad]; at most `FAR`, where the ball locks.

    `theta = phi - eps + C T_open(phi)`, derived in studies/00-the-model.ipynb; shapes (m,) or (k, m).
    """
    return np.minimum(segments.opening_angle(ways, phi), FAR)


def closing_turn(ways: Segments, phi: Array) -> Array:
    """Blade angle of the slipping ball in closing at ball angles `phi` [rad]; at most `FAR`.

    `theta = phi - eps + C T_close(phi)`, derived in studies/00-the-model.ipynb; shapes (m,) or (k, m).
    """
    return np.minimum(segments.closing_angle(ways, phi), FAR)


def turn(*, opening: bool) -> Rule:
    """Function that gives the blade angle at ball angles of segments, for one sense of motion.

    >>> turn(opening=True) is opening_turn, turn(opening=False) is closing_turn
    (True, True)
    """
    return opening_turn if opening else closing_turn


def climb(*, opening: bool) -> extrema.Climb:
    """Function that gives the blade angle, at most `FAR` [rad], and its slope [-], for one sense of motion."""

    def climbs(ways: Segments, phi: Array) -> tuple[Array, Array]:
        torque, slope = segments.climb(ways, phi, opening=opening)
        return np.minimum(segments.angle(ways, phi, torque), FAR), segments.turning(ways, slope)

    return climbs


def downhill(rule: extrema.Climb) -> extrema.Climb:
    """Function that gives a quantity and its slope with their signs turned."""

    def turned(ways: Segments, phi: Array) -> tuple[Array, Array]:
        value, slope = rule(ways, phi)
        return -value, -slope

    return turned


def stands(theta: Array) -> Array:
    """Fall of the blade angle about `theta` that is rounding alone; shape of `theta` [rad].

    >>> stands(np.array([0.02, -150.0])).tolist()
    [1e-14, 1.5e-12]
    """
    return np.asarray(STANDS * np.clip(np.abs(theta), 1.0, FAR))


def falls(ways: Segments, torque: Array, theta: Array, slopes: Array, *, opening: bool) -> Truth:
    """Truth of each segment that the blade angle falls somewhere: at an end, or inside where the torque falls steeply.

    Parameters
    ----------
    ways : Segments
        m segments.
    torque, theta, slopes : array, shape (2, m)
        Torque [N m], blade angle [rad] and its slope over the ball angle [-] at both ends.
    opening : bool
        Sense of motion.

    Returns
    -------
    array of bool, shape (m,)

    Notes
    -----
    `d theta/d phi = 1 + C dT/d phi < 0`, derived in studies/00-the-model.ipynb.

    Examples
    --------
    >>> import detentsim as ds
    >>> flat = segments.flatten(ds.curve(ds.demo()).response.load, ())
    >>> ways = segments.cut(flat, np.zeros(1), np.reshape(segments.mouth_angle(flat), 1))
    >>> torque = segments.torque(ways, segments.ends(ways), opening=True)
    >>> theta, slopes = climb(opening=True)(ways, segments.ends(ways))
    >>> bool(falls(ways, torque, theta, slopes, opening=True).any()) == bool("snaps" in ds.curve(ds.demo()).flags)
    True
    """
    with np.errstate(invalid="ignore"):
        falling = np.any(slopes < 0, axis=0) | (theta[1] < theta[0] - stands(theta[0]))
        drop = balance.twist(ways.give, _from_crest(ways, torque[0], opening) - torque[1])
        steep = np.flatnonzero(~falling & (drop > GENTLE * (ways.right - ways.left)))
    # Past its crest the torque on an elastic rim falls ever faster: a cell with a crest in it is as gentle as the next.
    for shares, gently in LOOKS:
        if steep.size:
            part = segment_rows.select(ways, steep)
            inside = turn(opening=opening)(part, segments.points(part, shares[1:-1]))
            rises = np.diff(inside, axis=0, prepend=theta[:1, steep], append=np.minimum(theta[1:, steep], FAR))
            sinks = np.any(rises < -stands(theta[0, steep]), axis=0)
            falling[steep[sinks]] = True
            gentle = gently * (part.right - part.left) * np.diff(shares)[:, None]
            steep = steep[~sinks & np.any(rises < gentle, axis=0)]
    if steep.size:
        part = segment_rows.select(ways, steep)
        falling[steep] = np.any(_looked(part, climb(opening=opening))[1] < 0, axis=0)
    return np.asarray(falling)


def _looked(part: Segments, climbs: extrema.Climb) -> tuple[Array, Array]:
    """Ball angles at `SHARES` of each segment, outward [rad], and slope of the blade angle there [-].

    Where it nowhere falls, the place of the least slope stands for the point beside it: a blade that snaps by a hair
    falls between two points.
    """
    phi = segments.points(part, SHARES)
    slope = climbs(part, phi)[1]
    rows = np.flatnonzero(np.all(slope >= 0, axis=0))
    if rows.size:
        least = np.clip(np.argmin(slope[:, rows], axis=0), 1, SHARES.size - 2)
        low, high = phi[least - 1, rows], phi[least + 1, rows]
        some = segment_rows.select(part, rows)
        shallow, place = extrema.zoom(some, lambda ways, phi: -climbs(ways, phi)[1], low, high)
        phi[least, rows], slope[least, rows] = place, -shallow
    return phi, slope


def _from_crest(ways: Segments, torque: Array, opening: bool) -> Array:
    """Torque that each segment falls from [N m]: at its inner end, or on an elastic rim that on a rigid one, if higher.

    On an elastic rim the torque may rise to a crest first, which lies near what the rigid rim has at the inner end.
    """
    if ways.bed is None or not np.any(ways.give):
        return torque
    return np.maximum(torque, segments.torque(ways._replace(bed=None), ways.left, opening=opening))


def stable_branches(ways: Segments, theta: Array, falling: Truth, slip: Array, *, opening: bool) -> StableBranches:
    """Stable branches of a path, cut down to what a moving blade passes through.

    Parameters
    ----------
    ways : Segments
        m segments of n designs.
    theta : array, shape (2, m)
        Blade angle at both ends of each segment [rad].
    falling : array of bool, shape (m,)
        Segments on which the blade angle falls somewhere, by `falls`.
    slip : array, shape (n,)
        Blade angle of each design at which the opening ball first slips [rad].
    opening : bool
        Sense of motion.

    Returns
    -------
    StableBranches

    Notes
    -----
    Kept where `d theta/d phi = 1 + C dT/d phi > 0`, derived in studies/00-the-model.ipynb.
    """
    ways, low, high = _rises(ways, theta, falling, opening)
    design = ways.design
    if opening:
        before = largest_before(design, high, slip)
        keep = np.flatnonzero(high > before)
    else:
        beyond = np.full(slip.size, -np.inf)
        before = -largest_before(slip.size - 1 - design[::-1], -low[::-1], beyond)[::-1]
        keep = np.flatnonzero(low < before)
    part, low, high, before = segment_rows.some_or_all(ways, keep), low[keep], high[keep], before[keep]
    ends = low - before, high - before
    if opening:
        left = _landing(part, low < before, before, opening_turn, ends, part.left)
        return StableBranches(part.between(left, part.right), part.left, np.maximum(low, before), high, before)
    right = _landing(part, high > before, before, closing_turn, ends, part.right)
    return StableBranches(part.between(part.left, right), part.right, low, np.minimum(high, before), before)


def _rises(ways: Segments, theta: Array, falling: Truth, opening: bool) -> tuple[Segments, Array, Array]:
    """Cut the path where the blade angle turns and drop the falling parts; with the blade angle at both ends [rad]."""
    low, high = theta[0], np.minimum(theta[1], FAR)
    cuts = np.flatnonzero(falling)
    if not cuts.size:
        return ways, low, high
    part, rule = segment_rows.select(ways, cuts), turn(opening=opening)
    crest, valley = _turns(part, climb(opening=opening))
    right, top = np.array(ways.right), np.array(high)
    right[cuts], top[cuts] = crest, rule(part, crest)
    index = np.concatenate([np.arange(falling.size), cuts])
    put = np.argsort(np.concatenate([np.arange(falling.size), cuts + 0.5]))
    left, right = np.concatenate([ways.left, valley])[put], np.concatenate([right, part.right])[put]
    ways = segment_rows.select(ways, index[put]).between(left, right)
    return ways, np.concatenate([low, rule(part, valley)])[put], np.concatenate([top, high[cuts]])[put]


def _turns(part: Segments, climbs: extrema.Climb) -> tuple[Array, Array]:
    """Ball angles at which the blade angle begins to fall and at which it stops falling for good [rad]."""
    phi, slope = _looked(part, climbs)
    sinks = slope < 0
    some, last = np.any(sinks, axis=0), SHARES.size - 1
    begins, ends = np.argmax(sinks, axis=0) - 1, last - np.argmax(sinks[::-1], axis=0)
    crest = _turn_in(part, climbs, (phi, slope), np.where(some, begins, -1), phi[0])
    valley = _turn_in(part, downhill(climbs), (phi, -slope), np.where(some, ends, last), phi[-1])
    return crest, np.maximum(crest, valley)


def _turn_in(part: Segments, climbs: extrema.Climb, looked: tuple[Array, Array], cell: Index, else_: Array) -> Array:
    """Ball angle of the crest between the two points of a cell of each segment [rad]; `else_` where there is none."""
    turns, rows = else_.copy(), np.flatnonzero((cell >= 0) & (cell < SHARES.size - 1))
    if rows.size:
        (low, high), slopes = (field[cell[rows] + np.arange(2)[:, None], rows] for field in looked)
        turns[rows] = extrema.summit(segment_rows.select(part, rows), climbs, low, high, slopes)[1]
    return turns


def largest_before(design: Index, high: Array, start: Array) -> Array:
    """Largest of the design's `start` and of `high` of its rows before, for each row of shape (m,).

    >>> largest_before(np.array([0, 0, 1]), np.array([3.0, 1.0, 2.0]), np.array([0.0, 1.0])).tolist()
    [0.0, 3.0, 1.0]
    """
    rank = np.arange(design.size) - np.searchsorted(design, design)
    largest = start[design]
    for step in range(1, int(rank.max(initial=0)) + 1):
        here = np.flatnonzero(rank == step)
        largest[here] = np.maximum(largest[here - 1], high[here - 1])
    return largest


def _landing(part: Segments, jumped: Truth, at: Array, rule: Rule, ends: tuple[Array, Array], else_: Array) -> Array:
    """Ball angle at which a blade that jumped to `at` comes onto the branch; `else_` where it did not jump [rad].

    `ends` has the blade angle at both ends of the branch, less `at`.
    """
    phi, rows = np.array(else_), np.flatnonzero(jumped)
    if rows.size:
        some = segment_rows.select(part, rows)._replace(design=np.arange(rows.size))
        angle = at[rows]
        short: Rule = lambda ways, phi: rule(ways, phi) - angle[ways.design]  # noqa: E731
        phi[rows] = segments.root(some, some.left, some.right, short, (ends[0][rows], ends[1][rows]))
    return phi
