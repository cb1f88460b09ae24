"""Design variables: every sensible combination of bought sizes, and the sizes that are set at the bench.

Knows sizes and names, not results. A size that is fixed, or that the build does not have, is one choice: its own.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property
from itertools import product
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
import numpy.typing as npt

from detentsim.analysis.in_hand.advise.moves.move import DEEPEST_FEED, FARTHEST_BEND, THINNEST, Columns
from detentsim.analysis.results import number
from detentsim.knife.checks.fits import FITS
from detentsim.shop.balls import balls
from detentsim.shop.drills import Drill, drills
from detentsim.shop.stock import Stock, cutters, slabs, stock_near
from detentsim.shop.tables import MILLIMETRE, SAME, System, of_system

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable, Iterator

    from detentsim.knife.model import Build
    from detentsim.knife.record.inputs import Plain
    from detentsim.mechanics.record import Truth

BOUGHT = ("ball.diameter", "dimple.pilot_drill", "dimple.rim_drill", "bar.thickness", "bar.relief_length")

SET = ("bar.bend", "dimple.rim_feed", "bar.relief_thickness")

FREE = (*BOUGHT, *SET)
"""What `design` may choose, unless it is fixed."""

# Pilot drill over ball diameter: a smaller drill holds the ball too high, a larger one leaves no rim.
PILOTS = (0.80, 0.97)

# Smallest and largest stock ball [m].
BALLS = (1.0 * MILLIMETRE, 2.5 * MILLIMETRE)

# Next drills above the first, and how much larger one must be to leave a rim.
RIMS, LARGER = 4, 1.02

# Sizes of slab and cutter on each side of the build's own; more of a slab whose bar has no relief to thin instead.
NEXT, NEXT_PLAIN = 1, 3

THICKEST = 1.5

BENDS = np.array([0.2, 0.5, 0.8])
"""Shares of the largest sound bend on the grid."""

FEEDS = np.array([0.03, 0.09, 0.15, 0.22]) * MILLIMETRE

RELIEFS = np.array([0.75, 0.95, 1.2])
"""Shares of the build's own relief on the grid."""

STEP = 0.01 * MILLIMETRE
"""Resolution of the bench: sizes that are set are whole multiples of it [m]."""


class Size(NamedTuple):
    """One size as bought, or as in the build; NaN for none."""

    text: str
    si: float


Row = tuple[Size, ...]


@dataclass(frozen=True, eq=False)
class Choices:
    """Combinations of bought sizes.

    Attributes
    ----------
    rows : tuple of tuple of Size
        In the order of `BOUGHT`.
    columns : dict of str to array
        The same for the kernel, shape (n,); a relief's length only where there is a relief.
    dropped : dict of str to int
        Combinations left out, by why.
    """

    rows: tuple[Row, ...]
    columns: Columns
    dropped: dict[str, int]

    def __len__(self) -> int:
        return len(self.rows)

    @cached_property
    def kinds(self) -> npt.NDArray[np.intp]:
        """Group number of each row: one group per ball and pilot drill."""
        numbers: dict[tuple[str, str], int] = {}
        return np.array([numbers.setdefault((row[0].text, row[1].text), len(numbers)) for row in self.rows], np.intp)

    @property
    def plain_holes(self) -> Truth:
        """Where there is no second drill."""
        return np.isnan(self.columns["dimple.rim_drill"])


@dataclass(frozen=True)
class SettableSize:
    """A continuous size, set at the bench between two ends.

    Attributes
    ----------
    name : str
    low, high : float
        Ends [m].
    step : float
        First step of the pattern search [m].
    """

    name: str
    low: float
    high: float
    step: float

    def at(self, values: npt.ArrayLike) -> npt.NDArray[np.float64]:
        """Values rounded to what a bench can set, and clipped to the ends.

        Parameters
        ----------
        values : array_like
            [m].
        """
        whole = np.round(np.asarray(values, float) / STEP) * STEP
        return np.clip(whole, math.ceil(self.low / STEP - 1e-6) * STEP, math.floor(self.high / STEP + 1e-6) * STEP)


def held_fixed(build: Build, fixed: Collection[str]) -> frozenset[str]:
    """Names of inputs that the search must not vary: those given, and those with a tolerance between two ends.

    Parameters
    ----------
    build : Build
    fixed : collection of str
        Dotted names.
    """
    made = [n for n, t in build.tolerance.items() if t.plus_minus is None]
    return frozenset({*fixed, *made})


def choices(build: Build, numbers: Plain, fixed: Collection[str]) -> Choices:
    """Every combination of bought sizes that fits together.

    Parameters
    ----------
    build : Build
    numbers : dict
        Its plain numbers.
    fixed : collection of str
        Names that stay as the build has them.
    """
    sized = {name: Size(build.word(name), number(numbers, name)) for name in BOUGHT}
    bars = list(product(_slabs(build, sized, fixed), _cutters(build, sized, fixed)))
    rows = [(*dimple, *bar) for dimple in _dimples(build, sized, fixed) for bar in bars]
    dropped: dict[str, int] = {}
    whole = _columns(rows)
    keep = np.ones(len(rows), bool)
    for words, broken in _broken(numbers | whole):
        out = np.broadcast_to(broken, keep.shape) & keep
        if np.any(out):
            dropped[words] = int(np.count_nonzero(out))
        keep &= ~out
    kept = tuple(row for row, good in zip(rows, keep, strict=True) if good)
    return Choices(kept, _columns(kept), dropped)


