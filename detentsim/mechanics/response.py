"""Results and flags of one design or many: the kernel that every analysis calls.

The definitions are those of the glossary in DEVELOPERS.md. Every result is an array of the record's shape, NaN where it
does not exist (the flags give the reason).
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple, TypeVar

import numpy as np

from detentsim.mechanics.bar import beam, bend
from detentsim.mechanics.contact import dimple
from detentsim.mechanics.detent import balance, bar_spring, closing, opening, rest, solution, work
from detentsim.mechanics.detent.flags import part_flags, path_flags, preload
from detentsim.mechanics.detent.limits import limit_results
from detentsim.mechanics.detent.rest import Rest
from detentsim.mechanics.detent.solution import SolvedDetent, Torques
from detentsim.mechanics.motion import pivot
from detentsim.mechanics.motion.in_motion import Start, motion_results
from detentsim.mechanics.names import (
    ALL_NAMES,
    FLAG_NAMES,
    LIMIT_NAMES,
    MOTION_NAMES,
    NO_BREAKOUT,
    RESULT_NAMES,
)
from detentsim.mechanics.path import segments
from detentsim.mechanics.path.segment_rows import select_designs
from detentsim.mechanics.record import Array, Record, Truth

if TYPE_CHECKING:
    from collections.abc import Collection

    from detentsim.mechanics.detent.opening import OpeningPath


_Field = TypeVar("_Field", "Array", "Truth")


class Response(NamedTuple):
    """Results in SI units and flags of a record, each of the record's full shape."""

    results: dict[str, Array]
    flags: dict[str, Truth]
    load: SolvedDetent
    rest: Rest


def respond(record: Record, wanted: Collection[str] = RESULT_NAMES) -> Response:
    """Results and flags of one design or many.

    Parameters
    ----------
    record : Record
        Fields of any shapes that broadcast.
    wanted : collection of str
        Results to give, of `ALL_NAMES`; their costs differ widely.

    Notes
    -----
    One path for a single design (0-d) and a sweep; fields that do not vary are computed once. A physical dead end is a
    flag and NaN, never an exception. Definitions are derived in studies/00-the-model.ipynb.

    >>> import detentsim as ds
    >>> bool(respond(ds.curve(ds.demo()).response.load.record).results["breakout_torque"] > 0)
    True
    """
    record = Record(*(np.asarray(field, float) for field in record))
    shape = np.broadcast_shapes(*(field.shape for field in record))
    solved = bar_spring.solve(record)
    along = _along_path(segments.flatten(solved, shape), int(np.prod(shape)), wanted)
    results = {name: np.reshape(value, shape) for name, value in along.results.items()}
    flags = {name: np.reshape(value, shape) for name, value in along.flags.items()}
    results |= _bar_results(solved) | _seat_results(solved)
    held = (results["let_go_angle"] > record.open_angle / 2) & ~flags["locks_solid"]
    results["drag_force"] = np.where(held, np.nan, results["drag_force"])
    if not set(LIMIT_NAMES).isdisjoint(wanted):
        results |= limit_results(solved)
    flags |= part_flags(solved, flags["misses_dimple"])
    whole = {name: np.array(_wide(flags[name], shape)) for name in FLAG_NAMES}
    given = {name: _wide(results[name], shape) for name in ALL_NAMES if name in wanted}
    return Response(_blank(given, whole), whole, _full(solved, shape), _shaped(along.rest, shape))


def starts(response: Response) -> Start:
    """Start of the motion of solved designs; needs their breakout force, its angle and torque.

    `response` may have any shape; its designs come in one row.

    >>> import detentsim as ds
    >>> starts(ds.curve(ds.demo()).response).phi.shape
    (1,)
    """
    shape = np.shape(response.rest.phi)
    results = {name: np.ravel(response.results[name]) for name in _STARTS}
    flat = segments.flatten(response.load, shape)
    phi, angle = np.ravel(response.rest.phi), np.ravel(response.rest.angle)
    push = np.ravel(response.rest.at.push)
    force, torque = results["breakout_force"], results["breakout_torque"]
    return Start(flat, phi, angle, results["breakout_force_angle"], force, torque, push)


