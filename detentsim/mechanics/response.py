"""What a design does, in numbers: the results a maker asks for, and what is wrong with it.

The definitions are those of the project's glossary. Every result is an array of the record's shape; NaN where there
is none to give (the caller says why, from the flags).
"""

from typing import NamedTuple

import numpy as np
from numpy.polynomial import chebyshev

from . import beam, bend, detent, dimple, hertz, path, pivot, trace
from .detent import Load
from .path import POINTS, Grid, Torques
from .record import Array, Record, Truth, full, last_axis

RESULT_NAMES = (
    "bar_stiffness",
    "lateral_stiffness",
    "free_offset",
    "seat_depth",
    "rim_diameter",
    "loose_ball_height",
    "riding_force",
    "seated_force",
    "lift_force_open",
    "lift_force_closed",
    "drag_torque",
    "preload",
    "contact_angle",
    "draw_torque",
    "rest_angle",
    "lash",
    "breakout_torque",
    "breakout_angle",
    "breakout_force",
    "breakout_force_angle",
    "let_go_angle",
    "breakout_energy",
    "breakout_to_drag",
    "drag_force",
    "pull_in_angle",
)
"""Every result of `respond`."""


class Rest(NamedTuple):
    """The blade at rest; arrays of the designs' shape."""

    phi: Array  # ball angle in the dimple [rad]
    angle: Array  # blade angle [rad]
    draw: Array  # torque pulling the blade onto its stop, at its stop [N m]
    start: Array  # torque at the blade's rest angle, from which the opening curve starts [N m]
    stick: Array  # torque at which the ball starts to slip [N m]
    slip: Array  # blade angle at which it does [rad]
    at: Torques  # as the limit from outward


class Way(NamedTuple):
    """The opening path from rest to the flat."""

    grid: Grid
    found: Torques
    phi: Array  # points of the grid on one axis [rad]
    theta: Array  # blade angle of opening at them, turning back where the blade snaps [rad]
    highest: Array  # largest blade angle up to and with each point [rad]


class Response(NamedTuple):
    """All results [SI] and flags of a record, each of the record's full shape."""

    results: dict[str, Array]
    flags: dict[str, Truth]
    load: Load
    rest: Rest
    way: Way


def respond(record: Record) -> Response:
    """Solve one design or many: every result and every flag.

    Parameters
    ----------
    record : Record
        Fields of any shapes that broadcast.

    Returns
    -------
    Response

    Notes
    -----
    One path for a single design (0-d) and a sweep. A physical dead end is a flag and NaN, never an exception.
    """
    solved = detent.load(full(record))
    rest = _rest(solved)
    way = _way(solved, rest)
    results = _bar_results(solved) | _seat_results(solved, rest) | _opening_results(solved, rest, way)
    results |= _closing_results(solved, way)
    flags = _flags(solved, rest, way, results["breakout_torque"])
    return Response(_blank(results, flags), flags, solved, rest, way)


def _rest(solved: Load) -> Rest:
    phi = path.rest_phi(solved)
    eps, give = solved.record.overclose, solved.spring.twist_give
    at = path.here(solved, phi)
    stick = path.here(solved, phi, static=True).opening
    draw = np.where(eps < 0, _press_shut(solved), _draw(solved, phi, at.closing))
    start = np.where(eps < 0, 0.0, draw)
    slip = phi - eps + path.twist(give, stick)
    return Rest(phi, np.where(eps < 0, -eps, 0.0), draw, start, stick, slip, at)


def _draw(solved: Load, phi: Array, outward: Array) -> Array:
    """Torque onto the stop: what the bar's side give presses with, within what the contact can carry."""
    eps, give = solved.record.overclose, solved.spring.twist_give
    centred = (phi == 0) & (solved.record.radial_error == 0)
    inward = np.where(centred, -np.inf, path.here(solved, phi, outward=False).closing)
    with np.errstate(divide="ignore", invalid="ignore"):
        pressed = np.where(eps == phi, 0.0, (eps - phi) / give)
    rigid = np.where(centred, np.minimum(pressed, outward), outward)
    return np.where(give > 0, np.clip(pressed, np.minimum(inward, outward), outward), rigid)


def _press_shut(solved: Load) -> Array:
    """Torque (negative) that holds a proud blade down on its stop: the opening path on the dimple's other side."""
    eps = solved.record.overclose
    draw = np.zeros_like(eps)
    proud = eps < 0
    if np.any(proud):
        part = path.pick(solved, proud)
        mirrored = part._replace(record=part.record._replace(overclose=np.zeros_like(part.record.overclose)))
        draw[proud] = -trace.opening_from_centre(mirrored, -eps[proud][..., None])[..., 0]
    return draw


