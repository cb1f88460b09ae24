"""Service loads of the bar: positions of the ball, root moment and stress, use of the yield strength."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from detentsim.analysis.one_build.limits.behind_bar import SOFT, BehindBar
from detentsim.analysis.one_build.limits.bending import MM, millimetres
from detentsim.mechanics.bar import bend, bending, overtravel, remembered, service

if TYPE_CHECKING:
    from detentsim.mechanics.response import Response


@dataclass(frozen=True)
class BarPosition:
    """One position of the bar: offset of the ball [mm inward of flat], root moment [N*mm], stress [MPa] or None."""

    name: str
    offset: float
    moment: float | None
    stress: float | None


@dataclass(frozen=True)
class Service:
    """Loads on the bar in service; lengths in mm, forces in N, ratios plain.

    Attributes
    ----------
    unlock, before_loss : float or None, float
        Outward travel of the ball from free that unlocking needs, and at which loss of bend begins.
    before_loss_soft : float
        The same for a metal that yields back sooner (`SOFT`).
    use : float
        Travel of unlocking over that at which loss of bend begins.
    push_before_loss : float
        Outward push at the tip at which loss of bend begins, nothing behind the bar.
    bend_after : float or None
        Bend left after the first full unlock; None where the bar folds, or was bent over an edge.
    over_bend : float or None
        Bend to give it first so that its own is left; only where unlocking takes some.
    stop : BehindBar or None
    places : tuple of BarPosition
        From free outward.
    """

    unlock: float | None
    before_loss: float
    before_loss_soft: float
    use: float
    push_before_loss: float
    bend_after: float | None
    over_bend: float | None
    stop: BehindBar | None
    places: tuple[BarPosition, ...]


def read_service(response: Response, stop: BehindBar | None) -> Service:
    """Loads, stresses and their ratios to yield for the bar of one design.

    Parameters
    ----------
    response : Response
        Of the kernel, 0-d.
    stop : BehindBar or None
        Stop or clip behind the bar.
    """
    record = response.load.record
    unlock, spare = bend.unlock_travel(record), remembered.travel_before_loss(record)
    soft = record._replace(reverse_yield=np.minimum(record.reverse_yield, SOFT))
    loses = bool(remembered.loses_bend(record, unlock))
    after = millimetres(service.bend_after(record, unlock))
    over = millimetres(service.settled_bend(record, unlock)) if loses and after is not None else None
    return Service(
        millimetres(unlock) if unlock > 0 else None,
        float(spare) / MM,
        float(remembered.travel_before_loss(soft)) / MM,
        max(float(unlock / spare), 0.0),
        float(overtravel.push_before_loss(record)),
        after,
        over,
        stop,
        _places(response, stop),
    )


def _places(response: Response, stop: BehindBar | None) -> tuple[BarPosition, ...]:
    record, spring = response.load.record, response.load.spring
    free, flat = float(bend.free_offset(record)), float(record.face_gap - record.protrusion)
    # Where the bar's face lies on the tang, the ball comes no deeper than it stands out.
    deepest = min(float(spring.reach), float(spring.protrusion))
    seat, rest = (min(float(depth), deepest) for depth in (response.results["seat_depth"], response.rest.at.depth))
    spots = {"free": free, "flat": 0.0}
    if float(spring.reach) > 0:
        spots |= {"rides and unlocks": flat, "seated": flat + seat}
        spots |= {"rests": flat + rest} if abs(rest - seat) > 1e-6 else {}
    if stop is not None:
        spots["stopped"] = free - stop.room * MM
    spots["bend lost"] = free - float(remembered.travel_before_loss(record))
    shares = remembered.share_of_travel(record, free - np.array(list(spots.values())))
    moments, stresses = shares * bending.yield_moment(record) * 1e3, remembered.stress(record, shares) / 1e6
    positions = [
        BarPosition(name, offset / MM, *((None, None) if offset > free else (float(moment), float(stress))))
        for (name, offset), moment, stress in zip(spots.items(), moments, stresses, strict=True)
    ]
    return tuple(sorted(positions, key=lambda place: -place.offset))
