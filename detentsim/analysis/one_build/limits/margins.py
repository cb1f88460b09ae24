"""Every limit of a knife: demand, capacity, their ratio, and one sentence."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from detentsim.units.numbers import used
from detentsim.units.systems import METRIC, UnitSystem

if TYPE_CHECKING:
    from collections.abc import Iterator

    from detentsim.analysis.one_build.limits.bending import Bending
    from detentsim.analysis.one_build.limits.clip import ClipLoad
    from detentsim.analysis.one_build.limits.contact import FlatContact, PressFit
    from detentsim.analysis.one_build.limits.fatigue import Fatigue
    from detentsim.analysis.one_build.limits.service import Service
    from detentsim.analysis.results import Results
    from detentsim.mechanics.record import Record

# Greatest push of a weak and of a strong thumb [N]: 5th of 100 women, 95th of 100 men, about the means 100.6 N of 8
# women and 136.7 N of 23 men (Choi et al. 2020, Applied Sciences 10(1):194), at an assumed spread of 25 %.
THUMB = (60.0, 200.0)

LEAST_LOSS = 0.01
"""Loss of bend below which nobody can measure it [mm]; a caliper's step."""


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

    @property
    def called(self) -> str:
        """Name in a report, beside the part."""
        return {"room": "unlock room", "clip": "stress"}.get(self.name, self.name)

    @property
    def full_name(self) -> str:
        """Name in a sentence."""
        return f"the {self.part}'s {self.called}"

    @property
    def used(self) -> str:
        """How much of it is used, in per cent; of one without a share whether it holds."""
        if self.use is None:
            return "not known" if self.holds is None else "holds" if self.holds else "exceeded"
        return used(self.use)


