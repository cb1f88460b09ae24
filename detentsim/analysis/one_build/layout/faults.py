"""What is wrong with a layout, or too thin: the sentences of its verdict and of the build's."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from detentsim.analysis.one_build.layout.clearances import final

if TYPE_CHECKING:
    from collections.abc import Iterator

    from detentsim.analysis.one_build.layout.clearances import Clearance, Drop, PinTrack, Wall
    from detentsim.units.systems import UnitSystem

# Metal thinner than this beside the dimple or the ball's hole is thin, and so is flat beside the ball's contact
# (judgement, no source: a drill wanders by a tenth, and a chamfer filed by hand by two) [mm].
THIN = 0.3

# The ball may drop off so long before lock-up before it is worth a look (judgement, no source) [deg].
EARLY = 45.0


@dataclass(frozen=True)
class LayoutFault:
    """One thing wrong with a layout, or worth a look.

    Attributes
    ----------
    kind : str
        ``breaks_out``, ``chamfer_cuts``, ``drops_off``, ``beside_tang``, ``crosses_pin``, ``stays_on``, ``off_bar``,
        ``thin`` or ``early``.
    state : str
        ``bad`` or ``mind``.
    words : str
        One sentence.
    """

    kind: str
    state: Literal["bad", "mind"]
    words: str


BESIDE = "With the blade closed the ball stands beside the tang's flat: there is nothing to drill its dimple in."


def read_faults(
    clearances: tuple[Clearance, ...],
    drops: tuple[Drop, ...],
    walls: tuple[Wall, ...],
    pin: PinTrack | None,
    open_angle: float,
    units: UnitSystem,
) -> tuple[LayoutFault, ...]:
    """Faults of a layout, bad ones first.

    Parameters
    ----------
    clearances : tuple of Clearance
    drops : tuple of Drop
    walls : tuple of Wall
    pin : PinTrack or None
    open_angle : float
        Blade angle at lock-up [deg].
    units : UnitSystem
        Of the words.
    """
    on_tang = all(drop.left_by for drop in drops)  # else there is no dimple to judge
    found = [
        *(_dimple(clearances, units) if on_tang else ()),
        *_way(drops, open_angle, units),
        *_beside(clearances, drops, units),
        *_pin(pin, units),
        *_bar(walls, units),
    ]
    return tuple(sorted(found, key=lambda fault: fault.state != "bad"))


def with_article(name: str) -> str:
    """Name of an edge with its article.

    Parameters
    ----------
    name : str

    Examples
    --------
    >>> with_article("outline"), with_article("lock face"), with_article("hole 2")
    ("the tang's edge", 'the lock face', 'hole 2')
    """
    if name == "outline":
        return "the tang's edge"
    return name if name.startswith("hole ") else f"the {name}"


def _dimple(clearances: tuple[Clearance, ...], units: UnitSystem) -> Iterator[LayoutFault]:
    for c in clearances:
        if c.rim < 0:
            yield LayoutFault(
                "breaks_out", "bad", f"The dimple breaks into {with_article(c.name)} by {units.size(-c.rim)}."
            )
        elif c.rim_to_chamfer < 0:
            cut = (
                f"the chamfer of {with_article(c.name)}, {units.size(c.chamfer)} wide, by "
                f"{units.size(-c.rim_to_chamfer)}"
            )
            yield LayoutFault("chamfer_cuts", "bad", f"The dimple's rim lies in {cut}.")
        elif c.rim_to_chamfer < THIN:
            left = f"only {units.size(c.rim_to_chamfer)} of flat between the dimple's rim and {with_article(c.name)}"
            yield LayoutFault("thin", "mind", f"There is {left}.")


def _way(drops: tuple[Drop, ...], open_angle: float, units: UnitSystem) -> Iterator[LayoutFault]:
    for drop in drops:
        if not drop.left_by:
            yield LayoutFault("beside_tang", "bad", BESIDE)
        elif not drop.last:
            off = f"At {drop.start:.0f} deg the ball drops off the flat by {with_article(drop.left_by)}"
            words = f"{off}; at {drop.end:.0f} deg it climbs a step of {units.size(drop.step)} back."
            yield LayoutFault("drops_off", "bad", words)
        elif open_angle - drop.start > EARLY:
            far = f"at {drop.start:.0f} deg, {open_angle - drop.start:.0f} deg before lock-up"
            yield LayoutFault(
                "early", "mind", f"The ball drops off the tang early, {far}, by {with_article(drop.left_by)}."
            )
    if final(drops) is None:
        words = "At lock-up the ball is still on the tang and keeps the bar from moving in behind it."
        yield LayoutFault("stays_on", "bad", words)


def _beside(clearances: tuple[Clearance, ...], drops: tuple[Drop, ...], units: UnitSystem) -> Iterator[LayoutFault]:
    """Little flat beside the ball's contact where it does not drop off."""
    off = final(drops)
    for c in clearances:
        at_the_end = off is not None and c.angle > off.start - 1e-6
        if 0 < c.flat < THIN and not c.leaves and not at_the_end:
            left = f"only {units.size(c.flat)} of flat between the ball's contact and {with_article(c.name)}"
            yield LayoutFault("thin", "mind", f"At {c.angle:.0f} deg there is {left}.")


def _pin(pin: PinTrack | None, units: UnitSystem) -> Iterator[LayoutFault]:
    if pin is None:
        return
    if pin.contact < 0:
        yield LayoutFault("crosses_pin", "bad", f"At {pin.angle:.0f} deg the ball crosses the stop pin's track.")
    elif pin.rim < 0:
        into = f"the stop pin's track by {units.size(-pin.rim)}"
        yield LayoutFault("breaks_out", "bad", f"The dimple breaks into {into}.")
    elif min(pin.contact, pin.rim) < THIN:
        left = units.size(min(pin.contact, pin.rim))
        yield LayoutFault("thin", "mind", f"The stop pin's track is only {left} from the ball's way or its dimple.")


def _bar(walls: tuple[Wall, ...], units: UnitSystem) -> Iterator[LayoutFault]:
    for wall in walls:
        if wall.left < 0:
            out = f"the {wall.name} by {units.size(-wall.left)}"
            yield LayoutFault("off_bar", "bad", f"The ball's hole breaks out of {out}.")
        elif wall.left < THIN:
            left = f"only {units.size(wall.left)} of metal between the ball's hole and the {wall.name}"
            yield LayoutFault("thin", "mind", f"There is {left}.")
