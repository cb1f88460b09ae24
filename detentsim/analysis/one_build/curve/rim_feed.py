"""Breakout force over the feed of the rim drill, and the build's place on its rise.

Solved in one call of the kernel for `curve`.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from detentsim.knife.record.fields import assemble, uncoated
from detentsim.knife.target.target import FELT
from detentsim.mechanics.contact import dimple, envelope
from detentsim.mechanics.record import full
from detentsim.mechanics.response import respond

if TYPE_CHECKING:
    from detentsim.knife.record.inputs import Plain

# A step of the quill that a careful hand still misses [m].
MISS = 0.02e-3

POINTS = 61


@dataclass(frozen=True, eq=False)
class RimFeed:
    """Breakout against the feed of the rim drill.

    Attributes
    ----------
    feed : array
        [mm], from first touch to where nothing changes any more.
    breakout : array
        Breakout force there [N]; NaN where there is none.
    height : array
        Height of a loose ball over the flat [mm].
    here : float
        The build's own feed [mm].
    rise : tuple of (start, end) or None
        Feeds between which breakout climbs [mm]; None where it never does.
    change : float
        Share by which breakout changes when the feed misses by 0.02 mm, the larger way [-].
    steep : bool
        Whether that is more than a finger just feels.
    """

    feed: npt.NDArray[np.float64]
    breakout: npt.NDArray[np.float64]
    height: npt.NDArray[np.float64]
    here: float
    rise: tuple[float, float] | None
    change: float
    steep: bool

    @property
    def miss(self) -> float:
        """Miss of the feed that `change` is for [mm]."""
        return MISS * 1e3

    @property
    def place(self) -> str:
        """Place of the build: ``before``, ``on`` or ``past`` the rise, or ``flat`` where there is none."""
        if self.rise is None:
            return "flat"
        return "before" if self.here < self.rise[0] else "on" if self.here < self.rise[1] else "past"


def rim_feed(numbers: Plain) -> RimFeed | None:
    """Breakout force over the rim drill's whole feed; None without a rim drill.

    Parameters
    ----------
    numbers : dict
        The build's plain numbers.
    """
    here = float(np.asarray(numbers["dimple.rim_feed"])) if "dimple.rim_feed" in numbers else np.nan
    if np.isnan(float(np.asarray(numbers["dimple.rim_drill"]))) or np.isnan(here):
        return None
    feeds = np.linspace(0, max(_last_feed(numbers), here) * 1.15, POINTS)
    near = np.maximum([here - MISS, here, here + MISS], 0)
    fed = assemble(numbers | {"dimple.rim_feed": np.concatenate([feeds, near])})
    force, close = np.split(respond(fed, ("breakout_force",)).results["breakout_force"], [POINTS])
    height = loose_ball_height(numbers | {"dimple.rim_feed": feeds})
    change = float(np.nanmax(np.abs(close / close[1] - 1))) if np.isfinite(close[1]) else float("nan")
    return RimFeed(feeds * 1e3, force, height, here * 1e3, _rise(feeds * 1e3, force), change, change > FELT)


def loose_ball_height(numbers: Plain) -> npt.NDArray[np.float64]:
    """Height of a loose ball laid in the dimple over the flat, before any coat, in the shape of the numbers [mm].

    Parameters
    ----------
    numbers : dict
        Plain numbers of a build.
    """
    bare = full(assemble(uncoated(numbers)))
    return np.asarray(1e3 * (2 * bare.ball_radius - dimple.seat_depth(envelope.pieces(bare))))


def _last_feed(numbers: Plain) -> float:
    """Feed from which neither the rim nor the seat changes any more [m]."""
    feeds = np.linspace(0, 2 * float(np.asarray(numbers["ball.diameter"])), 801)
    seat = dimple.seat_depth(envelope.pieces(full(assemble(numbers | {"dimple.rim_feed": feeds}))))
    settled = seat >= seat[-1] - 1e-9
    return float(feeds[np.argmax(settled)])


def _rise(feed: npt.NDArray[np.float64], force: npt.NDArray[np.float64]) -> tuple[float, float] | None:
    """Feeds between which the force climbs from its lowest to its highest, a twentieth off either end.

    A climb that ends in a solid lock ends at the first feed that locks.
    """
    known = int(np.argmin(np.append(np.isfinite(force), False)))
    locks, force = known < feed.size, force[:known]
    if not known:
        return None
    low = int(np.argmin(force))
    if not locks and force[low:].max() - force[low] < FELT * force[low]:
        return None
    climb = (force[low:] - force[low]) / max(force[low:].max() - force[low], 1e-12)
    start, end = int(np.argmax(climb > 0.05)), int(np.argmax(climb > 0.95))
    return float(feed[low + max(start - 1, 0)]), float(feed[known if locks else low + end])
