"""Aims: wanted bands of results, and how far designs are from them in tenths.

Tenths are of any result; hand-steps, in which a customer's wish is counted, are ratios of forces (`hand_steps`).
Used by `trials` and `design`; read from targets or a customer's words.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

import numpy as np

from detentsim.analysis.hand_steps import force_off
from detentsim.analysis.in_hand.advise.symptoms.said import symptom_name
from detentsim.analysis.results import SPARES
from detentsim.knife.outcomes import RESULTS, label
from detentsim.knife.target.target import FELT, Target, ends
from detentsim.knife.target.words import wanted_words
from detentsim.units.errors import InputError
from detentsim.units.systems import METRIC, UnitSystem

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from detentsim.mechanics.record import Array

# Tenths counted for a truth that is missed and for a result without a value.
UNTRUE, UNKNOWN = 5.0, 20.0

# Largest margin inside a band that counts, in tenths.
ENOUGH = 1.0

# Least step of the results in `SPARES`, in their units: N*mm and mJ.
LEAST = 0.1

_WANTS = {"lighter": -1.0, "stiffer": 1.0}

_BLAMED = {"too stiff": "lighter", "too light": "stiffer"}


@dataclass(frozen=True)
class Aim:
    """Band on one result in its unit, with the size of a tenth.

    Attributes
    ----------
    name : str
    low, high : float
        Infinite where the band is open.
    truth : bool or None
        For a result that is true or false.
    step : float
        A tenth of the build's own value, or of the band where that is larger; of a truth with a `spare`, a fifth of
        what the build itself has to spare or lacks.
    spare : str
        Signed result by which a truth is graded; empty where there is none.
    source : Target or None
        Target it was read from, whose ends are repeated as typed; None where its band was computed.
    """

    name: str
    low: float
    high: float
    truth: bool | None
    step: float
    spare: str = ""
    source: Target | None = field(default=None, compare=False)

    def miss(self, values: Array) -> Array:
        """Tenths outside the band; 0 inside.

        Parameters
        ----------
        values : array
            In the result's unit; truths as 0 and 1.
        """
        if self.truth is not None:
            return np.where(np.isnan(values), UNKNOWN, np.where((values > 0) == self.truth, 0.0, UNTRUE))
        outside = np.maximum(np.maximum(self.low - values, values - self.high), 0) / self.step
        return np.where(np.isnan(values), UNKNOWN, outside)

    def margin(self, values: Array) -> Array:
        """Tenths inside the band, to its nearer end and no more than `ENOUGH`.

        Parameters
        ----------
        values : array
            In the result's unit.
        """
        if self.truth is not None:
            return np.full(np.shape(values), ENOUGH)
        inside = np.minimum(values - self.low, self.high - values) / self.step
        if self.high == 0 and math.isinf(self.low):  # less than nothing is no better than nothing
            inside = np.where(values <= 0, ENOUGH, 0.0)
        return np.clip(np.where(np.isnan(values), 0.0, inside), 0, ENOUGH)

    def distance(self, results: Mapping[str, Array]) -> Array:
        """Tenths outside the aim, a truth graded by what is lacking; 0 inside.

        Parameters
        ----------
        results : mapping of str to array
            In their units; without the `spare` a truth that is missed counts `UNTRUE`.
        """
        flat = self.miss(results[self.name])
        if self.spare not in results:
            return flat
        lack = -self._spared(results) / self.step
        return np.where((flat == UNTRUE) & np.isfinite(lack), np.maximum(lack, 1e-3), flat)

    def inside(self, results: Mapping[str, Array]) -> Array:
        """Tenths inside the aim, a truth graded by what is to spare; no more than `ENOUGH`.

        Parameters
        ----------
        results : mapping of str to array
            In their units.
        """
        flat = self.margin(results[self.name])
        if self.spare not in results:
            return flat
        spared = self._spared(results) / self.step
        return np.where(np.isfinite(spared), np.clip(spared, 0, ENOUGH), flat)

    def _spared(self, results: Mapping[str, Array]) -> Array:
        return results[self.spare] if self.truth else -results[self.spare]

    @property
    def band(self) -> Target:
        """The aim as a target: the one it was read from, or its computed band."""
        if self.source is not None and self.source.change is None:
            return self.source
        low, high = (end if math.isfinite(end) else None for end in (self.low, self.high))
        return Target(self.name, low, high, self.truth)

    def said(self, units: UnitSystem) -> str:
        """The aim in words: its ends as typed, else in the units given.

        Parameters
        ----------
        units : UnitSystem
        """
        words = f"{label(self.name)}{'' if self.truth is None else ':'} {wanted_words(self.band, units)}"
        change = None if self.source is None else self.source.change
        return words if change is None else f"{words} ({100 * change:+.3g} %)"

    @property
    def words(self) -> str:
        """The aim in words, in metric units where it was not typed."""
        return self.said(METRIC)


def read_aims(target: Sequence[Target], own: Mapping[str, float]) -> tuple[Aim, ...]:
    """Aims from a build's targets.

    Parameters
    ----------
    target : sequence of Target
    own : mapping
        The build's own results, in their units; NaN where there is none.
    """
    return tuple(_aim(wanted, own.get(wanted.name, math.nan)) for wanted in target)


def _aim(wanted: Target, own: float) -> Aim:
    if wanted.truth is not None:
        return Aim(wanted.name, -math.inf, math.inf, wanted.truth, 1.0, source=wanted)
    if wanted.change is not None and math.isnan(own):
        text = f"asks for a change of {100 * wanted.change:+.3g} %, but this build has no {wanted.name}"
        raise InputError(f"target.{wanted.name}", wanted.change, f"{text}; give a band instead")
    least, most = ends(wanted, own)
    low, high = (-math.inf if least is None else least), (math.inf if most is None else most)
    return Aim(wanted.name, low, high, None, _step(low, high, own), source=wanted)


def results_for(aims: Sequence[Aim]) -> tuple[str, ...]:
    """Names of the results that aims are about, those by which truths are graded among them.

    Parameters
    ----------
    aims : sequence of Aim
    """
    names = [aim.name for aim in aims]
    return tuple(dict.fromkeys([*names, *(SPARES[name] for name in names if name in SPARES)]))


def graded(aim: Aim, own: Mapping[str, float]) -> Aim:
    """Aim that grades a truth by a signed result, so that a search has a slope to follow; any other aim as it is.

    Parameters
    ----------
    aim : Aim
    own : mapping
        The build's own results, in their units.
    """
    spare = SPARES.get(aim.name, "")
    if aim.truth is None or spare not in own:
        return aim
    has = abs(own[spare])
    return replace(aim, spare=spare, step=max(has / UNTRUE, LEAST) if math.isfinite(has) else UNTRUE * LEAST)


def _step(low: float, high: float, own: float) -> float:
    ends = [abs(value) for value in (own, low, high) if math.isfinite(value)]
    return max([FELT * max(ends, default=1.0), 1e-9])


def same_feel(other: Mapping[str, float]) -> tuple[Aim, ...]:
    """Aims to feel like another build: each noticed result within half a tenth of the other's.

    Parameters
    ----------
    other : mapping
        The other build's results, in their units; missing ones give no aim.
    """
    aims = []
    for name, value in other.items():
        if math.isnan(value):
            continue
        if RESULTS[name].is_truth:
            aims.append(Aim(name, -math.inf, math.inf, value > 0, 1.0))
        elif value != 0:
            slack = abs(value) * FELT / 2
            aims.append(Aim(name, value - slack, value + slack, None, FELT * abs(value)))
    return tuple(aims)


def wanted_feel(words: str, own: Mapping[str, float], target: Sequence[Target] = ()) -> tuple[Aim, ...]:
    """Aims from a customer's words: lighter or stiffer, by a number of hand-steps, or too stiff and too light.

    Parameters
    ----------
    words : str
        ``lighter``, ``stiffer``, or either with a count: ``lighter 2``; ``too stiff``, ``too light`` and other ways of
        saying these two.
    own : mapping
        The build's own results.
    target : sequence of Target
        The build's own.

    Raises
    ------
    InputError
        For other words, or a build that has no breakout force.

    Notes
    -----
    Hand-steps are those of a comparison. What the blade does by itself now, falling shut, it shall still do. A build
    that is too stiff and above its target, or too light and below it, is to come into the target; any other is to be a
    hand-step lighter or stiffer.
    """
    blamed = symptom_name(words)
    if blamed in _BLAMED:
        past = _past_target(blamed, own, target)
        if past is not None:
            return (past, *_kept(own))
        words = _BLAMED[blamed]
    parts = str(words)[:40].split()
    count = parts[1] if len(parts) == 2 else "1"
    if not 1 <= len(parts) <= 2 or parts[0] not in _WANTS or not count.isdigit() or not 1 <= int(count) <= 9:
        given = f'"{str(words)[:40]}" is not understood'
        allowed = '"lighter" or "stiffer", alone or with 1 to 9 hand-steps ("lighter 2"), "too stiff" or "too light"'
        raise InputError("--want", words, f"{given}; give {allowed}")
    force = own.get("breakout_force", math.nan)
    if math.isnan(force):
        raise InputError("--want", words, "this build has no breakout force to make lighter or stiffer")
    return off_by("breakout_force", force, int(_WANTS[parts[0]]) * int(count), own.get("falls_shut", 0) > 0)


def off_by(name: str, own: float, steps: float, falls: bool) -> tuple[Aim, ...]:
    """Aims for a force so many hand-steps from a build's own, falling shut kept.

    Parameters
    ----------
    name : str
        Of a force.
    own : float
        The build's own [N].
    steps : float
        Below zero for less of it.
    falls : bool
        Whether the blade falls shut now.
    """
    goal = force_off(own, steps)
    band = goal / (1 + FELT / 2), goal * (1 + FELT / 2)
    return (Aim(name, *band, None, FELT * max(own, goal)), *_kept({"falls_shut": float(falls)}))


def _kept(own: Mapping[str, float]) -> tuple[Aim, ...]:
    """Falling shut, for a blade that does now."""
    return (Aim("falls_shut", -math.inf, math.inf, True, 1.0),) if own.get("falls_shut", 0) > 0 else ()


def _past_target(blamed: str, own: Mapping[str, float], target: Sequence[Target]) -> Aim | None:
    """The target of the breakout force, where the build lies past the end of it that is blamed."""
    force = own.get("breakout_force", math.nan)
    aims = read_aims([one for one in target if one.name == "breakout_force"], own)
    return next((aim for aim in aims if (force > aim.high if blamed == "too stiff" else force < aim.low)), None)
