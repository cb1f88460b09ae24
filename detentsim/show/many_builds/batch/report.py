"""A batch as text: how many knives are inside, what the others miss, where to aim, what to hold."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from detentsim.knife.outcomes import RESULTS, label
from detentsim.show.many_builds.batch.words import (
    band_words,
    capability_meaning,
    capability_words,
    count_words,
    outside_words,
    setting_words,
    verdict_words,
)
from detentsim.show.theme.cautions import BENCH
from detentsim.show.theme.rows import title_lines
from detentsim.show.theme.tables import first_that_fits, report_of, titled, wrap, wrap_all
from detentsim.units.numbers import percent, two_digits

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from detentsim.analysis.many_builds.batch.findings import Findings
    from detentsim.analysis.many_builds.batch.questions import Batch

WORN = "Unless called fresh, a number is of knives worn in; what that leaves out: curve --worn-in."
"""First line of a batch worn in."""

# Least share of the spread that earns an input a line.
LEAST = 0.02


def batch_report(found: Findings, where_from: str = "", full: bool = False) -> str:
    """Text of a batch: the verdict, what the others miss, the range of the results, where to aim, what to hold.

    Parameters
    ----------
    found : Findings
    where_from : str
        A first line saying where the build comes from; left out when empty.
    full : bool
        Whether to add every result's range, the worst corners, what varies and how, and every tolerance halved alone.

    Returns
    -------
    str
        Lines up to 96 characters, in the units of the build.
    """
    if full:
        return report_of([*_parts(found, where_from, WHOLE), _corners(found), _varies(found), wrap(BENCH, "")])
    return first_that_fits(report_of([*_parts(found, where_from, shown), wrap(BENCH, "")]) for shown in SHOWN)


class Shown(NamedTuple):
    """How much a report tells: reasons, inputs, what is wrong with the drawing, and all results."""

    reasons: int
    inputs: int
    faults: bool
    whole: bool = False


WHOLE = Shown(10_000, 10_000, faults=True, whole=True)

SHOWN = (
    Shown(5, 5, faults=True),
    Shown(3, 3, faults=True),
    Shown(2, 2, faults=True),
    Shown(2, 2, faults=False),
    Shown(1, 1, faults=False),
    Shown(1, 0, faults=False),
)
"""Ever less, as a long verdict or many reasons take the page's room."""


def _parts(found: Findings, where_from: str, shown: Shown) -> list[list[str]]:
    head = [*title_lines(found.batch.build.name, where_from), *wrap(verdict_words(found), "")]
    return [
        [*head, *(wrap(WORN, "") if found.batch.worn else []), *_drawing(found, shown.faults)],
        _outside(found, shown.reasons),
        _ranges(found, shown.whole),
        _depends(found, shown),
        _aim(found),
        _hold(found, shown.whole),
    ]


def _rows(pairs: Iterable[tuple[str, str]]) -> list[str]:
    rows = list(pairs)
    wide = min(58, max((len(left) for left, _ in rows), default=0))
    return [line for left, right in rows for line in wrap(right, f"  {left:<{wide}}  ", " " * (wide + 4))]


def _drawing(found: Findings, faults: bool) -> list[str]:
    """How the drawing itself stands, with what is wrong with it or without, and what the share is of."""
    bad = " ".join(check.words for check in found.drawing.bad) if faults else ""
    fresh = "Fresh: " if found.batch.worn else ""
    lines = wrap(f"{fresh}{found.drawing.words} {bad}".rstrip(), "  The drawing  ", " " * 15)
    if found.count is not None:
        lines += wrap(inside_words(found), "  Inside       ", " " * 15)
    return lines


def inside_words(found: Findings) -> str:
    """Share of the knives drawn that are inside, and what that means; empty without a target."""
    if found.count is None:
        return ""
    share, low, high = found.batch.share()
    sure = f" ({percent(low)} to {percent(high)})" if low < high else ""
    words = f"{percent(share)} of {len(found.batch):,} knives drawn{sure}"
    if found.batch.worn:
        fresh, both = percent(found.batch.fresh.share().share), percent(found.both)
        words = f"Worn in, {words}; fresh, {fresh}; fresh and worn in, {both}"
    return f"{words}. Inside: every target met, no warning of an unsound design."


