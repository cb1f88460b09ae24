"""Torque at given blade angles; inverts `theta(phi)`.

A table of the stable branches is made once for each sense of motion (`opening_table`, `closing_table`); `torque_at`
then brackets the blade angle between nodes and solves for the ball angle. Stands on ``stable``; the curve, the family
of curves and the motion of the blade stand on it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from detentsim.mechanics.detent import balance
from detentsim.mechanics.path import contact_at, segment_rows, segments, stable
from detentsim.mechanics.path.nodes import NODES
from detentsim.mechanics.roots import stepped_root

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

    from detentsim.mechanics.detent.solution import SolvedDetent
    from detentsim.mechanics.path.segment_rows import Segments
    from detentsim.mechanics.record import Array, Index, Truth

# Secant steps before the bracketing solver takes over.
SECANTS = 2

# Most blade angles inverted at once: more would not stay in the second-level cache with what they come from.
CACHED = 16_384

# Accuracy of the inverse [rad].
NEAR = 1e-14


class Torque(NamedTuple):
    """Torque and force on the blade at given blade angles; fields of shape (..., m)."""

    torque: Array  # of the ball: resists opening, or pulls in [N m]
    push: Array  # of the bar on the tang, through ball or face [N]
    face_drag: Array  # friction torque of the bar's face where it lies on the tang [N m]


class TorqueTable(NamedTuple):
    """Stable branches of opening or of closing, ready to be inverted; branches outward, in the order of the designs."""

    shape: tuple[int, ...]
    load: SolvedDetent  # flattened, n designs
    begin: Segments  # first segment of each design
    phi: Array  # ball angle there, shape (n,) [rad]
    slip: Array  # blade angle up to which the ball stays there in opening; inf in closing [rad]
    met: stable.StableBranches  # c branches
    part: Index  # row of each design's first, second ... branch; shape (n, k), -1 where it has fewer
    nodes: Array  # ball angle along each branch, shape (c, 17) [rad]
    theta: Array  # blade angle there, not decreasing [rad]


def opening_table(solved: SolvedDetent, phi: Array, slip: Array) -> TorqueTable:
    """Table of the stable branches of opening, from rest to the flat.

    Parameters
    ----------
    solved : SolvedDetent
        Designs of the shape of `phi`.
    phi : array
        Ball angle at rest [rad].
    slip : array, shape of `phi`
        Blade angle at which the ball first slips [rad].

    Returns
    -------
    TorqueTable

    Examples
    --------
    >>> import detentsim as ds
    >>> response = ds.curve(ds.demo()).response
    >>> table = opening_table(response.load, response.rest.phi, response.rest.slip)
    >>> held = torque_at(table, [float(response.rest.slip)], opening=True, above=False)
    >>> float(held.torque[0] / response.rest.stick)
    1.0
    """
    return _table(solved, phi, np.ravel(slip), opening=True)


def closing_table(solved: SolvedDetent, phi: Array) -> TorqueTable:
    """Table of the stable branches of closing, from the flat down to rest.

    Parameters
    ----------
    solved : SolvedDetent
        Designs of the shape of `phi`.
    phi : array
        Ball angle at rest [rad].

    Returns
    -------
    TorqueTable

    Examples
    --------
    >>> import detentsim as ds
    >>> response = ds.curve(ds.demo()).response
    >>> table = closing_table(response.load, response.rest.phi)
    >>> pulls = torque_at(table, [float(response.results["pull_in_angle"]) * 0.9], opening=False, above=True)
    >>> bool(pulls.torque[0] > 0)
    True
    """
    return _table(solved, phi, np.full(phi.size, np.inf), opening=False)


def _table(solved: SolvedDetent, phi: Array, slip: Array, *, opening: bool) -> TorqueTable:
    shape, count = phi.shape, phi.size
    flat = segments.flatten(solved, shape)
    start = np.ravel(phi)
    ways = segments.cut(flat, start, np.broadcast_to(segments.mouth_angle(flat), count))
    ends = segments.ends(ways)
    torque, slope = segments.climb(ways, ends, opening=opening)
    theta = segments.angle(ways, ends, torque)
    falling = stable.falls(ways, torque, theta, segments.turning(ways, slope), opening=opening)
    met = stable.stable_branches(ways, theta, falling, slip, opening=opening)
    nodes = segments.points(met.ways, NODES)
    along = np.maximum.accumulate(stable.turn(opening=opening)(met.ways, nodes), axis=0)
    # Rounding must not put a node beside the angle at which the blade jumps.
    along = np.clip(along, met.low, met.high).T
    part = _ranked(met.ways.design, count)
    return TorqueTable(shape, flat, segment_rows.select(ways, ways.first), start, slip, met, part, nodes.T, along)


def _ranked(design: Index, count: int) -> Index:
    """Row numbers of each design's branches, side by side; -1 where it has fewer."""
    rank = np.arange(design.size) - np.searchsorted(design, design)
    rows = np.full((count, int(rank.max(initial=0)) + 1), -1)
    rows[design, rank] = np.arange(design.size)
    return rows


