"""A fit as a JSON document, and the readings file to fill in."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from detentsim.knife.measured.tools import SIGHTS, Tool, readable_results, shown_unit, sight_words, tool
from detentsim.knife.outcomes import RESULTS
from detentsim.show.in_hand.fit.report import in_shown, verdict_words
from detentsim.show.theme.rows import build_rows, finite, summary_row
from detentsim.units.numbers import digits

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from detentsim.analysis.in_hand.fit.fitted import Fit
    from detentsim.knife.model import Build


def fit_document(fit: Fit, answer: str = "breakout_force", left_out: Sequence[str] = ()) -> dict[str, Any]:
    """Everything that a fit found, ready for JSON.

    Parameters
    ----------
    fit : Fit
    answer : str
        The result that the next reading shall narrow.
    left_out : sequence of str
        Symptoms that were seen and not used.

    Returns
    -------
    dict
        Keys ``build verdict words knives effective seed readings saw left_out conflicts share inputs results truths
        tied next fitted``. Ranges hold nine chances in ten; ``verdict`` is that on the likeliest knife.
    """
    return {
        "build": build_rows(fit.drawing),
        "verdict": summary_row(fit.summary),
        "words": verdict_words(fit, answer),
        "knives": len(fit),
        "effective": fit.effective,
        "seed": fit.seed,
        "readings": [_reading(one) for one in fit.readings.taken],
        "saw": [{"what": one.what, "is": "sometimes" if one.seen is None else one.seen} for one in fit.readings.saw],
        "left_out": list(left_out),
        "conflicts": [
            {"what": one.what, "chance": one.chance, "beside": one.beside, "check": list(one.check), "words": one.words}
            for one in fit.conflicts
        ],
        "share": fit.share()._asdict() if fit.drawing.target else None,
        "inputs": {name: _range(fit, name) for name in fit.found.values},
        "results": {name: _range(fit, name) for name in fit.results if not RESULTS[name].is_truth},
        "truths": {name: fit.share(name)._asdict() for name in fit.results if RESULTS[name].is_truth},
        "tied": [one._asdict() for one in fit.tied],
        "next": [one._asdict() for one in fit.next_readings(answer)],
        "fitted": build_rows(fit.build)["given"],
    }


def _reading(one: Any) -> dict[str, Any]:
    value, error = in_shown(one)
    return {"what": one.what, "value": value, "error": error, "unit": shown_unit(one.what), "count": one.count}


def _range(fit: Fit, name: str) -> dict[str, Any]:
    (low, high), (first, last) = fit.interval_ends(name), fit.before_ends(name)
    ends = {"low": low, "middle": fit.middle_number(name), "high": high, "drawing_low": first, "drawing_high": last}
    return {key: finite(end) for key, end in ends.items()} | {"unit": shown_unit(name)}


def fit_csv(fit: Fit) -> str:
    """Table of a fit: a row for each input that varies and each result that is a number, ranges nine in ten.

    Parameters
    ----------
    fit : Fit

    Returns
    -------
    str
        Empty cells where there is no value, and no reading.
    """
    taken = {one.what: in_shown(one) for one in fit.readings.taken}
    names = [*fit.found.values, *(name for name in fit.results if not RESULTS[name].is_truth)]
    lines = ["what,unit,drawing_low,drawing_high,low,middle,high,reading,error"]
    for name in names:
        row = _range(fit, name)
        ends = [row[key] for key in ("drawing_low", "drawing_high", "low", "middle", "high")]
        cells = [*ends, *taken.get(name, (None, None))]
        lines.append(",".join([name, row["unit"], *("" if cell is None else repr(cell) for cell in cells)]))
    return "\n".join(lines) + "\n"


HEAD = """\
# Readings of one knife: {name}.
# Take away the # before each line of what you have read, and put your own numbers in; the rest may stay.
# The numbers here are what the drawing gives. Repeats: values = [{repeats}]; a known standard error of your
# own tool: error = "{error}". Then: detentsim fit {source} readings.toml
"""

EXAMPLES, EXAMPLE_ERROR = (6.2, 6.6), 0.1
"""Repeated readings of a pull and a standard error, to show how they are written [N]."""


def readings_rows(build: Build, results: Mapping[str, float | bool | None]) -> list[dict[str, Any]]:
    """What can be read from a build's knife with shop tools, how, with which error, and what the drawing gives.

    Parameters
    ----------
    build : Build
    results : mapping
        Of the drawing, in their units.
    """
    rows = []
    for name in readable_results():
        how, value = tool(name), results.get(name)
        if how is not None and value is not None and not isinstance(value, bool):
            rows.append(_row(build, how, value))
    return rows


def _row(build: Build, how: Tool, value: float) -> dict[str, Any]:
    number, unit = build.units.pair(value, RESULTS[how.what].unit)
    error, small = build.units.pair(how.error(value), RESULTS[how.what].unit)
    return {
        "what": how.what,
        "how": how.how,
        "drawing": f"{digits(number, 3)} {unit}",
        "error": f"{digits(error, 2)} {small}",
        "blade_out": how.effort > 1,
    }


def readings_template(build: Build, results: Mapping[str, float | bool | None]) -> str:
    """Text of a readings file to fill in.

    Parameters
    ----------
    build : Build
    results : mapping
        Of the drawing, in their units.
    """
    units, source = build.units, "mine.toml" if build.demo else build.source
    repeats = ", ".join(f'"{units.two_digits(newtons, "N")}"' for newtons in EXAMPLES)
    parts = [HEAD.format(name=build.name, repeats=repeats, error=units.two_digits(EXAMPLE_ERROR, "N"), source=source)]
    for row in readings_rows(build, results):
        how = f"# {row['how']}; usual error {row['error']}\n"
        parts.append(f'{how}# [[reading]]\n# what = "{row["what"]}"\n# value = "{row["drawing"]}"\n')
    sized = tool("bar.thickness")
    calipers = units.size(1e3 * sized.least) if sized is not None else ""
    parts.append(
        f"# any size measured again: its name in the build file; calipers count as true to {calipers}\n"
        '# [[reading]]\n# what = "bar.thickness"\n'
        f'# value = "{build.word("bar.thickness")}"\n'
    )
    for name in SIGHTS:
        if name in results:
            parts.append(f'# {sight_words(name)}\n# [[saw]]\n# what = "{name}"\n# is = true  # false, "sometimes"\n')
    parts.append('# a whole pull over blade angle, as for compare\n# curve = "pull.csv"\n')
    return "\n".join(parts)
