"""Compares results with their targets.

Stands on `target`; used by every command that prints results, by advice and by the search for a design.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from detentsim.knife.outcomes import RESULTS
from detentsim.knife.target.target import Target, change_band, ends

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    import numpy as np
    import numpy.typing as npt

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
    target: Sequence[Target], results: Mapping[str, Result], base: Mapping[str, Result] | None = None
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

    Returns
    -------
    tuple of Verdict
        One for each target, in their order.

    Examples
    --------
    >>> judge([Target("breakout_force", 9.0, 13.0)], {"breakout_force": 8.1})[0].text
    'breakout_force 8.1 N: missed by 0.9 N, wanted 9 to 13 N'
    """
    return tuple(_verdict(wanted, results.get(wanted.name), base or {}) for wanted in target)


def _verdict(wanted: Target, result: Result, base: Mapping[str, Result]) -> Verdict:
    name = wanted.name
    if result is None or (isinstance(result, float) and math.isnan(result)):
        return Verdict(name, None, f"{name} has no value, wanted {_wanted(wanted)}", None)
    if wanted.truth is not None:
        met = bool(result) == wanted.truth
        words = f"{name} {str(bool(result)).lower()}: {'met' if met else 'missed'}, wanted {_wanted(wanted)}"
        return Verdict(name, met, words, 0.0 if met else None)
    if wanted.change is not None:
        return _changed(wanted, float(result), base.get(name))
    return _banded(name, float(result), wanted.at_least, wanted.at_most, _wanted(wanted))


def _changed(wanted: Target, result: float, start: Result) -> Verdict:
    """Return the verdict on a wanted change, met within `change_band`."""
    if start is None or math.isnan(start) or wanted.change is None:
        text = f"{wanted.name} {_number(result, wanted.name)}: nothing to compare with"
        return Verdict(wanted.name, None, f"{text}, wanted {_wanted(wanted)}", None)
    low, high = change_band(wanted.change, start)
    goal = start * (1 + wanted.change)
    words = f"about {_number(goal, wanted.name)} ({wanted.change:+.3g} of {_number(start, wanted.name)})"
    words = words.replace(f"{wanted.change:+.3g} of", f"{100 * wanted.change:+.3g} % from")
    return _banded(wanted.name, result, low, high, words)


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


def _banded(name: str, result: float, low: float | None, high: float | None, wanted: str) -> Verdict:
    short = 0.0
    if low is not None and result < low:
        short = low - result
    elif high is not None and result > high:
        short = high - result
    outcome = "met" if short == 0 else f"missed by {_number(abs(short), name)}"
    return Verdict(name, short == 0, f"{name} {_number(result, name)}: {outcome}, wanted {wanted}", short)


def _number(value: float, name: str) -> str:
    return f"{value:.3g} {RESULTS[name].unit}".strip()


def _wanted(wanted: Target) -> str:
    unit = RESULTS[wanted.name].unit
    if wanted.truth is not None:
        return str(wanted.truth).lower()
    if wanted.change is not None:
        return f"a change of {100 * wanted.change:+.3g} %"
    bounds = [f"{b:.4g}" for b in (wanted.at_least, wanted.at_most) if b is not None]
    if len(bounds) == 2:
        return f"{bounds[0]} to {bounds[1]} {unit}".strip()
    word = "at least" if wanted.at_least is not None else "at most"
    return f"{word} {bounds[0]} {unit}".strip()