# Designs whose paths are followed at once: enough that calls cost little beside the work, few enough that most arrays
# stay in the second-level cache.
BLOCK = 12_288


class _Along(NamedTuple):
    """Results along the paths of n designs; arrays of shape (n,)."""

    results: dict[str, Array]
    flags: dict[str, Truth]
    rest: Rest


def _along_path(flat: SolvedDetent, count: int, wanted: Collection[str]) -> _Along:
    """Results and flags along the opening path, block by block, all of one size."""
    if count <= BLOCK:
        return _block(flat, count, wanted)
    blocks = -(-count // BLOCK)
    cuts = [slice(count * part // blocks, count * (part + 1) // blocks) for part in range(blocks)]
    parts = [_block(select_designs(flat, cut), cut.stop - cut.start, wanted) for cut in cuts]
    results = {name: np.concatenate([part.results[name] for part in parts]) for name in parts[0].results}
    flags = {name: np.concatenate([part.flags[name] for part in parts]) for name in parts[0].flags}
    at = Torques(*(np.concatenate(fields) for fields in zip(*(part.rest.at for part in parts), strict=True)))
    columns = zip(*(part.rest[:6] for part in parts), strict=True)
    phi, angle, draw, start, stick, slip = (np.concatenate(fields) for fields in columns)
    return _Along(results, flags, Rest(phi, angle, draw, start, stick, slip, at))


def _block(flat: SolvedDetent, count: int, wanted: Collection[str]) -> _Along:
    one = opening.opened(flat, *rest.rest(flat, segments.walk(flat, rest.farthest(flat, count))))
    moves = not set(MOTION_NAMES).isdisjoint(wanted)
    results = _path_results(one, (*wanted, "breakout_force") if moves else wanted)
    if moves:
        results |= motion_results(_start(one, results), wanted)
    return _Along(results, path_flags(one, results["breakout_torque"], results["let_go_angle"]), one.rest)


# Force of the bar on the tang at the breakout, from which motion starts; internal.
_PUSH = "breakout_push"

_STARTS = ("breakout_force", "breakout_force_angle", "breakout_torque")


def _start(one: OpeningPath, along: dict[str, Array]) -> Start:
    """Start of the motion, from the results along the opening path."""
    angle = np.broadcast_to(one.rest.angle, one.rest.phi.size)
    force, torque, push = along["breakout_force"], along["breakout_torque"], along[_PUSH]
    return Start(one.load, one.rest.phi, angle, along["breakout_force_angle"], force, torque, push)


def _wide(field: _Field, shape: tuple[int, ...]) -> _Field:
    """A field at full shape; NumPy's own takes longer where nothing is to be done."""
    return field if field.shape == shape else np.broadcast_to(field, shape)


def _full(solved: SolvedDetent, shape: tuple[int, ...]) -> SolvedDetent:
    """Every field at the designs' full shape."""
    if not shape:
        return solved
    record = Record(*(_wide(field, shape) for field in solved.record))
    spring = solution.Spring(*(_wide(field, shape) for field in solved.spring))
    pieces = (_wide(field, (*shape, field.shape[-1])) for field in solved.shape)
    return SolvedDetent(record, spring, dimple.Pieces(*pieces))


def _shaped(at_rest: Rest, shape: tuple[int, ...]) -> Rest:
    phi, angle, draw, start, stick, slip = (np.reshape(field, shape) for field in at_rest[:6])
    at = Torques(*(np.reshape(field, shape) for field in at_rest.at))
    return Rest(phi, angle, draw, start, stick, slip, at)


def _bar_results(solved: SolvedDetent) -> dict[str, Array]:
    record, spring = solved.record, solved.spring
    a, tip = record.ball_from_root, record.tip_from_root
    seat = dimple.seat_depth(solved.shape)
    riding, seated = balance.ball_force(spring, 0.0), balance.ball_force(spring, seat)
    lift = record.calibration / (spring.stiffness * beam.flexibility(record, tip, a))
    rim = np.minimum(record.rim_radius, record.pilot_radius + record.rim_feed * record.rim_tangent)
    with np.errstate(divide="ignore"):
        lateral = 1 / (spring.twist_give * record.pivot_to_ball**2)
    return {
        "bar_stiffness": spring.stiffness,
        "lateral_stiffness": np.where(np.isinf(lateral), np.nan, lateral),
        "free_offset": bend.free_offset(record),
        "seat_depth": seat,
        "rim_diameter": 2 * np.maximum(rim, record.pilot_radius),
        "loose_ball_height": 2 * record.ball_radius - seat,
        "riding_force": riding,
        "seated_force": seated,
        "lift_force_open": riding * lift,
        "lift_force_closed": balance.tang_force(spring, seat) * lift,
        "drag_torque": balance.drag(solved, opening=True),
        "drag_force": _drag_force(solved),
    }


def _seat_results(solved: SolvedDetent) -> dict[str, Array]:
    eps = solved.record.overclose
    loose = balance.phi_at_offset(solved.record, segments.loose_offset(solved))
    return {
        "rest_angle": np.where(eps < 0, -eps, 0.0),
        "lash": np.maximum(0, loose - eps) - np.maximum(0, -loose - eps),
    }


def _drag_force(solved: SolvedDetent) -> Array:
    record = solved.record
    riding = balance.ball_force(solved.spring, 0.0)
    return pivot.finger_force(record, record.open_angle / 2, balance.drag(solved, opening=True), riding)


def _path_results(one: OpeningPath, wanted: Collection[str]) -> dict[str, Array]:
    """Results along the opening path; shape (n,)."""
    at_rest = one.rest
    torque, angle, push = opening.breakout_torque(one)
    results = {
        "preload": preload(one),
        "contact_angle": np.where(at_rest.at.force > 0, np.arcsin(np.clip(at_rest.at.sine, 0, 1)), np.nan),
        "draw_torque": at_rest.draw,
        "breakout_torque": torque,
        _PUSH: push,
        "breakout_angle": angle,
        "breakout_to_drag": _to_drag(one.load, torque, push),
        "let_go_angle": np.maximum(opening.let_go_angle(one), at_rest.slip),
    }
    if not {"breakout_force", "breakout_force_angle"}.isdisjoint(wanted):
        force, at = opening.breakout_force(one, results["let_go_angle"])
        results["breakout_force"], results["breakout_force_angle"] = force, at
    if "breakout_energy" in wanted:
        results["breakout_energy"] = work.energy(one, results["let_go_angle"])
    if "pull_in_angle" in wanted:
        turn = closing.pull_in(one.path)
        results["pull_in_angle"] = np.where(turn > 0, turn, np.nan)
    return results


def _to_drag(solved: SolvedDetent, torque: Array, push: Array) -> Array:
    record = solved.record
    riding = balance.ball_force(solved.spring, 0.0)
    rubbed = balance.drag(solved, opening=True)
    drag = rubbed + pivot.pivot_torque(record, riding, rubbed)
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.where(drag > 0, (torque + pivot.pivot_torque(record, push, torque)) / drag, np.nan)


_PATH = (
    "breakout_torque",
    "breakout_angle",
    "breakout_force",
    "breakout_force_angle",
    "let_go_angle",
    "breakout_energy",
    "breakout_to_drag",
    "opens_fully",
    "stall_angle",
    "arrival_speed",
    "arrival_energy",
    "wrist_energy",
    "opening_spare",
    "carry_g",
)

_RIDING = ("pull_in_angle", "contact_angle", "lash")


def _blank(results: dict[str, Array], flags: dict[str, Truth]) -> dict[str, Array]:
    """Results with NaN where they have no meaning.

    Nothing pushes a floating ball, nothing opens one that locks, is stopped short or does not let go before lock-up,
    and a ball beside its dimple neither leaves nor enters it: there is only drag.
    """
    floats, misses = flags["floats"], flags["misses_dimple"]
    dead = np.logical_or.reduce([flags[name] for name in NO_BREAKOUT])
    blanked = {}
    for name, value in results.items():
        out = dead if name in _PATH else floats if name in _RIDING else False
        out = out | misses if name == "pull_in_angle" else out
        blanked[name] = np.where(np.isfinite(value) & ~np.asarray(out), value, np.nan)
    return blanked
