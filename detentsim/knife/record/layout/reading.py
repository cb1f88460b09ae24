"""Reads the section ``[layout]`` and collects every problem.

Uses `outlines` and `section`; called where a build file is read.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from typing import TypeVar

from detentsim.knife.record.layout.loops import MOST, Loop, edges_of
from detentsim.knife.record.layout.outlines import need_keys, read_length, read_loop, read_name, read_point
from detentsim.knife.record.layout.section import DrawingFile, LayoutSection, Pin, need_pivot
from detentsim.units.errors import InputError
from detentsim.units.wording import shown

_KEYS = (
    "outline holes dxf dxf_unit dxf_layer pivot opens lock_face bar_edge scribed_edge ball_from_lock_face "
    "ball_from_edge chamfer stop_pin"
)

T = TypeVar("T")


def read_layout(raw: object) -> tuple[LayoutSection | None, list[tuple[str, str]]]:
    """Read the section ``[layout]`` and collect every problem.

    Parameters
    ----------
    raw : object
        As in the file.

    Returns
    -------
    tuple of LayoutSection or None, and list
        None where there is a problem; problems as pairs of key and message.
    """
    if not isinstance(raw, Mapping):
        return None, [("layout", f"is {shown(raw)}, not a section")]
    reader = _Reader(raw)
    reader.try_it(lambda: need_keys(raw, _KEYS, "layout"), None)
    nothing: tuple[tuple[Loop, ...], DrawingFile | None] = ((), None)
    loops, drawn = reader.try_it(lambda: _loops(raw), nothing)
    pin = reader.try_it(lambda: _pin(raw.get("stop_pin")), None)
    opens = reader.choice("opens", ("counterclockwise", "clockwise"), "counterclockwise")
    edge = reader.choice("scribed_edge", ("lower", "upper"), "lower")
    pivot = reader.try_it(lambda: read_point(raw.get("pivot", ["0 mm", "0 mm"]), "layout.pivot"), (0.0, 0.0))
    section = LayoutSection(
        loops,
        drawn,
        pivot,
        1.0 if opens == "counterclockwise" else -1.0,
        reader.length("lock_face", "13 mm", -0.5),
        reader.length("bar_edge", "-9 mm", -0.5),
        1.0 if edge == "lower" else -1.0,
        reader.length("ball_from_lock_face", "6 mm", 1e-4),
        reader.length("ball_from_edge", "4 mm", 1e-4),
        reader.length("chamfer", "0.3 mm", 0.0) if "chamfer" in raw else 0.0,
        pin,
        str(raw.get("ball_from_lock_face", "")),
    )
    if loops and not reader.problems:
        reader.try_it(lambda: need_pivot(edges_of(loops, 0.0)[0], pivot), None)
    return (None if reader.problems else section), reader.problems


class _Reader:
    """Reads entries of the section one by one and keeps what is wrong with them."""

    def __init__(self, raw: Mapping[str, object]) -> None:
        self.raw = raw
        self.problems: list[tuple[str, str]] = []

    def try_it(self, read: Callable[[], T], instead: T) -> T:
        try:
            return read()
        except InputError as error:
            self.problems.append((error.field, error.problem))
            return instead

    def length(self, key: str, example: str, low: float) -> float:
        if key not in self.raw:
            self.problems.append((f"layout.{key}", f'is missing; write {key} = "{example}"'))
            return math.nan
        return self.try_it(lambda: read_length(self.raw[key], f"layout.{key}", low), math.nan)

    def choice(self, key: str, words: tuple[str, ...], default: str) -> str:
        word = self.raw.get(key, default)
        if word not in words:
            allowed = " or ".join(f'"{one}"' for one in words)
            self.problems.append((f"layout.{key}", f"{shown(word)} is not one of its choices; give {allowed}"))
        return str(word)


def _loops(raw: Mapping[str, object]) -> tuple[tuple[Loop, ...], DrawingFile | None]:
    """Outline and holes, or the drawing file that holds them."""
    if "dxf" in raw:
        return (), _drawn(raw)
    if "outline" not in raw:
        text = 'is missing; write outline = [["-9 mm", "-7 mm"], ["9 mm", "-7 mm"], ...], or dxf = "tang.dxf"'
        raise InputError("layout.outline", None, text)
    for key in ("dxf_unit", "dxf_layer"):
        if key in raw:
            raise InputError(f"layout.{key}", raw[key], 'needs a drawing; write dxf = "tang.dxf", or take it out')
    holes = raw.get("holes", [])
    if not isinstance(holes, list):
        text = f'{shown(holes)} is no list; give holes = [{{ centre = ["0 mm", "0 mm"], diameter = "5 mm" }}]'
        raise InputError("layout.holes", holes, text)
    if len(holes) > MOST:
        raise InputError("layout.holes", None, f"has {len(holes):,} holes; give {MOST:,} at most")
    outline = read_loop(raw["outline"], "layout.outline", "outline")
    return (outline, *(_hole(hole, number) for number, hole in enumerate(holes, start=1))), None


def _drawn(raw: Mapping[str, object]) -> DrawingFile:
    for key in ("outline", "holes"):
        if key in raw:
            raise InputError(f"layout.{key}", None, "stands beside dxf; give the one or the other")
    path, unit, layer = (raw.get(key, "") for key in ("dxf", "dxf_unit", "dxf_layer"))
    if not isinstance(path, str) or not path.strip():
        raise InputError("layout.dxf", path, f'{shown(path)} names no file; give one such as "tang.dxf"')
    if unit not in ("", "mm", "inch"):
        raise InputError("layout.dxf_unit", unit, f'{shown(unit)} is not one of its choices; give "mm" or "inch"')
    if not isinstance(layer, str):
        raise InputError("layout.dxf_layer", layer, f'{shown(layer)} is no name of a layer; give one such as "tang"')
    return DrawingFile(path, str(unit), layer)


def _hole(raw: object, number: int) -> Loop:
    """A hole, named or numbered; round, or with an outline of its own."""
    field = f"layout.holes[{number}]"
    if not isinstance(raw, Mapping):
        text = f'{shown(raw)} is no hole; give {{ centre = ["0 mm", "0 mm"], diameter = "5 mm" }} or outline = [...]'
        raise InputError(field, raw, text)
    called = read_name(raw.get("called", ""), f"{field}.called", "opener") or f"hole {number}"
    if "outline" not in raw:
        return read_loop(raw, field, called)
    need_keys(raw, "called outline chamfer", field)
    loop = read_loop(raw["outline"], f"{field}.outline", called)
    if "chamfer" not in raw:
        return loop
    own = read_length(raw["chamfer"], f"{field}.chamfer", 0.0, 0.02)
    return Loop(tuple(p._replace(chamfer=own if math.isnan(p.chamfer) else p.chamfer) for p in loop.pieces), called)


def _pin(raw: object) -> Pin | None:
    """The stop pin, where one is drawn."""
    if raw is None:
        return None
    field = "layout.stop_pin"
    if not isinstance(raw, Mapping):
        text = f'{shown(raw)} is no table; give {{ at = ["9 mm", "3 mm"], diameter = "3 mm", fixed_in = "handle" }}'
        raise InputError(field, raw, text)
    need_keys(raw, "at diameter fixed_in", field)
    for key, example in (("at", '["9 mm", "3 mm"]'), ("diameter", '"3 mm"')):
        if key not in raw:
            raise InputError(f"{field}.{key}", None, f"is missing; write {key} = {example}")
    where = raw.get("fixed_in", "handle")
    if where not in ("handle", "blade"):
        text = f'{shown(where)} is not one of its choices; give "handle" or "blade"'
        raise InputError(f"{field}.fixed_in", where, text)
    diameter = read_length(raw["diameter"], f"{field}.diameter", 1e-4, 0.02)
    return Pin(read_point(raw["at"], f"{field}.at"), diameter, "blade" if where == "blade" else "handle")
