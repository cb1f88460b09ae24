"""Parts that reports (lines of text) and JSON documents (dicts) of one build share."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

import numpy as np

from detentsim.knife.outcomes import RESULTS
from detentsim.knife.target.target import FELT
from detentsim.show.theme.tables import titled, wrap, wrap_all

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence

    import numpy.typing as npt

    from detentsim.analysis.hand_steps import Distance
    from detentsim.analysis.in_hand.advise.aims import Aim
    from detentsim.analysis.one_build.summary import Summary
    from detentsim.knife.model import Build
    from detentsim.knife.target.verdict import Verdict

HAND_STEP = f"A hand-step is {100 * FELT:.0f} % of force, the least difference that a finger feels."
"""Explanation of the measure of feel."""


def build_rows(build: Build) -> dict[str, Any]:
    """Build as part of a document: name, source, and every input that was given, as typed.

    Parameters
    ----------
    build : Build
    """
    given = {name: value.text for name, value in build.values.items() if value.given}
    return {"name": build.name, "source": build.source, "given": given}


def title_lines(name: str, where_from: str = "") -> list[str]:
    """First lines of a report: where the build comes from, and its name.

    Parameters
    ----------
    name : str
    where_from : str
        Left out when empty.
    """
    return [where_from, name] if where_from else [name]


def summary_lines(summary: Summary) -> list[str]:
    """Verdict on a build as the first lines of a report: the whole in one sentence, then its checks.

    Parameters
    ----------
    summary : Summary
    """
    return [*wrap(summary.words, ""), *check_lines(summary)]


def check_lines(summary: Summary, full: bool = True) -> list[str]:
    """Checks of a verdict, a sentence each.

    Parameters
    ----------
    summary : Summary
    full : bool
        Whether to tell those that hold or are not known too.
    """
    lines: list[str] = []
    for check in summary.checks:
        untold = ("good",) if check.name == "sizes" else () if full else ("good", "unknown")
        if check.state not in untold:
            lines += wrap(check.words, f"  {check.name.capitalize():<12}", " " * 14)
    return lines


def summary_row(summary: Summary) -> dict[str, Any]:
    """Verdict on a build as part of a document.

    Parameters
    ----------
    summary : Summary
    """
    checks = {check.name: {"state": check.state, "words": check.words} for check in summary.checks}
    answers = {one.name: {"value": None, "why": one.why} if one.yes is None else one.yes for one in summary.answers}
    return {"sound": summary.sound, "words": summary.words, "checks": checks, "answers": answers}


def verdict_rows(verdicts: Iterable[Verdict]) -> list[dict[str, Any]]:
    """Verdicts on targets as rows of a document.

    Parameters
    ----------
    verdicts : iterable of Verdict
    """
    return [{"name": v.name, "met": v.met, "short_by": v.short_by, "text": v.text} for v in verdicts]


def verdict_lines(verdicts: Sequence[Verdict]) -> list[str]:
    """Verdicts on targets as lines of a report with their heading; none where the build has no target.

    Parameters
    ----------
    verdicts : sequence of Verdict
    """
    return titled("Against the target", wrap_all(v.text for v in verdicts))


def aim_row(aim: Aim) -> dict[str, Any]:
    """Wanted band or truth of one result as a row of a document.

    Parameters
    ----------
    aim : Aim
    """
    ends = {key: end if math.isfinite(end) else None for key, end in (("at_least", aim.low), ("at_most", aim.high))}
    return {"name": aim.name, "unit": RESULTS[aim.name].unit, **ends, "truth": aim.truth, "words": aim.words}


def distance_row(found: Distance) -> dict[str, Any]:
    """Distance between two openings as part of a document, or why there is none.

    Parameters
    ----------
    found : Distance
    """
    if found.steps is None:
        return {"steps": None, "why": found.why}
    over = {"from_deg": found.start, "to_deg": found.end, "within_one_step": found.within}
    return {"steps": found.steps, "words": found.felt, **over}


def steps_words(steps: float, sign: str = "") -> str:
    """A number of hand-steps in words.

    Parameters
    ----------
    steps : float
    sign : str
        ``+`` to give the sign of a change.

    Examples
    --------
    >>> steps_words(1.04), steps_words(2, "+")
    ('1.0 hand-step', '+2.0 hand-steps')
    """
    return f"{steps:{sign}.1f} hand-step{'s' * (f'{abs(steps):.1f}' != '1.0')}"


def result_row(name: str, value: float | bool | None, why: Callable[[str], str]) -> Any:
    """Result as a row of a document: a bare truth, or value and unit, with the reason where there is no value.

    Parameters
    ----------
    name : str
        Of a result.
    value : float, bool or None
        In the unit of `detentsim.knife.outcomes.RESULTS`.
    why : callable
        Gives the reason for a missing value, by name.
    """
    if isinstance(value, bool):
        return value
    answer: dict[str, Any] = {"value": value, "unit": "" if RESULTS[name].is_truth else RESULTS[name].unit}
    return answer if value is not None else answer | {"why": why(name)}


def finite_lists(values: npt.NDArray[Any]) -> Any:
    """Array as nested lists that a JSON document may hold: None for NaN and infinity.

    Parameters
    ----------
    values : array
        Numbers or truths.

    Examples
    --------
    >>> finite_lists(np.array([[1.0, np.nan], [np.inf, 2.0]]))
    [[1.0, None], [None, 2.0]]
    """
    return np.where(np.isfinite(values), values.astype(object), np.array(None)).tolist()


def finite(value: float) -> float | None:
    """Number as a JSON document may hold it: None for NaN and infinity.

    Parameters
    ----------
    value : float
    """
    return value if math.isfinite(value) else None
