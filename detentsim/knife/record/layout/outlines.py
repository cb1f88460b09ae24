"""Closed loops of the tang, from points and arcs as typed: its outline and its holes.

Uses `loops` and the units.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from detentsim.knife.record.layout.loops import MOST, Loop, Piece, Point, arc_through, need_simple
from detentsim.units.convert import to_si
from detentsim.units.errors import InputError
from detentsim.units.wording import shown

EXAMPLE = '["4 mm", "-7.5 mm"]'

# Nearer than this, two points of an outline are one [m].
ONE_POINT = 1e-6

# Farther out than this, a point is a slip of units [m].
FARTHEST = 0.5


def read_point(raw: object, field: str) -> Point:
    """Read a point typed as two lengths.

    Parameters
    ----------
    raw : object
        As in the file.
    field : str
        Name for messages.

    Returns
    -------
    tuple of float
        [m]

    Raises
    ------
    InputError
        Where it is anything else, or lies half a metre away.

    Examples
    --------
    >>> read_point(["4 mm", "-7.5 mm"], "layout.pivot")
    (0.004, -0.0075)
    """
    if not isinstance(raw, Sequence) or isinstance(raw, str) or len(raw) != 2:
        raise InputError(field, raw, f"{shown(raw)} is no point; give two lengths along and across, such as {EXAMPLE}")
    x, y = (to_si(part, "length", field, "4 mm") for part in raw)
    if max(abs(x), abs(y)) > FARTHEST:
        raise InputError(field, raw, f"{shown(raw)} lies farther out than 0.5 m; give a point such as {EXAMPLE}")
    return x, y


def read_length(raw: object, field: str, low: float = 0.0, high: float = FARTHEST) -> float:
    """Read a length within a range.

    Parameters
    ----------
    raw : object
        As in the file.
    field : str
        Name for messages.
    low, high : float
        Allowed range, ends included [m].

    Returns
    -------
    float
        [m]
    """
    value = to_si(raw, "length", field, "0.3 mm")
    if not low <= value <= high:
        allowed = f"{low * 1e3:g} mm to {high * 1e3:g} mm"
        raise InputError(field, raw, f"{shown(raw)} is out of range; allowed is {allowed}")
    return value


def need_keys(raw: Mapping[str, object], known: str, field: str) -> None:
    """Refuse keys that a table does not take.

    Parameters
    ----------
    raw : mapping
        As in the file.
    known : str
        Keys it takes, with spaces between.
    field : str
        Name for messages.
    """
    for key in raw:
        if key not in known.split():
            raise InputError(f"{field}.{key}", raw[key], f"is no key here; allowed are {', '.join(known.split())}")


def read_name(raw: object, field: str, example: str) -> str:
    """Read the name of an edge or a hole.

    Parameters
    ----------
    raw : object
        As in the file.
    field, example : str
        For messages.

    Returns
    -------
    str
        In small letters.
    """
    if not isinstance(raw, str) or len(raw) > 40 or not raw.isprintable():
        raise InputError(field, raw, f'{shown(raw)} is no short name; give one such as "{example}"')
    return raw.strip().lower()


def read_loop(raw: object, field: str, called: str) -> Loop:
    """Read a closed loop: a circle by centre and diameter, or points in order with arcs between them.

    Parameters
    ----------
    raw : object
        As in the file: a table with ``centre`` and ``diameter``, or a list. The list starts with a point; each further
        entry is a point, reached by a straight edge, or a table with ``to`` and, for an arc, ``through`` (a point on
        it) or ``radius`` and ``centre`` (``"left"`` or ``"right"`` of the way); ``called`` and ``chamfer`` are the
        edge's own. The last point joins the first.
    field : str
        Name for messages.
    called : str
        Name of the loop.

    Returns
    -------
    Loop

    Raises
    ------
    InputError
        In one sentence, with an example.

    Examples
    --------
    >>> loop = read_loop([["0 mm", "0 mm"], ["4 mm", "0 mm"], ["4 mm", "3 mm"]], "layout.outline", "outline")
    >>> [piece.end for piece in loop.pieces]
    [(0.004, 0.0), (0.004, 0.003), (0.0, 0.0)]
    """
    if isinstance(raw, Mapping):
        need_keys(raw, "called centre diameter chamfer", field)
        return _circle(raw, field, called)
    if not isinstance(raw, list) or len(raw) < 2:
        raise InputError(field, raw, f"{shown(raw)} is no outline; give three points at least, such as {EXAMPLE}")
    if len(raw) > MOST:
        raise InputError(field, None, f"has {len(raw):,} points; give {MOST:,} at most")
    first = read_point(raw[0], f"{field}[1]")
    pieces, start = [], first
    for number, entry in enumerate(raw[1:], start=2):
        pieces.append(_piece(entry, start, f"{field}[{number}]"))
        start = pieces[-1].end
    if math.dist(start, first) > ONE_POINT:
        pieces.append(Piece(start, first, start, 0.0, "", math.nan))
    else:
        pieces[-1] = pieces[-1]._replace(end=first)
    return need_simple(Loop(tuple(pieces), called), field)


def _circle(raw: Mapping[str, object], field: str, called: str) -> Loop:
    """Read a round hole, or a round outline."""
    for key, example in (("centre", EXAMPLE), ("diameter", '"5 mm"')):
        if key not in raw:
            raise InputError(f"{field}.{key}", None, f"is missing; write {key} = {example}")
    x, y = read_point(raw["centre"], f"{field}.centre")
    radius = read_length(raw["diameter"], f"{field}.diameter", 1e-4, 0.3) / 2
    start = (x + radius, y)
    return Loop((Piece(start, start, (x, y), 2 * math.pi, "", _chamfer(raw, field)),), called)


def _chamfer(raw: Mapping[str, object], field: str) -> float:
    return read_length(raw["chamfer"], f"{field}.chamfer", 0.0, 0.02) if "chamfer" in raw else math.nan


def _piece(raw: object, start: Point, field: str) -> Piece:
    """One edge from where the last one ended."""
    entry = raw if isinstance(raw, Mapping) else {"to": raw}
    need_keys(entry, "to through radius centre called chamfer", field)
    if "to" not in entry:
        raise InputError(field, raw, f"is missing its end; write to = {EXAMPLE}")
    end = read_point(entry["to"], f"{field}.to" if isinstance(raw, Mapping) else field)
    if math.dist(start, end) < ONE_POINT:
        raise InputError(field, raw, f"{shown(raw)} is the point before it; leave it out, or give a circle as a hole")
    called = read_name(entry.get("called", ""), f"{field}.called", "lock face")
    if "through" in entry and ("radius" in entry or "centre" in entry):
        raise InputError(f"{field}.through", entry["through"], "stands beside radius; give one of the two")
    centre, sweep = start, 0.0
    if "through" in entry:
        centre, sweep = arc_through(start, read_point(entry["through"], f"{field}.through"), end, f"{field}.through")
    elif "radius" in entry or "centre" in entry:
        centre, sweep = _by_radius(entry, start, end, field)
    return Piece(start, end, centre, sweep, called, _chamfer(entry, field))


def _by_radius(entry: Mapping[str, object], start: Point, end: Point, field: str) -> tuple[Point, float]:
    """Centre and sweep of the shorter arc of a radius, its centre to the left or right of the way."""
    side = entry.get("centre")
    if "radius" not in entry or side not in ("left", "right"):
        text = 'give radius = "12 mm" and centre = "left" or "right" of the way to its end, or a point through'
        raise InputError(f"{field}.radius", entry.get("radius"), f"is half an arc; {text}")
    radius, a, b = read_length(entry["radius"], f"{field}.radius", 1e-5, 10.0), complex(*start), complex(*end)
    half = abs(b - a) / 2
    if radius < half * (1 - 1e-9):
        least = f"{half * 1e3:.6g} mm"
        text = f"{shown(entry['radius'])} is too small to reach the edge's end; {least} at least"
        raise InputError(f"{field}.radius", entry["radius"], text)
    turn = 1.0 if side == "left" else -1.0
    high = math.sqrt(max(radius**2 - half**2, 0.0))
    middle = (a + b) / 2 + turn * 1j * (b - a) / (2 * half) * high
    return (middle.real, middle.imag), turn * 2 * math.asin(min(half / radius, 1.0))