def _way(solved: Load, rest: Rest) -> Way:
    grid = path.make_grid(solved, rest.phi, path.mouth_angle(solved))
    found = path.on_grid(solved, grid)
    phi = path.flat_points(grid.phi)
    theta = path.blade_angle(solved, phi, path.flat_points(found.opening))
    highest = np.maximum.accumulate(np.maximum(theta, rest.slip[..., None]), axis=-1)
    return Way(grid, found, phi, theta, highest)


def _bar_results(solved: Load) -> dict[str, Array]:
    record, spring = solved.record, solved.spring
    a, tip = record.ball_from_root, record.tip_from_root
    seat = dimple.seat_depth(solved.shape)
    riding, seated = detent.ball_force(spring, 0.0), detent.ball_force(spring, seat)
    lift = beam.flexibility(record, a, a) / beam.flexibility(record, tip, a)
    rim = np.minimum(record.rim_radius, record.pilot_radius + record.rim_feed * record.rim_tangent)
    with np.errstate(divide="ignore"):
        lateral = 1 / beam.lateral_compliance(record)
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
        "lift_force_closed": seated * lift,
        "drag_torque": detent.drag(solved, opening=True),
    }


def _seat_results(solved: Load, rest: Rest) -> dict[str, Array]:
    record = solved.record
    bears = rest.at.force > 0
    contact_angle = np.where(bears, np.arcsin(np.clip(rest.at.sine, 0, 1)), np.nan)
    loose = detent.phi_at_offset(record, path.loose_offset(solved))
    eps = record.overclose
    return {
        "preload": rest.at.force,
        "contact_angle": contact_angle,
        "draw_torque": rest.draw,
        "rest_angle": rest.angle,
        "lash": np.maximum(0, loose - eps) - np.maximum(0, -loose - eps),
    }


def _opening_results(solved: Load, rest: Rest, way: Way) -> dict[str, Array]:
    values = path.flat_points(way.found.opening)
    top, phi, _ = path.peak(solved, way.grid, values, lambda _phi, found: found.opening)
    sticks = rest.stick > top
    torque = np.where(sticks, rest.stick, top)
    at_phi = np.where(sticks, rest.phi, phi)
    angle = np.where(sticks, rest.slip, path.blade_angle(solved, at_phi[..., None], top[..., None])[..., 0])
    force, force_angle = _breakout_force(solved, rest, way)
    let_go = _let_go(solved, rest, way)
    return {
        "breakout_torque": torque,
        "breakout_angle": angle,
        "breakout_force": force,
        "breakout_force_angle": force_angle,
        "let_go_angle": let_go,
        "breakout_energy": _energy(solved, rest, way, let_go),
        "breakout_to_drag": _to_drag(solved, torque, at_phi),
        "drag_force": _drag_force(solved),
    }


def finger_force(record: Record, theta: Array, torque: Array, push: Array) -> Array:
    """Force of the finger [N] against a torque, with the pivot's friction; NaN where the lever is too short."""
    return np.asarray((torque + pivot.pivot_torque(record, push)) / pivot.lever(record, theta))


def _breakout_force(solved: Load, rest: Rest, way: Way) -> tuple[Array, Array]:
    record = last_axis(solved.record)

    def rule(phi: Array, found: Torques) -> Array:
        theta = path.blade_angle(solved, phi, found.opening)
        force = finger_force(record, theta, found.opening, found.push)
        return np.where(np.isnan(force), -np.inf, force)

    flat = Torques(*(path.flat_points(field) for field in way.found))
    top, phi, stretch = path.peak(solved, way.grid, rule(way.phi, flat), rule)
    piece, bears = path.take(way.grid.piece, stretch)[..., None], path.take(way.grid.bears, stretch)[..., None]
    there = path.torques(solved, phi[..., None], piece, bears)
    angle = path.blade_angle(solved, phi[..., None], there.opening)[..., 0]
    stick = finger_force(solved.record, rest.slip, rest.stick, rest.at.push)
    sticks = stick >= top
    force = np.where(sticks, stick, top)
    none = np.isneginf(force)
    return np.where(none, np.nan, force), np.where(none, np.nan, np.where(sticks, rest.slip, angle))


def _let_go(solved: Load, rest: Rest, way: Way) -> Array:
    def rule(phi: Array, found: Torques) -> Array:
        return path.blade_angle(solved, phi, found.opening)

    top, _, _ = path.peak(solved, way.grid, way.theta, rule)
    return np.maximum(top, rest.slip)


