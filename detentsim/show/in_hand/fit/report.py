"""A fit as text: how this knife reads and what it likely is, conflicts first, then what to read next."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from detentsim.knife.measured.tools import shown_unit, unit_of
from detentsim.knife.outcomes import FLAGS, RESULTS, UNSOUND, label
from detentsim.show.theme.tables import first_that_fits, report_of, table_lines, wrap, wrap_all
from detentsim.units.numbers import digits, percent
from detentsim.units.quantities import factor

if TYPE_CHECKING:
    from collections.abc import Sequence
    from typing import Any

    from detentsim.analysis.in_hand.fit.answers.next_reading import NextReading
    from detentsim.analysis.in_hand.fit.fitted import Fit
    from detentsim.knife.measured.readings import Reading

# Inputs and further readings of the short report, and the least narrowing that earns an input a line there.
TOLD, NEXT, NARROWED = 6, 3, 0.9

LIKELY, WARNED = 0.5, 2
"""Chance of a warning from which the report gives it, and how many it gives."""

SPARSE = 200.0
"""Effective number of knives below which the report says that its ranges are rough."""


def fit_report(fit: Fit, answer: str = "breakout_force", full: bool = False, left_out: Sequence[str] = ()) -> str:
    """Text of a fit.

    Parameters
    ----------
    fit : Fit
    answer : str
        The result that the next reading shall narrow.
    full : bool
        Whether to add every input, every result, and all further readings.
    left_out : sequence of str
        Symptoms that were seen and not used.

    Returns
    -------
    str
        Lines up to 96 characters, in the units of the build.
    """
    parts = [
        [fit.drawing.name, *wrap(verdict_words(fit, answer), ""), *_warned(fit), *_rough(fit), *_left_out(left_out)],
        wrap_all((_sentence(one.words) for one in fit.conflicts), "  Check  ", " " * 9),
        _readings(fit),
        [*table_lines(*input_rows(fit, full), ""), *_tied(fit, full)],
        _results(fit) if full else [],
        _next(fit, answer, full),
    ]
    if full:
        return report_of(parts)
    inputs = 3  # left out where conflicts take the page
    return first_that_fits([report_of(parts), report_of([*parts[:inputs], *parts[inputs + 1 :]])])


def _left_out(names: Sequence[str]) -> list[str]:
    return wrap(f"Not used: {left_out_words(names)}.", "") if names else []


def left_out_words(names: Sequence[str]) -> str:
    """Why symptoms that were seen are not used, and where to ask about them.

    Parameters
    ----------
    names : sequence of str
        At least one.

    Examples
    --------
    >>> left_out_words(["gritty"])
    'a fit weighs numbers and yes-no results, and "gritty" is neither; ask advise --saw "gritty"'
    """
    said = " and ".join(f'"{name}"' for name in names)
    neither = "is neither" if len(names) == 1 else "are neither"
    return f'a fit weighs numbers and yes-no results, and {said} {neither}; ask advise --saw "{names[0]}"'


def _sentence(words: str) -> str:
    return words[:1].upper() + words[1:]


def verdict_words(fit: Fit, answer: str) -> str:
    """How this knife likely does, beside what its drawing alone says, and whether it is inside its target.

    Parameters
    ----------
    fit : Fit
    answer : str
    """
    start = "The readings do not fit the drawing. " if fit.conflicts else ""
    now, before = range_words(fit, answer), range_words(fit, answer, before=True)
    if now == "none":
        words = f"{start}This knife has no {label(answer)}."
    else:
        words = f"{start}{_sentence(label(answer))} of this knife is {now}, nine chances in ten; by the drawing alone "
        words += f"{before}."
    if fit.drawing.target:
        words += f" The chance that it is inside the target is {percent(fit.share().share)}."
    return words


def _warned(fit: Fit) -> list[str]:
    """Warnings of an unsound design that this knife likely has, the surest first; one line each, two at most."""
    shares = {flag: fit.share(flag).share for flag in UNSOUND}
    likely = sorted((flag for flag in UNSOUND if shares[flag] >= LIKELY), key=lambda flag: -shares[flag])
    words = (f"{FLAGS[flag]} The chance of it is {percent(shares[flag])}. [{flag}]" for flag in likely[:WARNED])
    return wrap_all(words, "")


def _rough(fit: Fit) -> list[str]:
    if fit.effective >= SPARSE:
        return []
    return wrap(f"Ranges are rough: they stand on {fit.effective:.0f} knives, since few agree with every reading.")


def range_words(fit: Fit, name: str, before: bool = False) -> str:
    """Range of a result or an input that holds it nine times in ten, in the units of the report.

    Parameters
    ----------
    fit : Fit
    name : str
    before : bool
        Whether by the drawing alone.
    """
    low, high = (fit.before_ends if before else fit.interval_ends)(name)
    return "none" if math.isnan(low) else _span(fit, name, low, high)


def _span(fit: Fit, name: str, low: float, high: float) -> str:
    units, unit = fit.drawing.units, shown_unit(name)
    if unit == "mm":
        return units.sizes(low, high)
    scale, shown = units.heading(unit, max(low, high, key=abs))
    return f"{digits(low * scale, 3)} to {digits(high * scale, 3)} {shown}".rstrip()


def _read_words(fit: Fit, reading: Reading) -> str:
    """A reading with its standard error, in the units of the report."""
    value, error = in_shown(reading)
    units, unit = fit.drawing.units, shown_unit(reading.what)
    scale, shown = units.heading(unit, value)
    return f"{digits(value * scale, 3)} +- {digits(error * scale, 2)} {shown}".rstrip()


def in_shown(reading: Reading) -> tuple[float, float]:
    """Value and standard error of a reading in its usual unit: a result's own; mm, deg, N ... of an input.

    Parameters
    ----------
    reading : Reading
    """
    unit = shown_unit(reading.what)
    scale = 1.0 if reading.what in RESULTS or not unit else factor(unit_of(reading.what)) / factor(unit)
    return reading.value * scale, reading.error * scale


def reading_rows(fit: Fit) -> tuple[tuple[str, ...], tuple[tuple[Any, ...], ...]]:
    """Heading and rows of what was read and seen, beside what the drawing and this knife give."""
    rows: list[tuple[Any, ...]] = []
    for one in fit.readings.taken:
        drawing = "as typed" if one.what in fit.again else range_words(fit, one.what, before=True)
        rows.append((_name(one.what), _read_words(fit, one), drawing, range_words(fit, one.what)))
    for sight in fit.readings.saw:
        seen = "sometimes" if sight.seen is None else "yes" if sight.seen else "no"
        rows.append((_name(sight.what), seen, *(_chance(fit, sight.what, before) for before in (True, False))))
    return ("read", "reading", "drawing (9 in 10)", "this knife (9 in 10)"), tuple(rows)


def _readings(fit: Fit) -> list[str]:
    header, rows = reading_rows(fit)
    return table_lines(header, rows, "") or ["Nothing was read: these are the knives of the drawing."]


def _chance(fit: Fit, what: str, before: bool) -> str:
    values = (fit.results | fit.flags)[what]
    share = float(values[: fit.unread].mean()) if before else fit.share(what).share
    return f"yes: {percent(min(share, 1.0))}"


def _name(what: str) -> str:
    return label(what) if what in RESULTS else what


def narrowing(fit: Fit) -> list[tuple[float, str]]:
    """Width of each input's range over that of the drawing, with its name; the most narrowed first.

    Parameters
    ----------
    fit : Fit
    """
    found = []
    for name in fit.found.values:
        (low, high), (first, last) = fit.interval_ends(name), fit.before_ends(name)
        if last > first:
            found.append(((high - low) / (last - first), name))
    return sorted(found)


def input_rows(fit: Fit, full: bool = False) -> tuple[tuple[str, ...], tuple[tuple[str, ...], ...]]:
    """Heading and rows of the inputs by how much the readings narrow them; with `full` of every input."""
    ordered = [one for one in narrowing(fit) if one[1] not in fit.again]
    told = ordered if full else [one for one in ordered if one[0] < NARROWED][:TOLD]
    rows = tuple((name, range_words(fit, name, before=True), range_words(fit, name)) for _, name in told)
    return ("what it is", "drawing", "this knife"), rows


def _tied(fit: Fit, full: bool) -> list[str]:
    """Inputs that the readings cannot tell apart."""
    pairs = fit.tied if full else fit.tied[:1]
    return wrap_all(f"The readings cannot separate these: {pair.words}." for pair in pairs)


def _results(fit: Fit) -> list[str]:
    names = [name for name in fit.results if not RESULTS[name].is_truth]
    rows = tuple((label(name), range_words(fit, name, before=True), range_words(fit, name)) for name in names)
    return table_lines(("result", "drawing", "this knife"), rows, "")


def _next(fit: Fit, answer: str, full: bool) -> list[str]:
    found = fit.next_readings(answer)
    if not found:
        return wrap(f"No further reading with shop tools would narrow {label(answer)} by more than 2 %.", "")
    told = found if full else found[:NEXT]
    return [f"Read next, to narrow {label(answer)}", *wrap_all(map(next_words, told))]


def next_words(one: NextReading) -> str:
    """A further reading: what, how far it narrows the range, and how it is read."""
    return f"{_name(one.what)} (leaves {percent(one.narrows)} of the range): {one.how}."
