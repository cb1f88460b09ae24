"""Limits as text for the bench and as a JSON document."""

from __future__ import annotations

from dataclasses import asdict
from typing import TYPE_CHECKING, Any

from detentsim.analysis.limits.behind_bar import SOFT
from detentsim.knife.outcomes import FLAGS
from detentsim.show.feel_curve.report import CAUTION
from detentsim.show.theme.rows import build_rows, result_row, verdict_lines, verdict_rows
from detentsim.show.theme.tables import table, wrap
from detentsim.units.numbers import pull, two

if TYPE_CHECKING:
    from collections.abc import Iterator

    from detentsim.analysis.limits.limits import Limits
    from detentsim.analysis.limits.margins import Limit
    from detentsim.analysis.limits.service import BarPosition


def limits_report(found: Limits, where_from: str = "", pushed: Any = None) -> str:
    """Text of the limits.

    Parameters
    ----------
    found : Limits
    where_from : str
        A first line saying where the build comes from; left out when empty.
    pushed : quantity, optional
        Bend that a push leaves, which somebody asked for.

    Returns
    -------
    str
        Lines up to 96 characters.
    """
    left = "" if pushed is None else f"The push asked for leaves {pushed.magnitude:.2f} mm of bend in the flat bar."
    parts = [
        [*([where_from] if where_from else []), found.build.name, *wrap(verdict(found), "")],
        _limits(found),
        _flags(found),
        [
            "Bending it in",
            *(line for words in bending_words(found) for line in wrap(words)),
            *wrap(left),
            *_pushes(found),
        ],
        ["In service", *(line for words in service_words(found) for line in wrap(words)), *_places(found)],
        ["Ball and tang", *(line for words in contact_words(found) for line in wrap(words))],
        _clip(found),
        verdict_lines(found.verdicts),
        ["What this leaves out", *wrap(LEFT_OUT), *wrap(CAUTION)],
    ]
    return "\n\n".join("\n".join(part) for part in parts if part) + "\n"


LEFT_OUT = (
    "The metal is taken as ideal: no hardening, so a large bend takes a little more push. Endurance is that of smooth "
    "metal: a sharp corner or a scratch where the relief ends multiplies the stress, so round and polish it. Published "
    "strengths are minima; wear of the ball's track is not computed."
)


def verdict(found: Limits) -> str:
    """One sentence: whether every limit holds, and which comes first."""
    if found.passed:
        names = " and ".join(f"{limit.part} ({limit.name})" for limit in found.passed)
        return f"Past its limit: {names}."
    first = found.first
    nearest = f" The nearest is the {first.part}'s {first.name}, {_share(first)} used." if first else ""
    open_end = " Nothing stops the bar when it is pushed out too far, though." if found.service.stop is None else ""
    return f"Every limit holds.{nearest}{open_end}"


def _share(limit: Limit) -> str:
    if limit.use is None:
        return ""
    return f"{100 * limit.use:.0f} %" if limit.use < 10 else "over 10 times"


def _limits(found: Limits) -> list[str]:
    lines = ["Limits, and how much of each is used"]
    for limit in found.limits:
        mark = "PAST IT" if limit.holds is False else _share(limit)
        lines += wrap(limit.words, f"  {limit.part:<5}{limit.name:<12}{mark:>8}  ", " " * 29)
    return lines


def _flags(found: Limits) -> list[str]:
    return [line for flag in found.flags for line in wrap(f"{FLAGS[flag]} [{flag}]", "")]


def bending_words(found: Limits) -> Iterator[str]:
    """How to bring the bend in, sentence by sentence."""
    b = found.bending
    if b.way == "flat":
        yield "The bar is flat: nothing is bent."
    elif b.way == "edge":
        yield "The bar is bent over an edge: the push depends on the edge; push, let go, measure, and go on."
    elif b.push is None or b.springback is None:
        yield f"No push leaves {two(b.bend)} mm of bend in this bar."
    elif b.way == "along":
        yield (
            f"Formed to an even curve, its tip is held {b.push:.1f} mm from flat; {b.springback:.1f} mm spring back "
            f"and {two(b.bend)} mm stay."
        )
    else:
        yield from _push_words(found)
    if b.strain is not None and b.radius is not None:
        sheet = "" if b.least_radius is None else f", where its sheet must bear {two(b.least_radius)} mm"
        yield f"At the root the skin stretches {100 * b.strain:.1f} %, its inside radius {two(b.radius)} mm{sheet}."


def _push_words(found: Limits) -> Iterator[str]:
    b = found.bending
    place = (
        "its tip" if abs(b.push_at - found.build.si("bar.tip_from_root") * 1e3) < 1e-9 else f"{two(b.push_at)} mm out"
    )
    side = "inward" if b.bend > 0 else "outward"
    yield (
        f"Push the bar {side} at {place} with {pull(abs(b.force or 0.0))}, until the tip stands "
        f"{abs(b.push or 0.0):.1f} mm from flat; {abs(b.springback or 0.0):.1f} mm spring back and "
        f"{two(abs(b.bend))} mm stay."
    )
    if b.wide is not None:
        yield (
            f"A relief so wide that it cannot curl takes {b.wide[0]:.1f} mm and {pull(b.wide[1])} for the same bend; "
            "a real one lies between: start low, let go, measure, push farther."
        )


def _pushes(found: Limits) -> list[str]:
    """Where to hold the tip for a bend, in and out, as a table."""
    b = found.bending
    rows = [*b.more, *((bend, -out) for bend, out in b.less)]
    if not rows:
        return []
    header = ("what stays, mm inward", "hold the tip past flat, mm")
    cells = tuple((round(bend, 3), f"{abs(held):.2f} {'in' if held > 0 else 'out'}ward") for bend, held in rows)
    return ["", *(f"  {line}" for line in table(header, cells).splitlines())]