def _outside(found: Findings, most: int) -> list[str]:
    pairs = list(outside_rows(found).values())
    if not pairs:
        return []
    more = max(len(pairs) - most, 0)
    rest = wrap(f"and {more} more reason{'s' * (more > 1)}, under --full") if more else []
    return ["What the others miss (a knife may miss several)", *_rows(pairs[:most]), *rest]


def outside_rows(found: Findings) -> dict[str, tuple[str, str]]:
    """Share of the knives and reason in words, by each reason why knives are outside; the commonest first."""
    why, build = found.batch.outside, found.batch.build
    wanted = {target.name: target for target in build.target}
    ordered = sorted(why, key=lambda key: -int(why[key].sum()))
    return {key: (percent(float(why[key].mean())), outside_words(key, wanted, build.units)) for key in ordered}


def _ranges(found: Findings, full: bool) -> list[str]:
    """Range of each result, beside the drawing's own value."""
    names = list(found.batch.results) if full else list(found.matters)
    pairs = [(label(name), words) for name in names if (words := spread_words(found, name, full))]
    title = "Nine knives in ten lie between" + (", worn in and fresh" if found.batch.worn else "")
    meaning = capability_meaning(" ".join(words for _, words in pairs))
    return titled(title, [*_rows(pairs), *(wrap(meaning) if meaning else [])])


def spread_words(found: Findings, name: str, full: bool = True) -> str:
    """Range of nine knives in ten, or share of a truth, beside the drawing's own value; empty where none has one.

    In full with Cp and Cpk, whose meaning is `capability_meaning`.
    """
    batch, own = found.batch, found.own[name]
    units = batch.build.units
    if RESULTS[name].is_truth:
        said = "unknown" if own is None else "yes" if own else "no"
        fresh = f", fresh {percent(batch.fresh.share(name).share)}" if batch.worn else ""
        return f"yes for {percent(batch.share(name).share)} of the knives{fresh} ({_drawing_words(batch)}: {said})"
    low, high = batch.interval_ends(name)
    if low != low:
        return ""
    said = "none" if own is None else units.two_digits(float(own), RESULTS[name].unit)
    fresh = f", fresh {_fresh_range(found, name)}" if batch.worn else ""
    words = f"{units.between(low, high, RESULTS[name].unit)}{fresh} ({_drawing_words(batch)}: {said})"
    return f"{words}{_capability(found, name)}" if full else words


def _drawing_words(batch: Batch) -> str:
    return "the drawing worn in" if batch.worn else "the drawing itself"


def _fresh_range(found: Findings, name: str) -> str:
    low, high = found.batch.fresh.interval_ends(name)
    return "none" if low != low else found.batch.build.units.between(low, high, RESULTS[name].unit)


def _capability(found: Findings, name: str) -> str:
    if name not in {target.name for target in found.batch.build.target}:
        return ""
    said = capability_words(*found.batch.capability(name))
    return f"; {said}" if said else ""


def _depends(found: Findings, shown: Shown) -> list[str]:
    """Inputs by how much of a result's spread they answer for."""
    lines: list[str] = []
    names = list(found.matters) if shown.whole else list(found.matters)[:1]
    for name in names:
        if told := list(depends_rows(found, name).items())[: shown.inputs]:
            lines += [depends_title(name), *_rows(told)]
    return lines


def depends_title(name: str) -> str:
    """Heading of `depends_rows`: inputs that act together count with each, so that the shares may add up to more."""
    return f"What the spread of {label(name)} depends on (share of its variance, alone and with others)"