def _columns(rows: tuple[Row, ...] | list[Row]) -> Columns:
    si = np.array([[size.si for size in row] for row in rows], float).reshape(-1, len(BOUGHT))
    columns = dict(zip(BOUGHT, si.T, strict=True))
    return {n: v for n, v in columns.items() if n != "bar.relief_length" or not np.all(np.isnan(v))}


def _broken(numbers: Plain) -> Iterator[tuple[str, Truth]]:
    """Reason and mask of each misfit; a ball held by less than half falls out of its hole."""

    def read(name: str) -> npt.NDArray[np.float64]:
        return np.asarray(numbers.get(name, math.nan), float)

    yield "half the ball or more stands out of its hole", read("ball.protrusion") >= read("ball.diameter") / 2
    for fit in FITS.values():
        yield fit.words, np.asarray(fit.broken(read), bool)


def _dimples(build: Build, own: dict[str, Size], fixed: Collection[str]) -> Iterator[Row]:
    """Balls with their drills."""
    ball, pilot, rim = BOUGHT[:3]
    for one in [own[ball]] if ball in fixed else _bought(balls(), *BALLS):
        low, high = (share * one.si for share in PILOTS)
        kept = low <= own[pilot].si <= high or abs(one.si - own[ball].si) <= SAME
        for first in ([own[pilot]] if kept else []) if pilot in fixed else _bought(_shop_drills(build), low, high):
            for second in [own[rim]] if rim in fixed else _rims(build, first, one, fixed):
                yield one, first, second


def _shop_drills(build: Build) -> tuple[Drill, ...]:
    return of_system(drills(), build.stock)


def _bought(table: Iterable[object], low: float, high: float) -> list[Size]:
    """Sizes of a table between two ends; of drills that are the same, the first."""
    sizes: list[Size] = []
    for item in table:
        si = float(getattr(item, "diameter"))  # noqa: B009  # balls and drills alike
        if low - SAME <= si <= high + SAME and not (sizes and si - sizes[-1].si <= SAME):
            sizes.append(Size(str(getattr(item, "name")), si))  # noqa: B009
    return sizes


def _rims(build: Build, pilot: Size, ball: Size, fixed: Collection[str]) -> list[Size]:
    """No rim drill, and the next drills up to the ball; a fixed feed needs a drill, or none."""
    none = [] if "dimple.rim_feed" in fixed and _has_rim(build) else [Size("none", math.nan)]
    if "dimple.rim_feed" in fixed and not _has_rim(build):
        return none
    return [*none, *_bought(_shop_drills(build), LARGER * pilot.si, ball.si)[:RIMS]]


def _has_rim(build: Build) -> bool:
    return build.word("dimple.rim_drill") != "none"


def _slabs(build: Build, own: dict[str, Size], fixed: Collection[str]) -> list[Size]:
    name = "bar.thickness"
    if name in fixed:
        return [own[name]]
    count = NEXT_PLAIN if build["bar.relief_thickness"] is None else NEXT
    return _with_own(
        own[name], [Size(s.name, s.diameter) for s in stock_near(_of_build(build, slabs()), own[name].si, count)]
    )


def _cutters(build: Build, own: dict[str, Size], fixed: Collection[str]) -> list[Size]:
    name = "bar.relief_length"
    if name in fixed or build[name] is None:
        return [own[name]]
    return _with_own(
        own[name], [Size(s.name, s.diameter) for s in stock_near(_of_build(build, cutters()), own[name].si, NEXT)]
    )


def _of_build(build: Build, table: tuple[Stock, ...]) -> tuple[Stock, ...]:
    """Slabs or cutters in the system that is asked for, else in that of the build's lengths."""
    lengths: System = "inch" if build.units.length == "in" else "metric"
    return of_system(table, lengths if build.word("stock") == "as typed" else build.stock)


def _with_own(own: Size, sizes: list[Size]) -> list[Size]:
    """The build's own size among those of the table."""
    return sorted([own, *(size for size in sizes if abs(size.si - own.si) > SAME)], key=lambda size: size.si)


def scales(build: Build, numbers: Plain, fixed: Collection[str]) -> tuple[SettableSize, ...]:
    """Sizes that are set and free, in the order of `SET`.

    Parameters
    ----------
    build : Build
    numbers : dict
        Its plain numbers.
    fixed : collection of str
        Names that stay as the build has them.
    """
    bend, relief = number(numbers, "bar.bend"), number(numbers, "bar.relief_thickness")
    settable = []
    if "bar.bend" not in fixed:
        settable.append(SettableSize("bar.bend", min(0.0, bend), bend + FARTHEST_BEND, 0.2 * MILLIMETRE))
    if "dimple.rim_feed" not in fixed and ("dimple.rim_drill" not in fixed or _has_rim(build)):
        settable.append(SettableSize("dimple.rim_feed", STEP, DEEPEST_FEED, 0.03 * MILLIMETRE))
    if "bar.relief_thickness" not in fixed and math.isfinite(relief):
        low, high = THINNEST * relief, min(THICKEST * relief, number(numbers, "bar.thickness"))
        settable.append(SettableSize("bar.relief_thickness", low, high, 0.1 * relief))
    return tuple(settable)