def angles(table: TorqueTable) -> Array:
    """Blade angles at the nodes of all branches, in one row [rad]; a plot of the curve needs these points.

    >>> import detentsim as ds
    >>> response = ds.curve(ds.demo()).response
    >>> angles(closing_table(response.load, response.rest.phi)).size % NODES.size
    0
    """
    return np.ravel(table.theta)


def torque_at(table: TorqueTable, theta: ArrayLike, *, opening: bool, above: bool) -> Torque:
    """Torque at given blade angles, friction against the motion; inverts `theta(phi)`.

    Parameters
    ----------
    table : TorqueTable
        Of designs of shape (...).
    theta : array_like, shape (..., m)
        Blade angles not below rest [rad].
    opening : bool
        Sense of motion, that of the table.
    above : bool
        At a jump, the limit from larger angles (True) or from smaller ones.

    Returns
    -------
    Torque
        Fields of shape (..., m).

    Notes
    -----
    `theta = phi - eps + C T(phi)`: the ball slips along stable branches, and sticks (`T = (theta + eps - phi)/C`) at
    rest and where it comes onto the next branch. Derived in studies/00-the-model.ipynb.

    Examples
    --------
    >>> import detentsim as ds
    >>> response = ds.curve(ds.demo()).response
    >>> table = opening_table(response.load, response.rest.phi, response.rest.slip)
    >>> at = torque_at(table, [float(response.results["breakout_angle"])], opening=True, above=False)
    >>> float(at.torque[0] / response.results["breakout_torque"])
    1.0
    """
    wide = (*table.shape, np.shape(theta)[-1])
    angle = np.broadcast_to(np.asarray(theta, float), wide).reshape(table.phi.size, wide[-1])
    part, slips, stays = _where(table, angle, above)
    beyond = ~stays & ~slips & (part == np.max(table.part, axis=1)[:, None])
    felt = Torque(*(np.repeat(end, wide[-1]) for end in _on_flat(table, opening)))
    held = np.flatnonzero(~(slips | beyond))
    _put(felt, held, _held(table, angle, (part, stays), held, opening))
    places = np.flatnonzero(slips)
    for start in range(0, places.size, CACHED):
        some = places[start : start + CACHED]
        _put(felt, some, _slipping(table, part.take(some), angle.take(some), opening))
    return Torque(*(np.reshape(field, wide) for field in felt))


def _put(felt: Torque, places: Index, values: Torque) -> None:
    for field, value in zip(felt, values, strict=True):
        field[places] = value


def _where(table: TorqueTable, theta: Array, above: bool) -> tuple[Index, Truth, Truth]:
    """Branch at or last before each blade angle; truth of the ball slipping there, and of it still sticking at rest."""
    part = np.full(theta.shape, -1)
    slips = np.zeros(theta.shape, bool)
    low, high = (np.append(end, np.inf) for end in (table.met.low, table.met.high))
    for column in table.part.T:
        known = column[:, None] >= 0
        begins, ends = low[column][:, None], high[column][:, None]
        passed = known & (theta >= begins if above else theta > begins)
        part = np.where(passed, column[:, None], part)
        slips = np.where(passed, theta < ends if above else theta <= ends, slips)
    slip = table.slip[:, None]
    return part, slips, (part < 0) & (theta < slip if above else theta <= slip)


