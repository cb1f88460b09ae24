"""Every limit of a knife: demand, capacity, their ratio, and one sentence."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from detentsim.units.numbers import two

if TYPE_CHECKING:
    from collections.abc import Iterator

    from detentsim.analysis.limits.bending import Bending
    from detentsim.analysis.limits.clip import ClipLoad
    from detentsim.analysis.limits.contact import FlatContact, Hold
    from detentsim.analysis.limits.fatigue import Fatigue
    from detentsim.analysis.limits.service import Service
    from detentsim.analysis.results import Results
    from detentsim.mechanics.record import Record

# Greatest push of an adult's thumb [N], mean of women and of men: Choi et al. 2020, Applied Sciences 10(1):194.
THUMB = (100.6, 136.7)


@dataclass(frozen=True)
class Limit:
    """One limit.

    Attributes
    ----------
    name, part : str
        Short name, and the part it belongs to.
    asked, borne : float or None
        Demand on the part and its capacity, in `unit`.
    unit : str
    use : float or None
        Demand over capacity; above 1 it does not hold. None where the capacity is 0 or unknown.
    holds : bool or None
        None where nobody can tell.
    words : str
        One sentence.
    """

    name: str
    part: str
    asked: float | None
    borne: float | None
    unit: str
    use: float | None
    holds: bool | None
    words: str


def margins(
    record: Record,
    results: Results,
    bending: Bending,
    service: Service,
    fatigue: Fatigue | None,
    contact: FlatContact,
    hold: Hold,
    clip: ClipLoad | None,
) -> tuple[Limit, ...]:
    """All limits of a build, in the order in which a maker meets them.

    Parameters
    ----------
    record : Record
        One design.
    results : dict
        Limit results in their units.
    bending, service, fatigue, contact, hold, clip
        Loads and capacities of each part; None where there is none.
    """
    return (
        *_bending_in(bending),
        *_service(service),
        *_fatigue(fatigue),
        *_lockup(record, results),
        _dent(contact),
        *_crack(contact),
        _equator(hold),
        *_hole(hold),
        *_clip(clip),
    )


def _used(name: str, part: str, asked: float, borne: float, unit: str, words: str, least: bool = False) -> Limit:
    """Limit from demand and capacity; `least` where the number must not fall below the limit."""
    part_of, whole = (borne, asked) if least else (asked, borne)
    use = part_of / whole if whole > 0 else None
    return Limit(name, part, asked, borne, unit, use, part_of <= whole, words)


def _bending_in(bending: Bending) -> Iterator[Limit]:
    if bending.way == "push" and bending.most is not None:
        wanted, most = abs(bending.bend), bending.most
        words = (
            f"One push leaves at most {two(most)} mm of bend: beyond it the root folds."
            if wanted <= most
            else f"No push leaves {two(wanted)} mm: past {two(most)} mm the root folds at one place; "
            "thin the relief, lengthen it, or bend it over a longer curve."
        )
        yield _used("fold", "bar", wanted, most, "mm", words)
    if bending.radius is not None and bending.least_radius is not None:
        radius, least = bending.radius, bending.least_radius
        words = (
            f"Bending it in takes the root to an inside radius of {two(radius)} mm; its sheet bears {two(least)} mm."
        )
        yield _used("radius", "bar", radius, least, "mm", words, least=True)


def _service(service: Service) -> Iterator[Limit]:
    if service.unlock is not None:
        need, spare = service.unlock, service.before_loss
        yield Limit("bend", "bar", need, spare, "mm", service.use, service.use <= 1, _unlocking(service))
    stop = service.stop
    if stop is None:
        yield _unjudged(f"Nothing stops the bar: {two(service.push_before_loss)} N outward at its tip begin")
        return
    what = "stop" if stop.kind == "stop" else "clip"
    if service.unlock is not None:
        words = f"The bar meets its {what} {two(stop.room)} mm out from free; unlocking needs {two(service.unlock)} mm."
        yield _used("room", "bar", stop.room, service.unlock, "mm", words, least=True)
    if not stop.judged and stop.before_loss is not None:
        yield _unjudged(f"The clip alone is a soft stop: {two(stop.before_loss)} N outward at the bar's tip begin")
        return
    done = "keeps" if stop.use <= 1 else "loses some of"
    words = f"Pushed with {stop.push:.0f} N against its {what}, the bar {done} its bend."
    yield Limit("over-travel", "bar", stop.use, 1.0, "", stop.use, stop.use <= 1, words)


def _unjudged(words: str) -> Limit:
    thumb = f"a thumb can push {THUMB[0]:.0f} to {THUMB[1]:.0f} N"
    return Limit("over-travel", "bar", None, None, "N", None, None, f"{words} to take bend out, and {thumb}.")


def _unlocking(service: Service) -> str:
    need, spare = two(service.unlock or 0.0), two(service.before_loss)
    if service.use <= 1:
        return f"Unlocking pushes the ball {need} mm out from free; up to {spare} mm takes no bend back."
    if service.bend_after is None:
        return f"Unlocking pushes the ball {need} mm out; beyond {spare} mm it loses bend, how much is not known."
    stay = f"{service.bend_after:.2f} mm stay"
    return f"Unlocking pushes the ball {need} mm out; beyond {spare} mm it loses bend, once: {stay}."


def _fatigue(fatigue: Fatigue | None) -> Iterator[Limit]:
    if fatigue is not None:
        low, high, use = fatigue.low, fatigue.high, fatigue.use
        life = f"{fatigue.openings:,.0f} openings"
        lasts = f"lasts {life}" if use <= 1 else f"cracks within {life}"
        lasts += ", and for ever" if fatigue.use_for_ever <= 1 else ""
        words = (
            f"Each opening takes the bar from {two(low)} to {two(high)} MPa: by Goodman's line smooth metal {lasts}."
        )
        yield Limit("fatigue", "bar", use, 1.0, "", use, use <= 1, words)


def _lockup(record: Record, results: Results) -> Iterator[Limit]:
    force = results["lockup_force"]
    if force is None:
        return
    travel, room = float(record.lockup_travel) * 1e3, float(record.bend - record.face_gap) * 1e3
    words = (
        f"With its face {two(travel)} mm onto the tang the tip still presses with {two(force)} N."
        if force > 0
        else f"At {two(travel)} mm onto the tang the tip presses nothing: this bend reaches {two(max(room, 0.0))} mm."
    )
    yield _used("lock-up", "bar", travel, max(room, 0.0), "mm", words)


def _dent(contact: FlatContact) -> Limit:
    dent = f", a dent about {two(contact.dent)} um deep" if contact.dent else ""
    words = (
        f"Riding the flat the ball presses {two(contact.pressure)} MPa{dent}; the tang bears {two(contact.limit)} MPa."
    )
    return _used("dent", "tang", contact.pressure, contact.limit, "MPa", words)


def _crack(contact: FlatContact) -> Iterator[Limit]:
    if contact.ball_cracks is not None:
        force, cracks = contact.force, contact.ball_cracks
        words = f"The ball rides with {two(force)} N; a ring crack starts in it at about {two(cracks)} N."
        yield _used("crack", "ball", force, cracks, "N", words)


def _equator(hold: Hold) -> Limit:
    inside = hold.past_equator
    holds = inside > 0
    words = (
        f"The ball's middle lies {two(inside)} mm inside the bar's face."
        if holds
        else f"Less than half the ball is in the bar ({two(-inside)} mm short), so nothing keeps it: press it deeper."
    )
    return Limit("seat", "ball", inside, 0.0, "mm", None, holds, words)


def _hole(hold: Hold) -> Iterator[Limit]:
    if hold.hole is None or hold.interference is None:
        return
    if hold.bursts:
        words = f"A hole {two(hold.interference)} mm under the ball's size bursts: drill it larger."
        yield Limit("hole", "ball", None, None, "N", None, False, words)
    elif hold.force is None:
        words = f"The hole is {two(-hold.interference)} mm larger than the ball, which falls out: take a smaller drill."
        yield Limit("hole", "ball", hold.load, 0.0, "N", None, False, words)
    else:
        words = (
            f"The hole holds the ball with up to {two(hold.force)} N; the tang pushes on it with {two(hold.load)} N."
        )
        yield _used("hole", "ball", hold.load, hold.force, "N", words)


def _clip(clip: ClipLoad | None) -> Iterator[Limit]:
    if clip is not None:
        words = (
            f"Lifted {two(clip.lifted)} mm the clip bears {two(clip.stress)} MPa; it sets at {two(clip.strength)} MPa."
        )
        yield _used("clip", "clip", clip.stress, clip.strength, "MPa", words)