def depends_rows(found: Findings, name: str) -> dict[str, str]:
    """Inputs by how much of a result's spread they answer for, the most first, and that in words."""
    ordered = sorted(found.matters[name].inputs.items(), key=lambda item: -item[1].in_all)
    return {
        key: f"{two_digits(100 * index.in_all)} %{_known(found, key)}" for key, index in ordered if index.in_all > LEAST
    }


def _known(found: Findings, name: str) -> str:
    of_shop = {doubt.name for doubt in found.batch.spread if doubt.of_shop}
    return "; unknown, but the same for the whole batch: measure it" if name in of_shop else ""


def _aim(found: Findings) -> list[str]:
    return titled("Where to aim", wrap_all(aim_words(found)))


def aim_words(found: Findings) -> Iterator[str]:
    """Which setting brings more knives inside, sentence by sentence."""
    aimed, build = found.aimed, found.batch.build
    if aimed is None:
        return
    if aimed.setting and found.aimed_count is not None:
        untold = found.count is None or not found.count.none_oftener
        twelve = f": of {found.of}, {count_words(found.aimed_count, untold)}" if found.of > 1 else ""
        share = percent(aimed.after.share)
        yield f"With {setting_words(aimed.setting, build)}, {share} of all knives are inside{twelve}."
    else:
        yield "No setting that was tried, within the limits, brings more knives inside than the drawing."
    if aimed.beyond:
        yield f"Left out, for they exceed a limit: {aimed.beyond} settings with more knives inside."


ELSE = "measure what is unknown or change the drawing"


def _hold(found: Findings, full: bool) -> list[str]:
    held = found.held
    if held is None:
        return []
    halved = _halved(found) if full and (held.halvings or not held.reached) else []
    return [hold_title(found), *wrap_all(hold_words(found)), *halved]


def hold_title(found: Findings) -> str:
    """Heading of what to hold: with the setting to aim at, where there is one."""
    return "What to hold with that setting" if found.aimed_count is not None else "What to hold"


def hold_words(found: Findings) -> Iterator[str]:
    """Which tolerances to hold tighter, and what that brings, sentence by sentence."""
    held = found.held
    if held is None:
        return
    before, after = percent(held.before), percent(held.after)
    units = found.batch.build.units
    bands = "; ".join(band_words(name, ends, units) for name, ends in held.bands.items())
    if held.reached and not held.halvings:
        yield f"Nothing tighter: {before} are inside as it is."
    elif held.reached:
        yield f"Hold {bands}: {after} are inside instead of {before}."
    elif held.halvings:
        yield f"Holding {bands} brings {after} inside instead of {before}."
        yield f"No tolerance held tighter brings {percent(found.wanted)} inside: {ELSE}."
    else:
        yield f"No tolerance held tighter brings more knives inside: {ELSE}."


def _halved(found: Findings) -> list[str]:
    if found.held is None:
        return []
    pairs = ((name, f"{percent(share)} are inside") for name, share in found.held.alone.items())
    return ["One tolerance halved, all others as they are", *_rows(pairs)]


def _corners(found: Findings) -> list[str]:
    """The worst knives that the bands allow."""
    lines: list[str] = []
    units = found.batch.build.units
    for name, (lowest, highest) in found.corners.items():
        for corner in (lowest, highest):
            if corner is not None:
                where = ", ".join(f"{key} {end}" for key, end in corner.ends.items() if end != "middle")
                value = units.two_digits(corner.value, RESULTS[name].unit)
                lines += wrap(f"{label(name)} {value}: {where or 'everything in the middle'}.")
    return titled("Worst knives that the bands allow, everything at its end at once", lines)


def _varies(found: Findings) -> list[str]:
    return titled("What varies, and how (ends hold 95 % of a normal, all of another)", _rows(_spread(found)))


def _spread(found: Findings) -> Iterator[tuple[str, str]]:
    units = found.batch.build.units
    for doubt in found.batch.spread:
        words = band_words(doubt.name, (doubt.low, doubt.high), units).removeprefix(f"{doubt.name} ")
        same = ", the same for the whole batch" if doubt.of_shop else ""
        yield doubt.name, f"{doubt.shape}, {words}{same}"
