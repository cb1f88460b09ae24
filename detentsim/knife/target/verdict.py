"""Compares results with their targets.

Uses `target`; used by every command that prints results, by advice and by the search for a design.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from detentsim.knife.outcomes import RESULTS, label
from detentsim.knife.target.target import Target, change_band, ends
from detentsim.knife.target.words import as_typed, number_words, result_words, wanted_words
from detentsim.units.systems import METRIC, UnitSystem

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    import numpy as np
    import numpy.typing as npt

    from detentsim.knife.table.lookup import Lookup

Result = float | bool | None


@dataclass(frozen=True)
class Verdict:
    """Comparison of one result with its target.

    Attributes
    ----------
    name : str
        Result name.
    met : bool or None
        None when the result has no value, or a change has no base.
    text : str
        One plain line.
    short_by : float or None
        Distance to the band, in the result's unit: positive when too low, negative when too high, 0 when met.
    """

    name: str
    met: bool | None
    text: str
    short_by: float | None


def judge(
    target: Sequence[Target],
    results: Mapping[str, Result],
    base: Mapping[str, Result] | None = None,
    units: UnitSystem = METRIC,
) -> tuple[Verdict, ...]:
    """Compare results with their targets.

    Parameters
    ----------
    target : sequence of Target
        Wanted results.
    results : mapping of str to float, bool or None
        Results in their own units; None or NaN where there is no value.
    base : mapping, optional
        Results of the build that is the base of a wanted change.
    units : UnitSystem
        Units of the verdicts' text.

    Returns
    -------
    tuple of Verdict
        One for each target, in their order.

    Examples
    --------
    >>> judge([Target("breakout_force", 9.0, 13.0)], {"breakout_force": 8.1})[0].text
    'breakout 8.1 N: missed by 0.9 N, wanted 9 to 13 N'
    """
    return tuple(_verdict(wanted, results.get(wanted.name), base or {}, units) for wanted in target)


def judge_known(
    build: Lookup, results: Mapping[str, Result], base: Mapping[str, Result] | None = None
) -> tuple[Verdict, ...]:
    """Compare results with those of a build's targets that speak of them, in the build's own units.

    Parameters
    ----------
    build : Lookup
        A build.
    results : mapping of str to float, bool or None
        Results in their own units; a target whose result is absent is passed over.
    base : mapping, optional
        Results of the build that is the base of a wanted change.

    Returns
    -------
    tuple of Verdict
        In the order of the targets.
    """
    return judge([wanted for wanted in build.target if wanted.name in results], results, base, build.units)


def _verdict(wanted: Target, result: Result, base: Mapping[str, Result], units: UnitSystem) -> Verdict:
    name, words = wanted.name, wanted_words(wanted, units)
    if result is None or (isinstance(result, float) and math.isnan(result)):
        return Verdict(name, None, f"{label(name)} has no value, wanted {words}", None)
    if wanted.truth is not None:
        met = bool(result) == wanted.truth
        text = f"{result_words(name, bool(result))}, {'met' if met else f'missed, wanted {words}'}"
        return Verdict(name, met, text, 0.0 if met else None)
    if wanted.change is not None:
        return _changed(wanted, float(result), base.get(name), units)
    return _banded(wanted, float(result), (wanted.at_least, wanted.at_most), words, units)


def _changed(wanted: Target, result: float, start: Result, units: UnitSystem) -> Verdict:
    """Return the verdict on a wanted change, met within `change_band`."""
    name = wanted.name
    if start is None or math.isnan(start) or wanted.change is None:
        text = f"{result_words(name, result, units)}: nothing to compare with"
        return Verdict(name, None, f"{text}, wanted {wanted_words(wanted, units)}", None)
    unit = RESULTS[name].unit
    goal, base = (number_words(value, unit, units) for value in (start * (1 + wanted.change), start))
    words = f"about {goal} ({100 * wanted.change:+.3g} % from {base})"
    return _banded(wanted, result, change_band(wanted.change, start), words, units)


def meets(wanted: Target, values: npt.NDArray[Any], start: float | None = None) -> npt.NDArray[np.bool_]:
    """Compare many values of a result with one target.

    Parameters
    ----------
    wanted : Target
    values : array
        Results in their own unit, or truths; NaN where there is no value.
    start : float, optional
        Base of a wanted change, in the result's own unit.

    Returns
    -------
    array of bool
        True where met; False where there is no value, and everywhere for a change without a base.

    Examples
    --------
    >>> import numpy as np
    >>> meets(Target("breakout_force", 9.0, 13.0), np.array([8.1, 9.5, np.nan])).tolist()
    [False, True, False]
    """
    if wanted.truth is not None:
        return values == wanted.truth  # type: ignore[no-any-return]  # an array's comparison is one
    low, high = ends(wanted, start)
    least, most = (-math.inf if low is None else low), (math.inf if high is None else high)
    return (values >= least) & (values <= most)


def _banded(
    wanted: Target, result: float, band: tuple[float | None, float | None], words: str, units: UnitSystem
) -> Verdict:
    name, (low, high) = wanted.name, band
    end = low if low is not None and result < low else high if high is not None and result > high else None
    short = 0.0 if end is None else end - result
    missed = f"missed by {number_words(abs(short), RESULTS[name].unit, units)}"
    also = as_typed(wanted, result, units, end)
    text = f"{result_words(name, result, units, end)}{also}: {'met' if end is None else missed}, wanted {words}"
    return Verdict(name, end is None, text, short)
