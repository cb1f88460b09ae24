"""Flags of one design or many, and the part of the bar's push that the ball carries at rest.

Stands on the opening path (``opening``); ``response`` gives the flags.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from detentsim.mechanics.bar import bend, overtravel, remembered
from detentsim.mechanics.contact import dimple, hertz
from detentsim.mechanics.detent import balance, opening

if TYPE_CHECKING:
    from detentsim.mechanics.detent.opening import OpeningPath
    from detentsim.mechanics.detent.solution import SolvedDetent
    from detentsim.mechanics.record import Array, Truth

# Rounding of a depth over the ball's radius.
TOUCHES = 1e-12

# The same for a depth that comes from a root.
ROOTED = 1e-9


def path_flags(one: OpeningPath, breakout: Array, let_go: Array) -> dict[str, Truth]:
    """Flags along the opening path; shape (n,).

    Parameters
    ----------
    one : OpeningPath
        Of n designs.
    breakout : array, shape (n,)
        Breakout torque [N m]; inf where the ball locks.
    let_go : array, shape (n,)
        Largest blade angle at which the ball is still in its dimple [rad].
    """
    spring, record, locks = one.load.spring, one.load.record, np.isposinf(breakout).ravel()
    beyond = let_go.ravel() > record.open_angle
    return {
        "misses_dimple": (one.rest.at.depth <= TOUCHES * record.ball_radius) & (spring.reach > 0),
        "never_lets_go": beyond & ~locks & (spring.reach > 0),
        "lacks_lever": ~opening.pushed_through(one, let_go.ravel()) & ~beyond & ~locks & (spring.reach > 0),
        "bar_on_tang": _on_face(one),
        "locks_solid": locks,
        "snaps": opening.turns_back(one) & ~locks,
    }


def _on_face(one: OpeningPath) -> Truth:
    """Truth of each design that the bar's face lies on the tang at rest, alone or together with the ball."""
    spring = one.load.spring
    slack = ROOTED * one.load.record.ball_radius
    deeper = dimple.seat_depth(one.load.shape) > spring.protrusion + slack
    return np.asarray(deeper & (one.rest.at.depth > spring.protrusion - slack) & (spring.reach > spring.protrusion))


def preload(one: OpeningPath) -> Array:
    """Force of the bar on the ball at rest, shape (n,) [N].

    Parameters
    ----------
    one : OpeningPath
        Of n designs.

    Notes
    -----
    Where the bar's face and the ball touch the tang together, the ball carries what its draw needs and the face the
    rest: both torque and force of the ball grow in step (derived).
    """
    at = one.rest.at
    with np.errstate(divide="ignore", invalid="ignore"):
        share = np.where(at.closing > 0, np.clip(one.rest.draw / at.closing, 0, 1), 1.0)
    return np.where(_on_face(one), share * at.force, at.force)


def part_flags(solved: SolvedDetent, misses: Truth) -> dict[str, Truth]:
    """Flags of single parts; shapes broadcast.

    Parameters
    ----------
    solved : SolvedDetent
    misses : array of bool
        Whether the ball rests beside its dimple, where it rides the flat and does not hang.
    """
    record, spring = solved.record, solved.spring
    seat = dimple.seat_depth(solved.shape)
    riding = balance.ball_force(spring, 0.0)
    return {
        "floats": spring.reach <= 0,
        "hangs_loose": (spring.reach > 0) & (spring.reach < seat) & ~misses,
        "ball_on_floor": dimple.rests_on_floor(solved.shape),
        "stands_proud": record.overclose < 0,
        "stopped_short": (spring.reach > 0) & (overtravel.room(record) < bend.unlock_travel(record)),
        "loses_bend": remembered.loses_bend(record, bend.unlock_travel(record)),
        "dents_tang": hertz.pressure_on_tang(record, riding) > hertz.pressure_limit(record.tang_hardness),
    }