def _held(table: TorqueTable, theta: Array, at: tuple[Index, Truth], places: Index, opening: bool) -> Torque:
    """Torque while the ball sticks and the bar yields sideways: at rest, or where it comes onto the next branch.

    A moving ball sticks where it comes onto the next branch: at its inner end in opening, at its outer end in closing.
    The ball carries the bar there, and the torque lies between those on either side. `at` has what `_where` gives,
    `places` the blade angles in question.
    """
    theta, part, stays = theta.take(places), at[0].take(places), at[1].take(places)
    design = places // at[0].shape[1]
    give, eps = (field[design] if np.ndim(field) else field for field in (table.begin.give, table.begin.overclose))
    at_rest = torque_slipping(table.begin, table.phi, opening=opening)
    near = np.where(part < 0, table.part[design, 0], part + 1) if opening else part
    phi = np.where(stays, table.phi[design], np.append(table.met.hold, np.nan)[near])
    pushes = contact_at.contact(table.met.ways, table.met.hold).push
    push = np.where(stays, at_rest.push[design], np.append(pushes, np.nan)[near])
    face_drag = np.where(stays, at_rest.face_drag[design], 0.0)
    with np.errstate(divide="ignore", invalid="ignore"):
        torque = np.where(give > 0, (theta + eps - phi) / give, at_rest.torque[design])
    return Torque(torque, push, face_drag)


def torque_slipping(ways: Segments, phi: Array, *, opening: bool) -> Torque:
    """Torque with the ball slipping at ball angles `phi`.

    Parameters
    ----------
    ways : Segments
        m segments.
    phi : array, shape (m,) or (m, k)
        Ball angles on each segment [rad].
    opening : bool
        Sense of motion.

    Returns
    -------
    Torque
        Fields of the shape of `phi`; `face_drag = mu rho N` (Coulomb) where the bar's face lies on the tang, else 0.
    """
    touch = contact_at.contact(ways, phi.T)
    torque = contact_at.torque_of(ways, touch, opening=opening)
    return Torque(torque.T, touch.push.T, contact_at.face_drag(ways, touch.push).T)


def _on_flat(table: TorqueTable, opening: bool) -> Torque:
    riding = np.broadcast_to(balance.ball_force(table.load.spring, 0.0), table.phi.shape)
    drag = np.broadcast_to(balance.drag(table.load, opening=opening), table.phi.shape)
    return Torque(drag, riding, np.zeros_like(riding))


def _slipping(table: TorqueTable, part: Index, theta: Array, opening: bool) -> Torque:
    """Torque while the ball slips, at one blade angle for each given branch."""
    ways = segment_rows.select(table.met.ways, part)
    phi = np.minimum(np.maximum(theta + ways.overclose, ways.left), ways.right)
    some = np.flatnonzero(np.broadcast_to(ways.give > 0, theta.shape))
    if not some.size:
        return torque_slipping(ways, phi, opening=opening)
    turn = stable.turn(opening=opening)
    rule: segment_rows.Rule = lambda ways, phi: turn(ways, phi) - angle[ways.design]  # noqa: E731
    inside, angle = segment_rows.some_or_all(ways, some)._replace(design=np.arange(some.size)), theta[some]
    phi[some], low, high = stepped_root(lambda x: rule(inside, x), *_cell(table, part[some], angle), SECANTS)
    felt = torque_slipping(ways, phi, opening=opening)
    missed = np.abs(segments.angle(inside, phi[some], felt.torque[some]) - angle)
    left = np.flatnonzero((missed > NEAR) & (high > low))
    if left.size:
        rest = segment_rows.select(inside, left)
        phi = segments.root(rest, low[left], high[left], rule)
        _put(felt, some[left], torque_slipping(rest, phi, opening=opening))
    return felt


def _cell(table: TorqueTable, part: Index, theta: Array) -> tuple[Array, Array]:
    """Three neighbouring nodes of each branch, of which the first two enclose a blade angle, and how far each is off.

    Shapes (3, m) [rad].
    """
    first = part * NODES.size
    along, nodes, at = np.ravel(table.theta), np.ravel(table.nodes), np.array(first)
    for step in (8, 4, 2, 1):
        at += step * (along.take(at + step) <= theta)
    at = np.minimum(at, first + NODES.size - 2)
    three = np.stack([at, at + 1, np.where(at > first, at - 1, at + 2)])
    return nodes.take(three), along.take(three) - theta