def _energy(solved: Load, rest: Rest, way: Way, let_go: Array) -> Array:
    """Work above drag from rest to let-go, jumps left out: the blade takes that part by itself [J]."""
    give = solved.spring.twist_give
    values = way.found.opening
    with np.errstate(invalid="ignore"):
        slip = integrate(way.grid.phi, values) + give * (values[..., -1, -1] ** 2 - values[..., 0, 0] ** 2) / 2
        stick = give * (rest.stick**2 - rest.start**2) / 2
        skips = np.any(way.theta < way.highest - 1e-13, axis=-1) & np.isfinite(slip)
    if np.any(skips):
        slip = np.array(slip)
        slip[skips] = trace.slip_energy(path.pick(solved, skips), rest.slip[skips], rest.phi[skips])
    with np.errstate(invalid="ignore"):
        return stick + slip - detent.drag(solved, opening=True) * (let_go - rest.angle)


def integrate(phi: Array, values: Array) -> Array:
    """Integral over all stretches of a grid by Clenshaw and Curtis' rule; shapes (..., J, n) to (...)."""
    width = phi[..., -1] - phi[..., 0]
    return np.asarray(np.sum(width * (values @ _weights()), axis=-1))


def _weights() -> Array:
    """Weights of the rule on [0, 1] for the grid's Chebyshev points."""
    nodes = chebyshev.chebpts2(POINTS)
    degrees = np.arange(POINTS)
    moments = np.zeros(POINTS)
    moments[::2] = 1 / (1 - degrees[::2] ** 2.0)
    return np.asarray(np.linalg.solve(chebyshev.chebvander(nodes, POINTS - 1).T, moments))


def _to_drag(solved: Load, torque: Array, phi: Array) -> Array:
    record = solved.record
    riding = detent.ball_force(solved.spring, 0.0)
    friction = pivot.pivot_torque(record, path.here(solved, phi).push)
    drag = detent.drag(solved, opening=True) + pivot.pivot_torque(record, riding)
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.where(drag > 0, (torque + friction) / drag, np.nan)


def _drag_force(solved: Load) -> Array:
    record = solved.record
    riding = detent.ball_force(solved.spring, 0.0)
    return finger_force(record, record.open_angle / 2, detent.drag(solved, opening=True), riding)


def _closing_results(solved: Load, way: Way) -> dict[str, Array]:
    return {"pull_in_angle": path.pull_in(solved, way.grid, way.found)}


def _flags(solved: Load, rest: Rest, way: Way, breakout: Array) -> dict[str, Truth]:
    record, spring = solved.record, solved.spring
    seat = dimple.seat_depth(solved.shape)
    reach, p = spring.reach, spring.protrusion
    locks = np.isposinf(breakout)
    turns_back = np.any(way.theta[..., 1:] < way.theta[..., :-1] - 1e-13, axis=-1)
    riding = detent.ball_force(spring, 0.0)
    travel = bend.free_offset(record) - record.face_gap + record.protrusion
    return {
        "floats": reach <= 0,
        "hangs_loose": (reach > 0) & (reach < seat),
        "bar_on_tang": (rest.at.depth > p) & (reach > p),
        "ball_on_floor": dimple.rests_on_floor(solved.shape),
        "locks_solid": locks,
        "stands_proud": record.overclose < 0,
        "snaps": turns_back & ~locks,
        "loses_bend": bend.loses_bend(record, spring.stiffness, travel),
        "dents_tang": hertz.pressure_on_tang(record, riding) > hertz.pressure_limit(record.tang_hardness),
    }


_PATH = ("breakout_torque", "breakout_angle", "breakout_force", "breakout_force_angle", "let_go_angle")
_PATH_TOO = ("breakout_energy", "breakout_to_drag")
_RIDING = ("pull_in_angle", "contact_angle", "lash")


def _blank(results: dict[str, Array], flags: dict[str, Truth]) -> dict[str, Array]:
    """Take out what has no meaning: nothing pushes a floating ball, nothing opens a solid one."""
    floats, locks = flags["floats"], flags["locks_solid"]
    opened = {name: np.where(floats | locks, np.nan, results[name]) for name in (*_PATH, *_PATH_TOO)}
    blanked = opened | {name: np.where(floats, np.nan, results[name]) for name in _RIDING}
    return {name: np.where(np.isfinite(value), value, np.nan) for name, value in (results | blanked).items()}