def margins(
    record: Record,
    results: Results,
    bending: Bending,
    service: Service,
    fatigue: Fatigue | None,
    contact: FlatContact,
    hold: PressFit,
    clip: ClipLoad | None,
    units: UnitSystem = METRIC,
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
    units : UnitSystem
        Of the sentences; the numbers keep their own.
    """
    return (
        *_bending_in(bending, units),
        *_service(service, bending.bend, units),
        *_fatigue(fatigue, units),
        *_lockup(record, results, units),
        _dent(contact, units),
        *_crack(contact, units),
        _equator(hold, units),
        *_hole(hold, units),
        *_press(hold, contact, units),
        *_clip(clip, units),
    )


def _used(name: str, part: str, asked: float, borne: float, unit: str, words: str, least: bool = False) -> Limit:
    """Limit from demand and capacity; `least` where the number must not fall below the limit."""
    part_of, whole = (borne, asked) if least else (asked, borne)
    use = part_of / whole if whole > 0 else None
    return Limit(name, part, asked, borne, unit, use, part_of <= whole, words)


def _bending_in(bending: Bending, units: UnitSystem) -> Iterator[Limit]:
    if bending.way == "push" and bending.most is not None:
        wanted, most = abs(bending.bend), bending.most
        asked, limit = units.distinct_pair(wanted, most, "mm")
        words = (
            f"One push leaves at most {limit} of bend: beyond it the root folds."
            if wanted <= most
            else f"No push leaves {asked} of bend: past {limit} the root folds at one place; "
            "thin the relief, lengthen it, or bend it over a longer curve."
        )
        yield _used("fold", "bar", wanted, most, "mm", words)
    if bending.radius is not None and bending.least_radius is not None:
        radius, least = units.distinct_pair(bending.radius, bending.least_radius, "mm")
        takes = f"takes the root to an inside radius of {radius}" if bending.radius else "folds the root sharp"
        words = f"Bending it in {takes}; the sheet's standard allows {'' if bending.radius else 'a radius of '}{least}."
        yield _used("radius", "bar", bending.radius, bending.least_radius, "mm", words, least=True)


def _service(service: Service, bent: float, units: UnitSystem) -> Iterator[Limit]:
    if service.unlock is not None:
        need, spare = service.unlock, service.before_loss
        yield Limit("bend", "bar", need, spare, "mm", service.use, service.use <= 1, _unlocking(service, bent, units))
    stop = service.stop
    if stop is None:
        yield _unjudged("Nothing limits over-travel", service.push_before_loss, units)
        return
    what = "over-travel stop" if stop.kind == "stop" else "clip"
    if service.unlock is not None:
        room, unlock = units.distinct_pair(stop.room, service.unlock, "mm")
        short = ": the ball cannot leave its dimple" if stop.room < service.unlock else ""
        words = f"The bar meets its {what} {room} out from free; unlocking needs {unlock}{short}."
        yield _used("room", "bar", stop.room, service.unlock, "mm", words, least=True)
    if not stop.judged and stop.before_loss is not None:
        yield _unjudged("The clip behind the bar is only a soft stop", stop.before_loss, units)
        return
    done = "keeps" if stop.use <= 1 else "loses some of"
    words = f"Pushed with {units.pull(stop.push)} against its {what}, the bar {done} its bend."
    yield Limit("over-travel", "bar", stop.use, 1.0, "", stop.use, stop.use <= 1, words)


def _unjudged(words: str, push: float, units: UnitSystem) -> Limit:
    weak, strong = (units.pull(thumb) for thumb in THUMB)
    loses = f"{words}: pushed outward at its tip with {units.pull(push)} the bar loses bend"
    if push > THUMB[1]:
        return Limit(
            "over-travel",
            "bar",
            THUMB[1],
            push,
            "N",
            THUMB[1] / push,
            True,
            f"{loses}, more than a strong thumb's {strong}.",
        )
    text = f"{loses}; a weak thumb pushes {weak}, a strong one {strong}."
    return Limit("over-travel", "bar", None, None, "N", None, None, text)


def _unlocking(service: Service, bent: float, units: UnitSystem) -> str:
    need, spare = units.distinct_pair(service.unlock or 0.0, service.before_loss, "mm")
    if service.use <= 1:
        return f"Unlocking pushes the ball {need} out from free; up to {spare} the bar keeps its bend."
    loses = f"Unlocking pushes the ball {need} out from free; beyond {spare} the bar loses bend"
    if service.bend_after is None:
        return f"{loses}; how much is not known."
    return f"{loses}: the first unlock takes {lost_words(bent - service.bend_after, units)} of it."


def lost_words(lost: float, units: UnitSystem) -> str:
    """Lost bend in words, no finer than a bar's bend is measured.

    Parameters
    ----------
    lost : float
        [mm].
    units : UnitSystem

    Examples
    --------
    >>> lost_words(0.314, METRIC), lost_words(0.0004, METRIC)
    ('0.31 mm', 'less than 0.01 mm')
    """
    return units.two_digits(lost, "mm") if lost >= LEAST_LOSS else f"less than {units.two_digits(LEAST_LOSS, 'mm')}"


def _fatigue(fatigue: Fatigue | None, units: UnitSystem) -> Iterator[Limit]:
    if fatigue is not None:
        use = fatigue.use
        life = f"{fatigue.openings:,.0f} openings"
        lasts = f"lasts {life}" if use <= 1 else f"cracks within {life}"
        lasts = "lasts any number of openings" if fatigue.use_for_ever <= 1 else lasts
        span = units.between(fatigue.low, fatigue.high, "MPa")
        drawn = fatigue.mean_limit / fatigue.ultimate
        line = "Goodman's line" if drawn == 1 else f"a line to {drawn:g} of the ultimate strength"
        words = f"Each opening takes the bar from {span}: by {line} smooth metal {lasts}."
        yield Limit("fatigue", "bar", use, 1.0, "", use, use <= 1, words)


def _lockup(record: Record, results: Results, units: UnitSystem) -> Iterator[Limit]:
    force = results["lockup_force"]
    if force is None:
        return
    travel, room = float(record.lockup_travel) * 1e3, max(float(record.bend - record.face_gap) * 1e3, 0.0)
    onto, reach = units.distinct_pair(travel, room, "mm")
    words = (
        f"With its lock face {onto} onto the tang the bar's tip still presses with {units.pull(force)}."
        if force > 0
        else f"With its lock face {onto} onto the tang the bar presses no more: this bend reaches {reach}."
    )
    yield _used("lock-up", "bar", travel, room, "mm", words)


def _dent(contact: FlatContact, units: UnitSystem) -> Limit:
    dent = f", a dent about {units.two_digits(contact.dent, 'um')} deep" if contact.dent else ""
    pressure, limit = units.distinct_pair(contact.pressure, contact.limit, "MPa")
    words = f"Riding the flat, the ball presses with {pressure}{dent}; the tang withstands {limit}."
    return _used("dent", "tang", contact.pressure, contact.limit, "MPa", words)


def _crack(contact: FlatContact, units: UnitSystem) -> Iterator[Limit]:
    if contact.ball_cracks is not None:
        force, cracks = units.distinct_pair(contact.force, contact.ball_cracks, "N")
        words = f"The ball rides with {force}; a ring crack starts in it at about {cracks}."
        yield _used("crack", "ball", contact.force, contact.ball_cracks, "N", words)


def _equator(hold: PressFit, units: UnitSystem) -> Limit:
    inside = hold.past_equator
    holds = inside > 0
    apart = units.two_digits(abs(inside), "mm")
    words = (
        f"The ball's centre lies {apart} inside the bar's face."
        if holds
        else f"Less than half the ball is in the bar ({apart} short), so nothing keeps it: press it deeper."
    )
    return Limit("seat", "ball", inside, 0.0, "mm", None, holds, words)


def _hole(hold: PressFit, units: UnitSystem) -> Iterator[Limit]:
    if hold.hole is None or hold.interference is None:
        return
    differ = units.two_digits(abs(hold.interference), "mm")
    if hold.bursts:
        words = f"A hole {differ} under the ball's size bursts: drill it larger."
        yield Limit("hole", "ball", None, None, "N", None, False, words)
    elif hold.force is None:
        words = f"The hole is {differ} larger than the ball, which falls out: take a smaller drill."
        yield Limit("hole", "ball", hold.load, 0.0, "N", None, False, words)
    else:
        load, force = units.distinct_pair(hold.load, hold.force, "N")
        words = f"The hole holds the ball with up to {force}; the tang pushes on it with {load}."
        yield _used("hole", "ball", hold.load, hold.force, "N", words)


def _press(hold: PressFit, contact: FlatContact, units: UnitSystem) -> Iterator[Limit]:
    """Force that presses the ball in against the one that cracks it."""
    if hold.force is None or contact.ball_cracks is None:
        return
    force, cracks = units.distinct_pair(hold.force, contact.ball_cracks, "N")
    mend = ": take a larger drill for its hole" if hold.force > contact.ball_cracks else ""
    words = f"Pressing the ball in takes up to {force}; under a hard flat punch it cracks at about {cracks}{mend}."
    yield _used("press", "ball", hold.force, contact.ball_cracks, "N", words)


def _clip(clip: ClipLoad | None, units: UnitSystem) -> Iterator[Limit]:
    if clip is not None:
        stress, strength = units.distinct_pair(clip.stress, clip.strength, "MPa")
        words = (
            f"Lifted {units.two_digits(clip.lifted, 'mm')} the clip is stressed to {stress}; it yields at {strength}."
        )
        yield _used("clip", "clip", clip.stress, clip.strength, "MPa", words)