def service_words(found: Limits) -> Iterator[str]:
    """What service takes back, and what to do at the bench about it."""
    s = found.service
    if s.unlock is None:
        yield "The ball never reaches the tang, so service asks nothing of the bar."
        return
    if s.use <= 1:
        yield (
            f"No bend is lost: unlocking uses {100 * s.use:.0f} % of what the bar bears. Should its metal yield back "
            f"sooner than it yielded first (reverse_yield {SOFT}), bend is lost beyond {two(s.before_loss_soft)} mm."
        )
    else:
        yield from _loss_words(found)
    if s.stop is None:
        yield f"Nothing limits over-travel: {pull(s.push_before_loss)} on the tip outward begin to take bend out."


def _loss_words(found: Limits) -> Iterator[str]:
    s = found.service
    if s.bend_after is None:
        yield "The first full unlock takes bend out; how much cannot be told: measure it."
    else:
        lost = found.bending.bend - s.bend_after
        takes = f"{lost:.2f} of {found.bending.bend:.2f} mm" if lost >= 0.005 else "less than 0.01 mm"
        yield (
            f"The first full unlock takes {takes} of bend; after it the bar has settled, and pushes to the same place "
            "take nothing more."
        )
    if s.over_bend is not None:
        yield (
            f"So bend it to {s.over_bend:.2f} mm, push it out once to full travel, and measure: it settles at "
            f"{found.bending.bend:.2f} mm. Let that outward push be the last: bending in after it opens the loss "
            "again."
        )


def _places(found: Limits) -> list[str]:
    header = ("where the ball stands", "inward of flat, mm", "moment at the root, N*mm", "stress, MPa")
    rows = tuple(_place(place) for place in found.service.places)
    most = max(place.stress or 0.0 for place in found.service.places)
    told = _GIVES if most > (found.results["yield_strength"] or 0.0) * (1 + 1e-9) else []
    return ["", *(f"  {line}" for line in table(header, rows).splitlines()), *told]


_GIVES = ["  Above its yield strength the metal gives instead of bearing what stands here."]


def _place(place: BarPosition) -> tuple[object, ...]:
    numbers = (None if value is None else float(f"{value:.3g}") for value in (place.moment, place.stress))
    return (place.name, round(place.offset, 3) + 0.0, *numbers)


def contact_words(found: Limits) -> Iterator[str]:
    """The ball on the flat and in its hole."""
    c, h = found.contact, found.hold
    if c.force <= 0:
        yield "The ball does not touch the flat."
        return
    yield (
        f"Riding with {pull(c.force)}, the ball touches over {two(2 * c.radius)} um and sinks {two(c.approach)} um; "
        f"the tang is sheared most {two(c.depth)} um under its face, {two(c.shear)} MPa."
    )
    yield (
        f"The tang first yields, inside, at {pull(c.yield_force)}; a dent that counts comes at "
        f"{pull(c.force_at_limit)}."
    )
    if h.interference is not None and h.force is not None:
        yielded = f", and the metal yields out to {two(h.plastic)} mm" if h.plastic else ""
        yield (
            f"The ball is {two(1e3 * h.interference)} um larger than its hole: it is gripped with up to "
            f"{two(h.pressure or 0.0)} MPa{yielded}. Pressing it in takes up to {pull(h.force)}."
        )
    if h.force is not None and c.ball_cracks is not None:
        tells = "less than" if h.force < c.ball_cracks else "more than"
        pad = "" if h.force < c.ball_cracks else ": use a soft pad of brass or aluminium"
        yield f"That is {tells} the {pull(c.ball_cracks)} that crack the ball under a hard flat punch{pad}."


def _clip(found: Limits) -> list[str]:
    c = found.clip
    if c is None:
        return []
    words = f"Its tip rests with {pull(c.rest)} and holds a hem with {pull(c.grip)} ({two(c.stiffness)} N/mm)."
    return ["Pocket clip", *wrap(words)]


def limits_document(found: Limits, pushed: Any = None) -> dict[str, Any]:
    """Everything the limits know, ready for JSON: no NaN, no infinity, a reason beside what is missing.

    Parameters
    ----------
    found : Limits
    pushed : quantity, optional
        Bend that a push leaves, which somebody asked for; under ``bend_from_push`` then.

    Returns
    -------
    dict
        Keys ``build demo results flags assumed limits within first bending service fatigue contact hold clip target``.
        Beyond results, lengths are in mm (um for the contact), forces in N, stresses in MPa, as in the names.
    """
    return {
        "build": build_rows(found.build),
        "demo": found.build.demo,
        "results": {name: result_row(name, found.results[name], found.why) for name in found.results},
        "flags": list(found.flags),
        "assumed": list(found.build.assumed),
        "within": found.within,
        "first": None if found.first is None else found.first.name,
        "limits": [asdict(limit) for limit in found.limits],
        "bending": asdict(found.bending),
        "service": asdict(found.service),
        "fatigue": None if found.fatigue is None else asdict(found.fatigue),
        "contact": asdict(found.contact),
        "hold": asdict(found.hold),
        "clip": None if found.clip is None else asdict(found.clip),
        "target": verdict_rows(found.verdicts),
        "words": [*bending_words(found), *service_words(found), *contact_words(found)],
    } | ({} if pushed is None else {"bend_from_push": {"value": float(pushed.magnitude), "unit": "mm"}})
