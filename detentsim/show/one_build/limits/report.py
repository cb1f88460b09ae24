"""Limits as text for the bench and as a JSON document."""

from __future__ import annotations

from dataclasses import asdict
from typing import TYPE_CHECKING, Any

from detentsim.knife.outcomes import FLAGS, UNSOUND
from detentsim.show.one_build.limits.words import (
    bending_words,
    clip_words,
    contact_words,
    length_words,
    more_bending_words,
    more_service_words,
    service_words,
)
from detentsim.show.theme.cautions import BENDING
from detentsim.show.theme.rows import (
    build_rows,
    result_row,
    summary_lines,
    summary_row,
    title_lines,
    verdict_lines,
    verdict_rows,
)
from detentsim.show.theme.tables import first_that_fits, report_of, table_lines, titled, wrap, wrap_all

if TYPE_CHECKING:
    from collections.abc import Iterable

    from detentsim.analysis.one_build.limits.limits import Limits
    from detentsim.analysis.one_build.limits.margins import Limit
    from detentsim.analysis.one_build.limits.service import BarPosition
    from detentsim.analysis.one_build.summary import Summary
    from detentsim.units.systems import UnitSystem

# Limits that hold and have a sentence of their own in the short report, and the least use that earns one.
NEAREST, SMALL = 3, 0.5


def limits_report(found: Limits, checked: Summary, where_from: str = "", pushed: Any = None, full: bool = False) -> str:
    """Text of the limits: the verdict, the worst limit first, how to bend the bar in, what service takes back.

    Parameters
    ----------
    found : Limits
    checked : Summary
        Verdict on the same build.
    where_from : str
        A first line saying where the build comes from; left out when empty.
    pushed : quantity, optional
        Bend that a push leaves, which somebody asked for.
    full : bool
        Whether to add every limit in words, the bar's positions, the contact, the clip, and what is left out.

    Returns
    -------
    str
        Lines up to 96 characters, in the units of the build.
    """
    head = [*title_lines(found.build.name, where_from), *summary_lines(checked)]
    if full:
        return report_of([head, *_parts(found, pushed, True), *_rest(found), wrap(BENDING, "")])
    return first_that_fits(
        report_of([head, *_parts(found, pushed, False, *shown), wrap(BENDING, "")]) for shown in SHOWN
    )


SHOWN = ((NEAREST, True), (2, True), (1, True), (0, True), (0, False), (0, False, True))
"""Limits told in words, whether the next bends are told too, and whether the exceeded ones, which the verdict tells,
share a line; less where a long verdict takes the page's room."""


def _parts(
    found: Limits, pushed: Any, full: bool, nearest: int = NEAREST, correction: bool = True, gathered: bool = False
) -> tuple[list[str], ...]:
    """Limits, bending and service; the short form words only some limits, with or without the next bends."""
    return (
        _limits(found, full, nearest, gathered),
        ["Bending it in", *_bending(found, pushed, full, correction)],
        ["In service", *wrap_all(service_words(found))],
    )


def _rest(found: Limits) -> list[list[str]]:
    """What only the whole report tells."""
    minor = [flag for flag in found.flags if flag not in UNSOUND]
    return [
        ["More on service", *wrap_all(more_service_words(found)), *_places(found)],
        ["Ball and tang", *wrap_all(contact_words(found))],
        titled("Pocket clip", wrap_all(clip_words(found))),
        verdict_lines(found.verdicts),
        titled("Also", wrap_all(f"{FLAGS[flag]} [{flag}]" for flag in minor)),
        ["What this leaves out", *wrap(LEFT_OUT)],
    ]


LEFT_OUT = (
    "The metal is taken as ideal: no hardening, so a large bend takes a little more push. Endurance is that of smooth "
    "metal: a sharp corner or a scratch where the relief ends multiplies the stress, so round and polish it. "
    "Wear of the ball's track is not computed."
)


def worst_first(limits: Iterable[Limit]) -> list[Limit]:
    """Limits by urgency: exceeded, then not known, then by what is used of them."""
    rank = {False: 0, None: 1, True: 2}
    return sorted(limits, key=lambda limit: (rank[limit.holds], -(limit.use or 0.0)))


def _limits(found: Limits, full: bool, nearest: int, gathered: bool) -> list[str]:
    """A row for each limit; in short those alone that somebody must watch."""
    ordered = worst_first(found.limits)
    if gathered:
        return ["Limits", *_gathered(ordered)]
    lines = ["Limits, the worst first, and how much of each is used"]
    minor = [] if full else _minor(ordered, nearest)
    for limit in ordered:
        if limit not in minor:
            mark = "EXCEEDED" if limit.holds is False else limit.used
            words = "as above" if limit.holds is False and not full else limit.words
            lines += wrap(words, f"  {limit.part:<5}{limit.called:<12}{mark:>9}  ", " " * 30)
    rest = ", ".join(f"{one.part} {one.called} {one.used}" for one in minor)
    return [*lines, *(wrap(f"The others hold: {rest}.") if minor else [])]


def _gathered(ordered: list[Limit]) -> list[str]:
    """Names of the limits: exceeded, which the verdict tells, and not known."""
    lines: list[str] = []
    for holds, title in ((False, "Exceeded, as above"), (None, "Not known, see --full")):
        names = [f"{one.part} {one.called}" for one in ordered if one.holds is holds]
        lines += wrap(f"{title}: {', '.join(names)}.") if names else []
    return [*lines, "  The others hold; how much of each is used: --full."]


