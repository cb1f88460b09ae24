"""Rows of segments for many designs at once: the arrays, choosing rows, and searching them design by design.

All segments of all designs stand in one flat list, in the order of the designs and outward. ``segments`` cuts the path
into them; ``extrema`` and ``stable`` stand on both.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, NamedTuple, TypeVar

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from detentsim.mechanics.contact.bedding.pressing import Spread
    from detentsim.mechanics.detent.solution import SolvedDetent
    from detentsim.mechanics.path.contact_at import Contact, Felt
    from detentsim.mechanics.record import Array, Index, Record, Truth

T = TypeVar("T", bound=np.generic)

# Most numbers of an array at once, that with what they come from they stay in the second-level cache.
CACHED = 8192

# Narrower segments come from rounding where two cuts coincide [rad].
HAIR = 1e-14


class Columns(NamedTuple):
    """Numbers of each segment, side by side in one array so that rows are chosen in one step; shape (m,) each.

    A circle and a flank of the dimple differ in these numbers alone. With the ball's offset s from the dimple's axis
    the contact angle has the sine `sine - turn s`, and the bar pushes by `push + push_cosine cos(psi) + push_offset s`.
    Fields that all designs share stay 0-d.
    """

    left: Array  # ball angle at the inner end [rad]
    right: Array  # at the outer end [rad]
    sine: Array  # sine of the contact angle at offset 0 [-]
    turn: Array  # its fall per offset, 0 on a flank or cone [1/m]
    push: Array  # of the bar, the part that does not change [N]
    push_cosine: Array  # per cosine of the contact angle, 0 on a flank or cone [N]
    push_offset: Array  # per offset, 0 on a circle [N/m]
    arm: Array  # pivot to ball where the ball carries the bar; 0 where the bar's face does [m]
    twice_ball: Array  # twice the distance from the pivot to the ball [m]
    twice_dimple: Array  # twice the distance from the pivot to the dimple [m]
    miss_squared: Array  # square of the radial error [m^2]
    friction: Array  # mu [-]
    static_friction: Array  # [-]
    swing: Array  # chi sin(beta) [-]
    give: Array  # twist compliance [rad/(N m)]
    overclose: Array  # eps [rad]
    ball: Array  # radius of the ball; this and the next eight are 0 where no design's rim gives [m]
    hinge: Array  # that over its sum with the radius of the broken edge, about whose centre the normal turns [-]
    bed: Array  # R/K, give of the rim as a line foundation; 0 rigid, and on the flat [m^3/N]
    kink: Array  # turn from the normal to that of the other edge, where one takes over from another [rad]
    meet: Array  # offset at which it does [m]
    parts: Array  # growth of this edge's lead over the other, over its approach without friction, per offset [1/m]
    rubs: Array  # relative fall of that growth with friction [-]
    lift: Array  # stiffness by which the bar's push falls as the ball sinks in [N/m]
    flat: Array  # gain of the push over where it is measured, on the flat that the ball sinks into [N]


class Bed(NamedTuple):
    """How a rim gives: functions of ``contact.bedding``, kept with the segments so that a rigid rim costs nothing."""

    mixed: Callable[[Columns, Contact, Array, Truth | None], Contact]
    mixed_rise: Callable[[Columns, tuple[Contact, Contact], Array, Truth | None], tuple[Contact, Contact]]
    spread: Callable[[Columns, Contact, Array, Truth | None, Contact | None], Spread]
    pressed: Callable[[Columns, Contact, Spread], Contact]
    widens: Callable[[Columns, tuple[Contact, Contact], Array, Spread], tuple[Array, ...]]
    slopes: Callable[[Columns, tuple[Contact, Contact], Spread, Contact, tuple[Array, ...]], Contact]

    def touch(self, at: Columns, touch: Contact, mu: Array, locks: Truth | None) -> Contact:
        """Contact on the elastic rim, of one on a rigid rim; parameters as of `pressing.spread`."""
        touch = self.mixed(at, touch, mu, locks)
        return self.pressed(at, touch, self.spread(at, touch, mu, locks, None))

    def rise(
        self, at: Columns, rigid: tuple[Contact, Contact], mu: Array, locks: Truth | None
    ) -> tuple[Contact, Contact]:
        """Contact on the elastic rim and its slopes over the ball angle, of those on a rigid rim."""
        rigid = self.mixed_rise(at, rigid, mu, locks)
        wide = self.spread(at, rigid[0], mu, locks, rigid[1])
        touch = self.pressed(at, rigid[0], wide)
        return touch, self.slopes(at, rigid, wide, touch, self.widens(at, rigid, mu, wide))


class Segments(NamedTuple):
    """Segments of ball angle on which contact does not change; m of them, of n designs."""

    design: Index  # row of its design; not decreasing, shape (m,)
    first: Index  # row of each design's first segment, shape (n,)
    piece: Index  # piece of the dimple that carries the ball; `PIECES` on the flat, shape (m,)
    centred: bool  # no radial error in any design
    square: bool  # no sideways travel in any design
    bed: Bed | None  # None where no design's rim gives
    at: Columns  # shape (m,) each

    @property
    def left(self) -> Array:
        """Ball angle at the inner ends [rad]."""
        return self.at.left

    @property
    def right(self) -> Array:
        """Ball angle at the outer ends [rad]."""
        return self.at.right

    @property
    def give(self) -> Array:
        """Twist compliance of the bar [rad/(N m)]."""
        return self.at.give

    @property
    def overclose(self) -> Array:
        """Over-close eps [rad]."""
        return self.at.overclose

    def between(self, left: Array, right: Array) -> Segments:
        """The same segments between other ball angles [rad]."""
        return self._replace(at=self.at._replace(left=left, right=right))


class Path(NamedTuple):
    """Path of n designs in m segments, with what is felt at their ends."""

    ways: Segments
    at_ends: Felt  # shape (2, m)


Rule = Callable[[Segments, "Array"], "Array"]


def select_designs(solved: SolvedDetent, index: Index | Truth | slice) -> SolvedDetent:
    """Some designs of a flattened `SolvedDetent`, by row numbers, truths or a slice; shared fields stay as they are."""
    spring = type(solved.spring)(*(_of(field, index) for field in solved.spring))
    pieces = (field[index] if field.ndim > 1 else field for field in solved.shape)
    record = record_at(solved.record, index)
    return solved._replace(record=record, spring=spring, shape=type(solved.shape)(*pieces))


def _of(field: NDArray[T], index: Index | Truth | slice) -> NDArray[T]:
    return np.asarray(field[index]) if np.ndim(field) else field


def record_at(record: Record, index: Index | Truth | slice) -> Record:
    """Record of some designs, by row numbers or truths; shared fields stay without an axis."""
    return type(record)(*(_of(field, index) for field in record))


def select(ways: Segments, index: Index) -> Segments:
    """Some segments, by row numbers; `first` is no longer valid."""
    at = Columns(*(field.take(index) if field.ndim else field for field in ways.at))
    return Segments(
        ways.design.take(index), ways.first, ways.piece.take(index), ways.centred, ways.square, ways.bed, at
    )


def part_of(ways: Segments, cut: slice) -> Segments:
    """A run of segments; `first` is no longer valid."""
    at = Columns(*(field[cut] if field.ndim else field for field in ways.at))
    return Segments(ways.design[cut], ways.first, ways.piece[cut], ways.centred, ways.square, ways.bed, at)


def in_runs(rule: Callable[[Segments, Array], tuple[Array, ...]], ways: Segments, phi: Array) -> tuple[Array, ...]:
    """`rule(ways, phi)` in runs of segments that stay in the cache, joined; ball angles of shape (m,) or (k, m) [rad].

    >>> in_runs(lambda ways, phi: (2 * phi,), None, np.ones(2))[0].tolist()
    [2.0, 2.0]
    """
    if phi.size <= CACHED:
        return rule(ways, phi)
    count = phi.shape[-1]
    runs = min(-(-phi.size // CACHED), count)
    cuts = [slice(count * run // runs, count * (run + 1) // runs) for run in range(runs)]
    parts = (rule(part_of(ways, cut), phi[..., cut]) for cut in cuts)
    return tuple(np.concatenate(fields, axis=-1) for fields in zip(*parts, strict=True))


def some_or_all(ways: Segments, index: Index) -> Segments:
    """Some segments, by row numbers without repeats; the same ones where that is all of them."""
    return ways if index.size == ways.design.size else select(ways, index)


def begun_within(ways: Segments, far: Array) -> Segments:
    """Segments that begin within a ball angle `far` of each design, shape (n,) [rad]; its first one always."""
    keep = ways.left <= far[ways.design]
    keep[ways.first] = True
    kept = np.add.reduceat(keep, ways.first, dtype=np.intp)
    return select(ways, np.flatnonzero(keep))._replace(first=np.cumsum(kept) - kept)


def of_designs(way: Path, chosen: Truth) -> Path:
    """Paths of some designs, which are numbered anew; `chosen` has shape (n,)."""
    rows = np.flatnonzero(chosen[way.ways.design])
    design = (np.cumsum(chosen) - 1)[way.ways.design[rows]]
    kept = np.bincount(design, minlength=np.count_nonzero(chosen))
    first = np.cumsum(kept) - kept
    ways = select(way.ways, rows)._replace(design=design, first=first)
    return Path(ways, type(way.at_ends)(*(field.take(rows, axis=1) for field in way.at_ends)))


def between(ways: Segments, start: Array, end: Array) -> tuple[Segments, Index]:
    """Parts of the segments between two ball angles of each design, and the rows they come from.

    Parameters
    ----------
    ways : Segments
        m segments of n designs, without a gap.
    start, end : array, shape (n,)
        Ball angles [rad]; where nothing lies between, the outermost segment stays, without width, at `start`.

    Returns
    -------
    Segments, array of int
    """
    left = np.maximum(ways.left, start[ways.design])
    right = np.minimum(ways.right, end[ways.design])
    keep = right > left + HAIR
    kept = np.add.reduceat(keep, ways.first, dtype=np.intp)
    bare = np.flatnonzero(kept == 0)
    if bare.size:
        final = np.append(ways.first[1:], ways.design.size)[bare] - 1
        keep[final], kept[bare] = True, 1
        left[final] = right[final] = start[bare]
    rows = np.flatnonzero(keep)
    part = select(ways, rows)._replace(first=np.cumsum(kept) - kept)
    return part.between(left[rows], right[rows]), rows


def last(ways: Segments, truth: Truth) -> Index:
    """Row of each design's last segment on which `truth` holds, shape (n,); -1 where none."""
    return np.maximum.reduceat(np.where(truth, np.arange(ways.design.size), -1), ways.first)


def first(ways: Segments, truth: Truth) -> Index:
    """Row of each design's first segment on which `truth` holds, shape (n,); m where none."""
    count = ways.design.size
    return np.minimum.reduceat(np.where(truth, np.arange(count), count), ways.first)


def any_of(ways: Segments, truth: Truth) -> Truth:
    """Truth of each design that `truth` holds on any of its segments, shape (n,)."""
    return np.logical_or.reduceat(truth, ways.first)
