"""The bar's own limits, in millimetres and newtons: bending it in, pushing it out, and where it stands meanwhile."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from detentsim.build.record import Plain
from detentsim.mechanics import bend, bending, fatigue, overtravel, service, strength
from detentsim.mechanics.plastic import HINGE
from detentsim.mechanics.record import Record
from detentsim.mechanics.response import Response
from detentsim.shop.materials import Material

from .numbers import number

MM = 1e-3
# Bends about the wanted one that the bench table shows [mm].
STEPS = (0.1, 0.2, 0.4)
# Reverse yield of a metal with a marked Bauschinger effect (judgement, no source), to show what it would cost.
SOFT = 0.7
# Openings of a long life: fifty a day for five years and more (judgement, no source).
OPENINGS = 1e5


@dataclass(frozen=True)
class Bending:
    """How the bend comes into the bar; lengths in mm, None where there is nothing to say.

    Attributes
    ----------
    way : str
        ``push`` at one point, ``along`` formed to an even curvature, ``edge`` bent over an edge, or ``flat``.
    bend, push, springback : float or None
        Wanted bend; tip offset from flat while it is made; what comes back.
    force : float or None
        Push [N] at `push_at`.
    push_at : float
        From the root.
    wide : tuple of float, or None
        Push and force [N] of a relief so wide that it can neither curl nor narrow.
    strain : float or None
        Outer fibre's, at the root [-].
    radius, least_radius : float or None
        Inside radius at the root under the push; the least that the sheet's standard bends it to.
    most : float or None
        Most bend a push leaves before the root folds at a hinge.
    more : tuple of (float, float)
        Bend, and the offset from flat to hold the tip at for it.
    less : tuple of (float, float)
        Bend, and the offset the other side of flat to pull the tip out to for it.
    """

    way: str
    bend: float
    push: float | None
    springback: float | None
    force: float | None
    push_at: float
    wide: tuple[float, float] | None
    strain: float | None
    radius: float | None
    least_radius: float | None
    most: float | None
    more: tuple[tuple[float, float], ...]
    less: tuple[tuple[float, float], ...]


def read_bending(record: Record, material: Material) -> Bending:
    """What bending one bar in takes.

    Parameters
    ----------
    record : Record
        One design.
    material : Material
        Of the bar.
    """
    way = _way(record)
    push, back = (_mm(part) for part in strength.bending_in(record))
    near = float(bending.even_moments(record)[0] if way == "along" else bending.root_moment(record))
    bent, pushed = way in ("push", "along") and push is not None, way == "push"
    known = pushed and push is not None
    least = material.bend_radius(float(record.relief_thickness))
    return Bending(
        way,
        float(record.bend) / MM,
        push,
        back,
        float(bending.push_force(record, near)) if known else None,
        float(record.bend_push_at) / MM,
        _wide(record) if known else None,
        float(bending.outer_strain(record, near)) if bent else None,
        _mm(bending.inside_radius(record, near)) if bent else None,
        None if least is None else least / MM,
        _mm(bending.most_bend(record)) if pushed else None,
        _more(record) if pushed else (),
        _less(record) if known else (),
    )


def _way(record: Record) -> str:
    if float(record.bend) == 0:
        return "flat"
    if not np.isnan(record.bend_at):
        return "edge"
    return "along" if float(record.bend_along) > 0 else "push"


def _mm(metres: object) -> float | None:
    value = float(np.asarray(metres)) / MM
    return value if np.isfinite(value) else None


def _wide(record: Record) -> tuple[float, float] | None:
    """Push [mm] and force [N] with the metal held across the width; the bar springs as before."""
    held = bending.wide(record)
    moment = bending.root_moment(held)
    if float(moment) >= HINGE:
        return None
    force = bending.push_force(held, moment)
    return float(abs(record.bend) + bending.springback(record, force)) / MM, float(force)


def _more(record: Record) -> tuple[tuple[float, float], ...]:
    """Offsets to hold the tip at for this bend and some more."""
    start, side = abs(float(record.bend)), float(np.sign(record.bend))
    bends = np.array([start, *(start + step * MM for step in STEPS)])
    shaped = record._replace(bend=bends * side)
    push = strength.bending_in(shaped)[0]
    return tuple((float(b) * side / MM, float(p) / MM) for b, p in zip(bends, push, strict=True) if np.isfinite(p))


def _less(record: Record) -> tuple[tuple[float, float], ...]:
    """Offsets past flat to pull the tip out to, to take some bend out: the push past yield, then its springback."""
    lost = np.array([step * MM for step in STEPS if step * MM <= float(record.bend)])
    if lost.size == 0:
        return ()
    force = bending.push_force(record, service.take_out(record, lost))
    offset = bending.springback(record, force) - (record.bend - lost)
    pairs = zip(record.bend - lost, offset, strict=True)
    return tuple((float(b) / MM, float(out) / MM) for b, out in pairs if np.isfinite(out))


@dataclass(frozen=True)
class Stop:
    """What stands behind the bar, met by a hard push on its tip; lengths in mm, forces in N.

    Attributes
    ----------
    kind : str
        ``stop`` or ``clip``, or empty where nothing stands there.
    place, gap : float
        From the root, and from the flat bar.
    push, reaction, travel : float
        On the tip, of the stop, and outward of the ball from free.
    room : float
        Outward travel of the ball until the bar meets it.
    use : float
        Greatest moment in the bar over what it bears without giving bend back.
    before_loss : float or None
        Push on the tip that takes no bend back; None where no hand is strong enough.
    judged : bool
        Whether that push must do no harm: for a stop always, for a clip where its maker says so.
    """

    kind: str
    place: float
    gap: float
    push: float
    reaction: float
    travel: float
    room: float
    use: float
    before_loss: float | None
    judged: bool


@dataclass(frozen=True)
class Place:
    """One place of the bar: where the ball stands [mm inward of flat], root moment [N*mm], stress [MPa] or None."""

    name: str
    offset: float
    moment: float | None
    stress: float | None


@dataclass(frozen=True)
class Service:
    """What service asks of the bar; lengths in mm, forces in N, ratios plain.

    Attributes
    ----------
    unlock, before_loss : float or None, float
        Outward travel of the ball from free that unlocking needs, and that takes no bend back.
    before_loss_soft : float
        The same for a metal that yields back sooner (`SOFT`).
    use : float
        Travel of unlocking over what takes no bend back.
    push_before_loss : float
        Outward push at the tip that takes none, nothing behind the bar.
    bend_after : float or None
        Bend left after the first full unlock; None where the bar folds, or was bent over an edge.
    over_bend : float or None
        Bend to give it first so that its own is left; only where unlocking takes some.
    stop : Stop or None
    places : tuple of Place
        From free outward.
    """

    unlock: float | None
    before_loss: float
    before_loss_soft: float
    use: float
    push_before_loss: float
    bend_after: float | None
    over_bend: float | None
    stop: Stop | None
    places: tuple[Place, ...]


def read_service(response: Response, stop: Stop | None) -> Service:
    """What service asks of one bar.

    Parameters
    ----------
    response : Response
        Of the kernel, 0-d.
    stop : Stop or None
        What stands behind the bar.
    """
    record = response.load.record
    unlock, spare = bend.unlock_travel(record), service.travel_before_loss(record)
    soft = record._replace(reverse_yield=np.minimum(record.reverse_yield, SOFT))
    loses = bool(service.loses_bend(record, unlock))
    after = _mm(service.bend_after(record, unlock))
    over = _mm(service.settled_bend(record, unlock)) if loses and after is not None else None
    return Service(
        _mm(unlock) if unlock > 0 else None,
        float(spare) / MM,
        float(service.travel_before_loss(soft)) / MM,
        max(float(unlock / spare), 0.0),
        float(overtravel.push_before_loss(record)),
        after,
        over,
        stop,
        _places(response, stop),
    )


def stop_room(numbers: Plain, record: Record, section: str) -> tuple[float, float, float]:
    """Where what stands behind the bar is, its gap, and the outward travel of the ball until the bar meets it [m].

    Parameters
    ----------
    numbers : dict
        Plain numbers of the build.
    record : Record
        One design.
    section : str
        ``overtravel`` or ``clip``; not a number where it gives no gap.
    """
    place, gap = (number(numbers, f"{section}.{key}") for key in ("from_root", "gap"))
    place = float(record.tip_from_root) if np.isnan(place) else place
    return place, gap, float(overtravel.stop_distance(record, place, gap) * overtravel.reach(record, place))


def read_stop(numbers: Plain, record: Record, kind: str, give: float, preload: float, judged: bool) -> Stop:
    """What a hard push on the tip does with a stop, or a clip, behind the bar.

    Parameters
    ----------
    numbers : dict
        Plain numbers of the build.
    record : Record
        One design.
    kind : str
        ``stop`` or ``clip``: which section its place and gap stand in.
    give, preload : float
        Of the stop [m/N], and the force it bears before it gives [N].
    judged : bool
        Whether the build's push must do no harm; else it is no stronger than what takes no bend back.
    """
    place, gap, room = stop_room(numbers, record, "overtravel" if kind == "stop" else "clip")
    before = float(overtravel.push_against(record, place, gap, give, preload))
    push = number(numbers, "overtravel.push")
    push = push if judged or np.isnan(before) else min(push, before)
    found = overtravel.pushed_out(record, push, place, gap, give, preload)
    return Stop(
        kind=kind,
        place=place / MM,
        gap=gap / MM,
        push=push,
        reaction=float(found.reaction),
        travel=float(found.travel) / MM,
        room=room / MM,
        use=float(found.use),
        before_loss=None if np.isnan(before) else before,
        judged=judged,
    )


def _places(response: Response, stop: Stop | None) -> tuple[Place, ...]:
    record, spring = response.load.record, response.load.spring
    free, flat = float(bend.free_offset(record)), float(record.face_gap - record.protrusion)
    seat = float(response.results["seat_depth"])
    rest = float(response.rest.at.depth)
    spots = {"free": free, "flat": 0.0}
    if float(spring.reach) > 0:
        spots |= {"rides and unlocks": flat, "seated": flat + min(seat, float(spring.reach))}
        spots |= {"rests": flat + rest} if abs(rest - seat) > 1e-6 and rest < float(spring.reach) else {}
    if stop is not None:
        spots["stopped"] = free - stop.room * MM
    spots["bend lost"] = free - float(service.travel_before_loss(record))
    found = [_place(record, name, offset, free) for name, offset in spots.items()]
    return tuple(sorted(found, key=lambda place: -place.offset))


def _place(record: Record, name: str, offset: float, free: float) -> Place:
    if offset > free:
        return Place(name, offset / MM, None, None)
    share = service.share_of_travel(record, free - offset)
    moment = float(share * bending.yield_moment(record)) * 1e3
    return Place(name, offset / MM, moment, float(service.stress(record, share)) / 1e6)


@dataclass(frozen=True)
class Fatigue:
    """The bar's stress over one opening and closing, and what its metal bears for ever [MPa].

    Attributes
    ----------
    low, high : float
        Residual stress included: locked or free, and unlocked, at the place that tires first. A bar that loses bend has
        shaken down.
    endurance, ultimate : float
        Fully reversed endurance strength and ultimate strength.
    openings, strength : float
        A long life of a knife, and the fully reversed strength for so many cycles.
    use, use_for_ever : float
        By Goodman's line, for that life and for ever; over 1 it cracks in that time.
    """

    low: float
    high: float
    endurance: float
    ultimate: float
    openings: float
    strength: float
    use: float
    use_for_ever: float


def read_fatigue(record: Record, lockup_force: float, material: Material) -> Fatigue | None:
    """How near the bar's metal is to its endurance.

    Parameters
    ----------
    record : Record
        One design.
    lockup_force : float
        At its tip while the knife is locked open [N]; 0 for free.
    material : Material
        Of the bar.

    Returns
    -------
    Fatigue or None
        None where the table has no endurance or ultimate strength.
    """
    if material.endurance_strength is None or material.ultimate_strength is None:
        return None
    unlock = max(float(bend.unlock_travel(record)), 0.0)
    settled = record._replace(pushed_back=np.maximum(unlock, record.pushed_back))
    locked = lockup_force * record.tip_from_root / bending.yield_moment(record)
    shares = np.array([float(locked), float(service.share_of_travel(record, unlock))])
    found = service.stresses(settled, shares) / 1e6
    ultimate = material.ultimate_strength / 1e6
    given = material.endurance_strength / 1e6
    endurance = float(fatigue.fully_reversed(given, material.endurance_ratio, ultimate))
    strength = float(fatigue.strength_at(OPENINGS, endurance, ultimate))
    uses = fatigue.goodman_use(np.min(found, axis=0), np.max(found, axis=0), strength, ultimate)
    worst = int(np.argmax(uses))
    low, high = float(np.min(found[:, worst])), float(np.max(found[:, worst]))
    use, for_ever = float(uses[worst]), float(fatigue.goodman_use(low, high, endurance, ultimate))
    return Fatigue(low, high, endurance, ultimate, OPENINGS, strength, use, for_ever)
