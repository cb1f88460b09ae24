"""Over-travel: contact of the bar with the stop or clip behind it under a hard push on the tip."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from detentsim.analysis.one_build.limits.bending import MM
from detentsim.analysis.results import number
from detentsim.mechanics.bar import overtravel

if TYPE_CHECKING:
    from detentsim.knife.record.inputs import Plain
    from detentsim.mechanics.record import Record

# Reverse yield of a metal with a marked Bauschinger effect (judgement, no source), to show what it would cost.
SOFT = 0.7


@dataclass(frozen=True)
class BehindBar:
    """Stop or clip behind the bar under a hard push on the bar's tip; lengths in mm, forces in N.

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
        Greatest moment in the bar over what it bears without loss of bend.
    before_loss : float or None
        Push on the tip at which loss of bend begins; None where no hand is strong enough.
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


def _stop_room(numbers: Plain, record: Record, section: str) -> tuple[float, float, float]:
    """Place of the stop along the bar, its gap, and the outward travel of the ball until contact [m].

    Place and gap stand in `section`, ``overtravel`` or ``clip``; not a number where it gives no gap.
    """
    place, gap = (number(numbers, f"{section}.{key}") for key in ("from_root", "gap"))
    place = float(record.tip_from_root) if np.isnan(place) else place
    return place, gap, float(overtravel.stop_distance(record, place, gap) * overtravel.reach(record, place))


def read_stop(numbers: Plain, record: Record, kind: str, give: float, preload: float, judged: bool) -> BehindBar:
    """Reaction, travel and stress of the bar pushed against the stop or clip behind it.

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
        Whether the build's push must do no harm; else it is no stronger than the bar bears without loss of bend.
    """
    place, gap, room = _stop_room(numbers, record, "overtravel" if kind == "stop" else "clip")
    before = float(overtravel.push_against(record, place, gap, give, preload))
    push = number(numbers, "overtravel.push")
    push = push if judged or np.isnan(before) else min(push, before)
    contact_state = overtravel.pushed_out(record, push, place, gap, give, preload)
    return BehindBar(
        kind=kind,
        place=place / MM,
        gap=gap / MM,
        push=push,
        reaction=float(contact_state.reaction),
        travel=float(contact_state.travel) / MM,
        room=room / MM,
        use=float(contact_state.use),
        before_loss=None if np.isnan(before) else before,
        judged=judged,
    )
