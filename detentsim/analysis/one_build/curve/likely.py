"""Likely range of each result: that of nine in ten knives made to the build, every uncertain input drawn at once.

The knives are the first of a batch of seed 0; `detentsim.batch` draws more of them and says more.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from detentsim.analysis.inside import each_inside
from detentsim.analysis.one_build.curve.intervals import SHARE
from detentsim.analysis.results import Results, in_unit
from detentsim.knife.record.doubts import Doubt, doubts
from detentsim.knife.record.drawing import FEW, draw, spread_points
from detentsim.mechanics.names import RESULT_NAMES
from detentsim.mechanics.response import Response, respond

if TYPE_CHECKING:
    from detentsim.knife.model import Build
    from detentsim.knife.record.inputs import Plain
    from detentsim.mechanics.record import Array, Truth

PAIRS = 64
"""Pairs of knives that tell which input matters most."""


@dataclass(frozen=True, eq=False)
class Likely:
    """Likely ranges of one build's results, in the results' own units.

    Attributes
    ----------
    build : Build
    spread : tuple of Doubt
        Distribution of each input that varies [SI].
    ranges : dict of str to (low, high)
        By result name; absent where the build itself has no value.
    may : dict of str to float
        Share of the knives with a warning that the build itself has not, by flag; and of those whose sizes do not fit
        together, by what is wrong, in words. Largest first.
    knives : Response or None
        The knives, shape (n,); None where no input is uncertain.
    excluded : array of bool, shape (n,)
        Knives whose sizes do not fit together.
    inside : float or None
        Share of the knives that meet every target and have no warning of an unsound design; None without a target. Of a
        wanted change there is none either, for nothing has changed yet.
    """

    build: Build
    spread: tuple[Doubt, ...]
    ranges: dict[str, tuple[float, float]]
    may: dict[str, float]
    knives: Response | None = field(repr=False)
    excluded: Truth = field(repr=False)
    inside: float | None

    @cached_property
    def matters(self) -> dict[str, str]:
        """Input that each result depends on most, by its total Sobol' index; absent where none moves it.

        Notes
        -----
        Mean square of the change as one input is exchanged between two knives: M. J. W. Jansen, Comput. Phys. Commun.
        117 (1999) 35-43, from memory. `Batch.matters` gives the indices themselves, by SciPy, which loads too slowly
        for one name.
        """
        if self.knives is None:
            return {}
        moved = _exchanged(self.build, self.spread)
        names = [doubt.name for doubt in self.spread]
        best = {name: _most(in_unit(name, self.knives.results[name])[:PAIRS], moved[name]) for name in self.ranges}
        return {name: names[i] for name, i in best.items() if i is not None}


def likely(build: Build, numbers: Plain, results: Results, flags: tuple[str, ...]) -> Likely:
    """Likely range of every result.

    Parameters
    ----------
    build : Build
    numbers : dict
        The build's plain numbers.
    results : dict
        The build's own results, in their units.
    flags : tuple of str
        Flags the build raises.

    Returns
    -------
    Likely
    """
    spread = doubts(build, numbers)
    if not spread:
        return Likely(build, (), {}, {}, None, np.zeros(0, bool), None)
    found = draw(build, spread, spread_points(len(spread), FEW))
    knives = respond(found.record, (*RESULT_NAMES, *(target.name for target in build.target)))
    known = {name: _known(in_unit(name, knives.results[name]), found.excluded) for name in results}
    told = {name: values for name, values in known.items() if values.size and results[name] is not None}
    ends = {name: np.quantile(values, [(1 - SHARE) / 2, (1 + SHARE) / 2]) for name, values in told.items()}
    ranges = {name: (float(low), float(high)) for name, (low, high) in ends.items()}
    # a ball that floats at rest raises no other flag, whatever the bands
    warned = {} if "floats" in flags else {flag: where & ~found.excluded for flag, where in knives.flags.items()}
    shares = {key: float(np.mean(where)) for key, where in (warned | found.misfits).items() if key not in flags}
    may = {key: share for key, share in sorted(shares.items(), key=lambda item: -item[1]) if share > 0}
    judged = bool(build.target) and all(wanted.change is None for wanted in build.target)
    inside = each_inside(knives.results, knives.flags, build.target, found.excluded, {}) if judged else None
    share = None if inside is None else float(inside.mean())
    return Likely(build, spread, ranges, may, knives, found.excluded, share)


def _known(values: Array, excluded: Truth) -> Array:
    """Values of the knives that have one."""
    return np.extract(np.isfinite(values) & ~excluded, values)


def _exchanged(build: Build, spread: tuple[Doubt, ...]) -> dict[str, Array]:
    """Results of the first knives with one input at a time from a partner, shape (inputs, pairs)."""
    points = spread_points(len(spread), 2 * PAIRS)
    changed = np.repeat(points[None, :PAIRS], len(spread), axis=0)
    each = np.arange(len(spread))
    changed[each, :, each] = points[PAIRS:].T
    solved = respond(draw(build, spread, changed.reshape(-1, len(spread))).record)
    return {name: in_unit(name, solved.results[name]).reshape(len(spread), PAIRS) for name in RESULT_NAMES}


def _most(own: Array, moved: Array) -> int | None:
    """Number of the input that moves a result most; None where none does."""
    square = (moved - own) ** 2
    known = np.where(np.isfinite(square), square, 0.0).sum(axis=1)
    best = int(np.argmax(known))
    return best if np.sqrt(known[best]) > 1e-9 * np.nanmax(np.abs(own), initial=0.0) else None
