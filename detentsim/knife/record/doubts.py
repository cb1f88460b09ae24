"""Distributions of a build's uncertain inputs, in SI: of each, its quantiles and whether it belongs to knife or shop.

Uses `detentsim.knife.checks.bands`; a batch draws its knives from them.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from statistics import NormalDist
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from detentsim.knife.checks.bands import allowed, spans
from detentsim.knife.table.schema import INPUTS

if TYPE_CHECKING:
    from collections.abc import Mapping

    from detentsim.knife.checks.tolerance import Tolerance
    from detentsim.knife.model import Build
    from detentsim.knife.record.inputs import Plain
    from detentsim.mechanics.record import Array

INSIDE = 1.959963984540054
"""Standard deviations from the middle of a normal to either end of the range that holds 95 % of it."""

AT_ONCE = 1024
"""Quantiles of a normal that are computed one by one."""

_NORMAL = NormalDist()


@dataclass(frozen=True)
class Doubt:
    """Distribution of one uncertain input [SI].

    Attributes
    ----------
    name : str
        Dotted name.
    middle : float
        Likeliest value: the build's own, or the packaged default.
    low, high : float
        Ends of the band. Of a normal they hold 95 %; of the other shapes they hold all.
    lowest, highest : float
        Where the distribution is cut: no knife lies beyond. The allowed range of the input; for a tolerance by
        `at_least` and `at_most` its ends.
    shape : str
        ``normal``, ``uniform`` or ``triangular``. A normal whose ends lie unequally far from the middle has a standard
        deviation for each side (a two-piece normal): the distance to that end over 1.96. The ends then hold 95 % in
        all, and what lies beyond either goes as that side's width.
    of_shop : bool
        Whether it is the same for every knife of a batch, though unknown.
    """

    name: str
    middle: float
    low: float
    high: float
    lowest: float
    highest: float
    shape: str
    of_shop: bool

    @property
    def width(self) -> float:
        """Distance between the ends of the band."""
        return self.high - self.low

    def narrowed(self, factor: float) -> Doubt:
        """Return the distribution with both ends nearer the middle.

        Parameters
        ----------
        factor : float
            New distance over old; 0.5 halves the band.
        """
        low, high = (self.middle + factor * (end - self.middle) for end in (self.low, self.high))
        return replace(self, low=low, high=high)

    def at(self, share: npt.ArrayLike) -> Array:
        """Return quantiles.

        Parameters
        ----------
        share : array_like
            Share of the knives that lie below, 0 to 1.

        Returns
        -------
        array
            [SI], of the shape of `share`.

        Examples
        --------
        >>> spread = Doubt("bar.bend", 2.0, 1.0, 5.0, -9.0, 9.0, "triangular", False)
        >>> spread.at([0.0, 0.25, 1.0]).tolist()
        [1.0, 2.0, 5.0]
        """
        share = np.asarray(share, float)
        if not self.width > 0:
            return np.full(share.shape, self.middle)
        quantile = {"uniform": self._uniform, "triangular": self._triangular}.get(self.shape, self._normal)
        return np.asarray(np.clip(quantile(share), self.lowest, self.highest))

    def _uniform(self, share: Array) -> Array:
        return self.low + self.width * share

    def _triangular(self, share: Array) -> Array:
        left, right = self.middle - self.low, self.high - self.middle
        rising = self.low + np.sqrt(share * self.width * left)
        return np.where(share * self.width < left, rising, self.high - np.sqrt((1 - share) * self.width * right))

    def _normal(self, share: Array) -> Array:
        below, above = self._below(self.lowest), self._below(self.highest)
        share = below + share * (above - below)
        left = (self.middle - self.low) / self.width
        lower = np.minimum(share, left) / (2 * left) if left > 0 else np.full(share.shape, 0.5)
        upper = np.maximum(share - left, 0) / (2 * (1 - left)) + 0.5 if left < 1 else np.full(share.shape, 0.5)
        scale = np.where(share < left, self.middle - self.low, self.high - self.middle)
        return np.asarray(self.middle + scale * deviates(np.where(share < left, lower, upper)) / INSIDE)

    def _below(self, value: float) -> float:
        """Share of the uncut two-piece normal below a value."""
        left = (self.middle - self.low) / self.width
        side = self.middle - self.low if value < self.middle else self.high - self.middle
        if side == 0:
            return 0.0 if value < self.middle else 1.0
        scaled = _NORMAL.cdf(INSIDE * (value - self.middle) / side)
        return 2 * left * scaled if value < self.middle else left + (1 - left) * (2 * scaled - 1)


def deviates(share: npt.ArrayLike) -> Array:
    """Standard normal quantiles.

    Parameters
    ----------
    share : array_like
        Share of the distribution that lies below, 0 to 1.

    Returns
    -------
    array
        -inf at 0, inf at 1.

    Notes
    -----
    Up to `AT_ONCE` of them from Python's `statistics`, which loads in a twentieth of the time that SciPy takes; both
    agree to 1e-13.

    Examples
    --------
    >>> deviates([0.0, 0.5, 0.975]).round(6).tolist()
    [-inf, 0.0, 1.959964]
    """
    share = np.asarray(share, float)
    if share.size > AT_ONCE:
        from scipy.special import ndtri

        return np.asarray(ndtri(share))
    inside = (share > 0) & (share < 1)
    each = np.asarray(np.frompyfunc(_NORMAL.inv_cdf, 1, 1)(np.where(inside, share, 0.5)), float)
    return np.where(inside, each, np.where(share > 0, np.inf, -np.inf))


def doubts(build: Build, numbers: Plain, tolerance: Mapping[str, Tolerance] | None = None) -> tuple[Doubt, ...]:
    """Return the distribution of each input that a build leaves uncertain, in the order of the table of inputs.

    Parameters
    ----------
    build : Build
    numbers : dict
        Its plain numbers.
    tolerance : mapping of str to Tolerance, optional
        In place of the build's own tolerances.

    Returns
    -------
    tuple of Doubt
        Without bands of no width. Over-close is a length at the ball [m].

    Examples
    --------
    >>> import detentsim as ds
    >>> from detentsim.knife.record.record import plain
    >>> found = {doubt.name: doubt for doubt in doubts(ds.demo(), plain(ds.demo()))}
    >>> found["friction.ball_on_tang"].of_shop, found["dimple.radial_error"].of_shop
    (True, False)
    """
    given = build.tolerance if tolerance is None else tolerance
    ends = spans(build.values, given, float(np.asarray(numbers["bar.calibration"])))
    found = (_doubt(build, numbers, name, band, given.get(name)) for name, band in ends.items())
    return tuple(doubt for doubt in found if doubt.width > 0)


def _doubt(build: Build, numbers: Plain, name: str, band: tuple[float, float], given: Tolerance | None) -> Doubt:
    middle = _middle(build, numbers, name)
    low, high = min(band[0], middle), max(band[1], middle)
    lowest, highest = allowed(name, build.values[name].kind)
    if given is not None and given.plus_minus is None:
        lowest, highest = max(lowest, low), min(highest, high)
    shape = "normal" if given is None else given.shape
    if shape != "normal":
        low, high = max(low, lowest), min(high, highest)
    return Doubt(name, middle, low, high, lowest, highest, shape, INPUTS[name].doubt == "shop")


def _middle(build: Build, numbers: Plain, name: str) -> float:
    """Return an input's likeliest value; over-close as a length at the ball."""
    if name == "bar.calibration":
        return float(np.asarray(numbers[name]))
    value = build.values[name]
    if name == "dimple.overclose" and value.kind == "angle":
        return value.si * float(np.asarray(numbers.get("tang.pivot_to_ball", math.nan)))
    return value.si
