"""Sentences of the limits: how to bend the bar in, what service takes back, the ball on the flat and in its hole."""

from __future__ import annotations

from typing import TYPE_CHECKING

from detentsim.analysis.one_build.limits.behind_bar import SOFT
from detentsim.analysis.one_build.limits.margins import LEAST_LOSS, lost_words
from detentsim.units.numbers import used

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from detentsim.analysis.one_build.limits.limits import Limits
    from detentsim.units.systems import UnitSystem


def length_words(millimetres: float, units: UnitSystem) -> str:
    """Length as a rule or a caliper reads it on a bent bar: to 0.01 mm, 1 thou or 0.001 in.

    >>> from detentsim.units.systems import INCH, METRIC
    >>> length_words(9.434, METRIC), length_words(9.434, INCH), length_words(1.6, INCH)
    ('9.43 mm', '371 thou', '63 thou')
    """
    number, unit = units.pair(millimetres, "mm")
    return f"{number + 0.0:.{_PLACES[unit]}f} {unit}"


_PLACES = {"mm": 2, "thou": 0, "in": 3}


def lengths_words(millimetres: Sequence[float], units: UnitSystem) -> list[str]:
    """Lengths of one sentence as `length_words` gives them, all in the unit of the longest.

    >>> from detentsim.units.systems import INCH, METRIC
    >>> lengths_words((9.434, 1.6), METRIC), lengths_words((9.434, 1.6), INCH)
    (['9.43 mm', '1.60 mm'], ['371 thou', '63 thou'])
    """
    scale, unit = units.heading("mm", max(millimetres, key=abs))
    return [f"{length * scale + 0.0:.{_PLACES[unit]}f} {unit}" for length in millimetres]


def bending_words(found: Limits) -> Iterator[str]:
    """How to bring the bend in, sentence by sentence."""
    b, units = found.bending, found.build.units
    if b.way == "flat":
        yield "The bar is flat: nothing is bent."
    elif b.way == "edge":
        yield "The bar is bent over an edge: the push depends on the edge; push, let go, measure, and go on."
    elif b.push is None or b.springback is None:
        yield f"No push leaves {length_words(b.bend, units)} of bend in this bar."
    elif b.way == "along":
        push, back, stays = lengths_words((b.push, b.springback, b.bend), units)
        yield (
            f"Form the bar to an even curve until its tip is held {push} from flat; let go, {back} spring back and "
            f"{stays} of bend stays."
        )
    else:
        yield _push_words(found)


def _push_words(found: Limits) -> str:
    b, units = found.bending, found.build.units
    at_tip = abs(b.push_at - found.build.si("bar.tip_from_root") * 1e3) < 1e-9
    place = "its tip" if at_tip else f"{length_words(b.push_at, units)} from its root"
    side = "inward" if b.bend > 0 else "outward"
    push, back, stays = lengths_words([abs(one or 0.0) for one in (b.push, b.springback, b.bend)], units)
    return (
        f"Push the bar {side} at {place}, with about {units.pull(abs(b.force or 0.0))}, until its tip stands {push} "
        f"from flat; let go, {back} spring back and {stays} of bend stays."
    )


def more_bending_words(found: Limits) -> Iterator[str]:
    """What else is known of the push: a wide relief, and the stretch at the root."""
    b, units = found.bending, found.build.units
    if b.wide is not None:
        yield (
            f"A very wide relief cannot curl and takes {length_words(b.wide[0], units)} and {units.pull(b.wide[1])} "
            "for the same bend; a real one lies between: start low, let go, measure, push farther."
        )
    if b.strain is not None and b.radius is not None:
        sheet = (
            "" if b.least_radius is None else f" (the sheet's standard allows {units.two_digits(b.least_radius, 'mm')})"
        )
        inside = f"the inside radius is {units.two_digits(b.radius, 'mm')}" if b.radius else "no inside radius is left"
        yield f"At the root the skin stretches {100 * b.strain:.1f} %; {inside}{sheet}."