def _minor(ordered: list[Limit], nearest: int) -> list[Limit]:
    """Limits that hold, for which the short report gives only the share used."""
    holding = [one for one in ordered if one.holds]
    watched = len(ordered) - len(holding)
    return [one for i, one in enumerate(holding) if (one.use or 0.0) < SMALL or i + watched >= nearest]


def _bending(found: Limits, pushed: Any, full: bool, correction: bool) -> list[str]:
    asked = "" if pushed is None else _asked(found, pushed.magnitude)
    if not full:
        return [*wrap_all(bending_words(found)), *wrap(asked), *(_correction(found) if correction else [])]
    return [*wrap_all(bending_words(found)), *wrap_all(more_bending_words(found)), *wrap(asked), *_pushes(found)]


def _asked(found: Limits, left: float) -> str:
    """What the push asked for leaves of bend [mm], or that the root folds under it."""
    units = found.build.units
    if _folds(found, left):
        most = length_words(found.bending.most or 0.0, units)
        return f"The push asked for folds the flat bar's root: one push leaves at most {most} of bend."
    return f"The push asked for leaves {length_words(left, units)} of bend in the flat bar."


def _correction(found: Limits) -> list[str]:
    """Where to hold the tip for the next bend above, and to take the bend back to the next below, in one sentence."""
    b, units = found.bending, found.build.units
    if len(b.more) < 2 or not b.less:
        return []
    (more, inward), (less, outward) = b.more[1], b.less[0]
    back = f"to bend back to {length_words(less, units)}, hold it {_side(-outward, units)}"
    return wrap(f"For {length_words(more, units)} of bend hold it {_side(inward, units)}; {back}.")


def _pushes(found: Limits) -> list[str]:
    """Where to hold the tip for a bend, in and out, as a table."""
    b, units = found.bending, found.build.units
    rows = [*b.more, *((bend, -out) for bend, out in b.less)]
    if len(rows) < 2:
        return []
    header = ("for a bend of", "hold the tip, then let go, at")
    cells = tuple((length_words(bend, units), _side(offset, units)) for bend, offset in rows)
    return table_lines(header, cells)


def _side(offset: float, units: UnitSystem) -> str:
    return f"{length_words(abs(offset), units)} {'in' if offset > 0 else 'out'}ward of flat"


def _places(found: Limits) -> list[str]:
    units = found.build.units
    moment, stress = units.unit("N*mm"), units.unit("MPa")
    header = ("where the ball stands", "inward of flat", f"root moment, {moment}", f"stress, {stress}")
    rows = tuple(_place(place, units) for place in found.service.places)
    most = max(place.stress or 0.0 for place in found.service.places)
    told = _GIVES if most > (found.results["yield_strength"] or 0.0) * (1 + 1e-9) else []
    return [*table_lines(header, rows), *told]


_GIVES = ["  Above its yield strength the metal gives instead of bearing the stress in this table."]


def _place(place: BarPosition, units: UnitSystem) -> tuple[object, ...]:
    pairs = ((place.moment, "N*mm"), (place.stress, "MPa"))
    numbers = (None if value is None else float(f"{value * units.scale(unit):.3g}") for value, unit in pairs)
    return (place.name, units.size(place.offset), *numbers)


_WORDS = (bending_words, more_bending_words, service_words, more_service_words, contact_words)


def limits_document(found: Limits, checked: Summary, pushed: Any = None) -> dict[str, Any]:
    """Everything the limits know, ready for JSON: no NaN, no infinity, a reason beside what is missing.

    Parameters
    ----------
    found : Limits
    checked : Summary
        Verdict on the same build.
    pushed : quantity, optional
        Bend that a push leaves, which somebody asked for; under ``bend_from_push`` then.

    Returns
    -------
    dict
        Keys ``build demo verdict results flags assumed limits within first bending service fatigue contact hold clip
        target words``.
        Beyond results, lengths are in mm (um for the contact), forces in N, stresses in MPa, as in the names.
    """
    return {
        "build": build_rows(found.build),
        "demo": found.build.demo,
        "verdict": summary_row(checked),
        "results": {name: result_row(name, found.results[name], found.why) for name in found.results},
        "flags": list(found.flags),
        "assumed": list(found.build.assumed),
        "within": found.within,
        "first": None if found.first is None else found.first.name,
        "limits": [asdict(limit) for limit in found.limits],
        "bending": found.bending.to_dict(),
        "service": asdict(found.service),
        "fatigue": None if found.fatigue is None else asdict(found.fatigue),
        "contact": asdict(found.contact),
        "hold": asdict(found.hold),
        "clip": None if found.clip is None else asdict(found.clip),
        "target": verdict_rows(found.verdicts),
        "words": [*(line for words in _WORDS for line in words(found))],
    } | ({} if pushed is None else {"bend_from_push": _pushed_row(found, float(pushed.magnitude))})


def _pushed_row(found: Limits, left: float) -> dict[str, Any]:
    """The bend left by the push asked for [mm]; none, with the reason, where the root folds."""
    if _folds(found, left):
        return {"value": None, "unit": "mm", "why": "the root folds"}
    return {"value": left, "unit": "mm"}


def _folds(found: Limits, left: float) -> bool:
    return found.bending.most is not None and left > found.bending.most
