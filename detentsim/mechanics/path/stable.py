"""The parts of the ball's way that a moving blade meets: those on which the blade angle rises outward.

Where the blade angle falls as the ball moves on, the blade jumps. So a way is cut where the angle turns, the falls are
left out, and of each rise only what lies ahead of all that the blade has met counts: beyond the largest angle so far
in opening, below the smallest so far in closing.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from detentsim.mechanics.path import at_ball_angle, extrema, segments

if TYPE_CHECKING:
    from detentsim.mechanics.path.segments import Rule, Segments
    from detentsim.mechanics.record import Array, Index, Truth

# A blade angle that falls by less than this from point to point is taken to stand [rad].
STANDS = 1e-14

# Share of a stretch below which its fall of torque, turned into blade angle, cannot turn the blade back between its
# ends: there a fall is nowhere ten times as steep as on the average.
GENTLE = 0.1

# Where to look for such a turn, as shares of the stretch: dense toward its ends.
INSIDE = (1 - np.cos(np.pi * np.arange(21) / 20)) / 2

SHARES = np.union1d(INSIDE, segments.ENDS)

# A ball that locks is at no angle; a solver needs a number to stay away from [rad].
FAR = 1e6


class StableBranches(NamedTuple):
    """What a moving blade meets, outward; shape (m,)."""

    ways: Segments  # cut down to it
    hold: Array  # ball angle at which the ball comes onto it, and may hold at a hand-over [rad]
    low: Array  # blade angle from which it slips here [rad]
    high: Array  # and to which
    before: Array  # largest blade angle met before, in closing the smallest [rad]


def opening_turn(ways: Segments, phi: Array) -> Array:
    """Blade angle of the opening ball, limited where it locks [rad]."""
    return np.minimum(segments.opening_angle(ways, phi), FAR)


def closing_turn(ways: Segments, phi: Array) -> Array:
    """Blade angle of the closing ball [rad]."""
    return np.minimum(segments.closing_angle(ways, phi), FAR)


def turn(*, opening: bool) -> Rule:
    """Blade angle as a rule for `stretches`, for one sense of motion."""
    return opening_turn if opening else closing_turn


def falls(ways: Segments, torque: Array, theta: Array, *, opening: bool) -> Truth:
    """Stretches on which the blade angle falls somewhere: at an end, or between where the torque falls steeply.

    Parameters
    ----------
    ways : Stretches
    torque, theta : array, shape (m, 4)
        At the stretches' ends [N m], [rad].
    opening : bool
        Sense of motion.

    Returns
    -------
    array of bool, shape (m,)
    """
    with np.errstate(invalid="ignore"):
        found = np.any(theta[:, 1:] < theta[:, :-1] - STANDS, axis=1)
        drop = at_ball_angle.twist(ways.spring.twist_give, np.max(torque, axis=1) - torque[:, 3])
        steep = np.flatnonzero(~found & (drop > GENTLE * (ways.right - ways.left)))
    if steep.size:
        part = segments.select(ways, steep)
        inside = turn(opening=opening)(part, segments.points(part, INSIDE))
        found[steep] = np.any(np.diff(inside, axis=1) < -STANDS, axis=1)
    return np.asarray(found)


def stable_branches(ways: Segments, theta: Array, falling: Truth, slip: Array, *, opening: bool) -> StableBranches:
    """Find what a moving blade meets of a way.

    Parameters
    ----------
    ways : Stretches
    theta : array, shape (m, 4)
        Blade angle at the stretches' ends [rad].
    falling : array of bool, shape (m,)
        As `falls` tells.
    slip : array, shape (n,)
        Blade angle of each design from which the opening ball slips [rad].
    opening : bool
        Sense of motion.

    Returns
    -------
    Climbs
    """
    ways, low, high = _rises(ways, theta, falling, opening)
    design = ways.design
    if opening:
        before = _largest_before(design, high, slip)
        keep = np.flatnonzero(high > before)
    else:
        beyond = np.full(slip.size, -np.inf)
        before = -_largest_before(slip.size - 1 - design[::-1], -low[::-1], beyond)[::-1]
        keep = np.flatnonzero(low < before)
    part, low, high, before = segments.select(ways, keep), low[keep], high[keep], before[keep]
    if opening:
        left = _landing(part, low < before, before, opening_turn, part.left)
        return StableBranches(part._replace(left=left), part.left, np.maximum(low, before), high, before)
    right = _landing(part, high > before, before, closing_turn, part.right)
    return StableBranches(part._replace(right=right), part.right, low, np.minimum(high, before), before)


def _rises(ways: Segments, theta: Array, falling: Truth, opening: bool) -> tuple[Segments, Array, Array]:
    """Cut the way where the blade angle turns and leave out the falls; with the blade angle at both ends [rad]."""
    low, high = theta[:, 0], np.minimum(theta[:, 3], FAR)
    cuts = np.flatnonzero(falling)
    if not cuts.size:
        return ways, low, high
    part, rule = segments.select(ways, cuts), turn(opening=opening)
    crest, valley = _turns(part, rule)
    right, top = np.array(ways.right), np.array(high)
    right[cuts], top[cuts] = crest, rule(part, crest)
    index = np.concatenate([np.arange(falling.size), cuts])
    put = np.argsort(np.concatenate([np.arange(falling.size), cuts + 0.5]))
    left, right = np.concatenate([ways.left, valley])[put], np.concatenate([right, part.right])[put]
    ways = segments.select(ways, index[put])._replace(left=left, right=right)
    return ways, np.concatenate([low, rule(part, valley)])[put], np.concatenate([top, high[cuts]])[put]


def _turns(part: Segments, rule: Rule) -> tuple[Array, Array]:
    """Ball angles at which the blade angle begins to fall and at which it last ceases to [rad]."""
    phi = segments.points(part, SHARES)
    theta = rule(part, phi)
    sinks = theta[:, 1:] < theta[:, :-1]
    some, last = np.any(sinks, axis=1), SHARES.size - 1
    first, final = np.argmax(sinks, axis=1), last - np.argmax(sinks[:, ::-1], axis=1)
    crest, valley = phi[:, 0].copy(), phi[:, -1].copy()
    inside = np.flatnonzero((first > 0) & some)
    if inside.size:
        low, high = phi[inside, first[inside] - 1], phi[inside, first[inside] + 1]
        crest[inside] = extrema.zoom(segments.select(part, inside), rule, low, high)[1]
    inside = np.flatnonzero((final < last) & some)
    if inside.size:
        low, high = phi[inside, final[inside] - 1], phi[inside, final[inside] + 1]
        upside = extrema.zoom(segments.select(part, inside), lambda ways, phi: -rule(ways, phi), low, high)
        valley[inside] = upside[1]
    return crest, np.maximum(crest, valley)


def _largest_before(design: Index, high: Array, start: Array) -> Array:
    """Largest of `start` of the design and of `high` of its parts before, for each part."""
    rank = np.arange(design.size) - np.searchsorted(design, design)
    found = start[design]
    for step in range(1, int(rank.max(initial=0)) + 1):
        here = np.flatnonzero(rank == step)
        found[here] = np.maximum(found[here - 1], high[here - 1])
    return found


def _landing(part: Segments, jumped: Truth, at: Array, rule: Rule, else_: Array) -> Array:
    """Ball angle at which a blade that jumped meets the way again; `else_` where it did not jump [rad]."""
    found, rows = np.array(else_), np.flatnonzero(jumped)
    if rows.size:
        some = segments.select(part, rows)._replace(design=np.arange(rows.size))
        angle = at[rows]
        short: Rule = lambda ways, phi: rule(ways, phi) - angle[ways.design]  # noqa: E731
        found[rows] = segments.root(some, some.left, some.right, short)
    return found