def service_words(found: Limits) -> Iterator[str]:
    """What service takes back, and what to do at the bench about it."""
    s = found.service
    if s.unlock is None:
        yield "The ball never reaches the tang, so unlocking loads the bar with nothing."
    elif s.use <= 1:
        yield f"Unlocking takes no bend out: it uses {used(s.use)} of the travel at which loss begins."
    else:
        yield from _loss_words(found)


def more_service_words(found: Limits) -> Iterator[str]:
    """What a softer metal would lose, and the push that takes bend out where nothing limits over-travel."""
    s, units = found.service, found.build.units
    if s.unlock is not None and s.use <= 1:
        yield (
            f"A metal that yields more easily when bent back (reverse_yield {SOFT}) loses bend beyond "
            f"{units.two_digits(s.before_loss_soft, 'mm')} of travel."
        )
    if s.unlock is not None and s.stop is None:
        yield f"Nothing limits over-travel: {units.pull(s.push_before_loss)} outward on the tip begin to take bend out."


def _loss_words(found: Limits) -> Iterator[str]:
    s, units, bend = found.service, found.build.units, found.bending.bend
    if s.bend_after is None:
        yield "The first full unlock takes bend out; how much is not known: measure it."
    else:
        takes = f"{lost_words(bend - s.bend_after, units)} of {length_words(bend, units)}"
        yield (
            f"The first full unlock takes {takes} of bend; after it the bar has settled, and pushes to the same place "
            "take nothing more."
        )
    told = s.bend_after is None or bend - s.bend_after >= LEAST_LOSS
    if told and s.over_bend is not None and length_words(s.over_bend, units) != length_words(bend, units):
        yield (
            f"So bend it to {length_words(s.over_bend, units)}, push it out once to full travel, and measure: it "
            f"settles at {length_words(bend, units)}. Let that outward push be the last: bending in after it opens the "
            "loss again."
        )


def contact_words(found: Limits) -> Iterator[str]:
    """The ball on the flat and in its hole."""
    c, h, units = found.contact, found.hold, found.build.units
    if c.force <= 0:
        yield "The ball does not touch the flat."
        return
    yield (
        f"Riding with {units.pull(c.force)}, the ball touches over a circle of "
        f"{units.two_digits(2 * c.radius, 'um')} and presses in by {units.two_digits(c.approach, 'um')}; shear in the "
        f"tang is greatest {units.two_digits(c.depth, 'um')} under its face, {units.two_digits(c.shear, 'MPa')}."
    )
    yield (
        f"The tang first yields, inside, at {units.pull(c.yield_force)}; the dent that the limit allows comes at "
        f"{units.pull(c.force_at_limit)}."
    )
    if h.interference is not None and h.force is not None:
        yielded = f", and the metal yields out to {units.two_digits(h.plastic, 'mm')}" if h.plastic else ""
        yield (
            f"The ball is {units.two_digits(1e3 * h.interference, 'um')} larger than its hole: it is gripped with up "
            f"to {units.two_digits(h.pressure or 0.0, 'MPa')}{yielded}. "
            f"Pressing it in takes up to {units.pull(h.force)}."
        )
    if h.force is not None and c.ball_cracks is not None:
        cracks = units.pull(c.ball_cracks)
        than = "less" if h.force < c.ball_cracks else "more"
        pad = "" if than == "less" else ": use a soft pad of brass or aluminium"
        yield f"That is {than} than the {cracks} that crack the ball under a hard flat punch{pad}."


def clip_words(found: Limits) -> Iterator[str]:
    """The pocket clip, where there is one."""
    c, units = found.clip, found.build.units
    if c is not None:
        yield (
            f"The clip's tip rests with {units.pull(c.rest)} and holds a hem with {units.pull(c.grip)} "
            f"({units.two_digits(c.stiffness, 'N/mm')})."
        )
