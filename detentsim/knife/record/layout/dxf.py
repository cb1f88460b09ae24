"""Closed loops of the tang from a DXF drawing: lines, arcs, circles, polylines, splines, ellipses and blocks.

The reader of drawings is an optional library; it is loaded here alone, when a build names a drawing.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from functools import lru_cache
from importlib import import_module
from itertools import pairwise
from typing import TYPE_CHECKING, Any

import numpy as np

from detentsim.knife.record.layout.loops import MOST, Loop, Piece, Point, arc_through, area, need_simple, polyline
from detentsim.units.errors import InputError
from detentsim.units.wording import shown

if TYPE_CHECKING:
    from pathlib import Path

FIELD = "layout.dxf"

# Metres in a unit of the drawing, by the number it carries for it.
UNITS = {1: 0.0254, 4: 1e-3, 5: 1e-2, 6: 1.0, 13: 1e-6}

# Ends nearer than this are one point; curves are drawn in chords this near to them [m].
JOINED, CHORD = 0.02e-3, 0.002e-3

# Blocks within blocks beyond which a drawing is not read.
DEEPEST = 8

NEEDS = "needs the reader of drawings, which is not installed; install it with pip install 'detentsim[cad]'"


def read_loops(path: Path, unit: str = "", layer: str = "") -> tuple[Loop, ...]:
    """Read a drawing: the largest loop is the outline, the others are holes, named after their layers.

    Parameters
    ----------
    path : Path
    unit : str
        ``mm`` or ``inch``; empty: what the drawing says.
    layer : str
        The one that counts; empty: all.

    Returns
    -------
    tuple of Loop

    Raises
    ------
    InputError
        Where the library is missing, or the file is no such drawing, says no unit, or its outlines are open.
    """
    try:
        changed = path.stat().st_mtime_ns
    except (OSError, ValueError):
        raise InputError(
            FIELD, str(path), f"{shown(str(path), 80)} cannot be read; give the path of a drawing, such as tang.dxf"
        ) from None
    return _read(path, changed, unit, layer)


@lru_cache(maxsize=8)
def _read(path: Path, changed: int, unit: str, layer: str) -> tuple[Loop, ...]:  # noqa: ARG001  (a key of the cache)
    drawing = _open(path)
    scale = _scale(drawing, unit)
    try:
        pieces = [p for entity in _entities(drawing.modelspace(), layer) for p in _pieces(entity, scale)]
    except InputError:
        raise
    except Exception:  # the library raises whatever it likes over a damaged file
        raise _no_drawing(path) from None
    if not pieces:
        where = f" on layer {shown(layer)}" if layer else ""
        text = f"{shown(str(path), 80)} holds no lines, arcs or curves{where}; draw the tang's outline in model space"
        raise InputError(FIELD, str(path), text)
    if len(pieces) > MOST:
        text = f"{shown(str(path), 80)} has {len(pieces)} edges; at most {MOST}: leave in the tang alone"
        raise InputError(FIELD, str(path), text)
    return _named(sorted(_closed(pieces), key=lambda loop: -abs(area(polyline(loop)[0]))))


def _open(path: Path) -> Any:
    try:
        library = import_module("ezdxf")
    except ImportError:
        raise InputError(FIELD, str(path), f"{shown(str(path), 80)} {NEEDS}") from None
    try:
        return library.readfile(path)
    except Exception:  # as above
        raise _no_drawing(path) from None


def _no_drawing(path: Path) -> InputError:
    text = f"{shown(str(path), 80)} is no DXF drawing, or a damaged one; save it again as DXF from the drawing program"
    return InputError(FIELD, str(path), text)


def _scale(drawing: Any, unit: str) -> float:
    """Metres in a unit of the drawing."""
    if unit:
        return 0.0254 if unit == "inch" else 1e-3
    said = int(drawing.header.get("$INSUNITS", 0))
    if said not in UNITS:
        text = 'the drawing does not say its unit; write dxf_unit = "mm" or "inch"'
        raise InputError("layout.dxf_unit", said, f"is missing: {text}")
    return UNITS[said]


def _entities(space: Any, layer: str, depth: int = 0, parent: str = "") -> Iterator[Any]:
    """Curves of a space, those inside blocks too; what lies on layer 0 of a block takes the block's own layer."""
    for entity in space:
        if entity.dxf.layer == "0" and parent:
            entity.dxf.layer = parent
        if entity.dxftype() == "INSERT" and depth < DEEPEST:
            yield from _entities(entity.virtual_entities(), layer, depth + 1, entity.dxf.layer)
        elif entity.dxftype() in ("LWPOLYLINE", "POLYLINE"):
            yield from (e for e in entity.virtual_entities() if _counts(e, layer))
        elif _counts(entity, layer):
            yield entity


def _counts(entity: Any, layer: str) -> bool:
    drawn = entity.dxftype() in ("LINE", "ARC", "CIRCLE", "SPLINE", "ELLIPSE")
    return drawn and (not layer or entity.dxf.layer.lower() == layer.lower())


def _pieces(entity: Any, scale: float) -> list[Piece]:
    """Edges of one curve, in plan [m]."""
    kind, called = entity.dxftype(), "" if entity.dxf.layer == "0" else entity.dxf.layer.lower()[:40]

    def point(vertex: Any) -> Point:
        return float(vertex[0]) * scale, float(vertex[1]) * scale

    if kind == "CIRCLE":
        start, middle = (point(v) for v in entity.vertices([0, 180]))
        centre = ((start[0] + middle[0]) / 2, (start[1] + middle[1]) / 2)
        return [Piece(start, start, centre, 2 * math.pi, called, math.nan)]
    if kind == "ARC":
        turn = (entity.dxf.end_angle - entity.dxf.start_angle) % 360 or 360.0
        parts = [point(v) for v in entity.vertices([entity.dxf.start_angle + turn * part for part in (0, 0.5, 1)])]
        centre, sweep = arc_through(parts[0], parts[1], parts[2], FIELD)
        return [Piece(parts[0], parts[2], centre, sweep, called, math.nan)]
    ends = [entity.dxf.start, entity.dxf.end] if kind == "LINE" else list(entity.flattening(CHORD / scale))
    spots = [point(v) for v in ends]
    return [Piece(a, b, a, 0.0, called, math.nan) for a, b in pairwise(spots) if math.dist(a, b) > 1e-9]


def _closed(pieces: list[Piece]) -> Iterator[Loop]:
    """Join edges end to end into closed loops."""
    left = [p for p in pieces if p.start != p.end]
    yield from (Loop((p,), p.called) for p in pieces if p.start == p.end)
    while left:
        chain = [left.pop()]
        while math.dist(chain[-1].end, chain[0].start) > JOINED:
            chain.append(_next(left, chain[-1].end))
        yield need_simple(Loop(tuple(_joined(chain)), ""), FIELD)


def _next(left: list[Piece], end: Point) -> Piece:
    """Take the edge that begins or ends where the last one ended, turned round where need be."""
    gaps = np.array([[math.dist(end, p.start), math.dist(end, p.end)] for p in left]).reshape(-1, 2)
    if not gaps.size or gaps.min() > JOINED:
        x, y = (f"{1e3 * part:.3f} mm" for part in end)
        far = f", the nearest end is {1e3 * gaps.min():.3g} mm off" if gaps.size else ""
        text = f"an outline is open at ({x}, {y}): no other edge ends there{far}; close it in the drawing"
        raise InputError(FIELD, None, text)
    at, turned = np.unravel_index(int(gaps.argmin()), gaps.shape)
    found = left.pop(int(at))
    return found if not turned else found._replace(start=found.end, end=found.start, sweep=-found.sweep)


def _joined(chain: list[Piece]) -> Iterator[Piece]:
    """Edges of a chain, each starting exactly where the one before ends."""
    for before, piece in zip([chain[-1], *chain[:-1]], chain, strict=True):
        yield piece._replace(start=before.end, centre=before.end if piece.sweep == 0 else piece.centre)


def _named(loops: list[Loop]) -> tuple[Loop, ...]:
    """The outline first, then holes by the layer they lie on, else numbered."""
    outline, *holes = loops
    named = [Loop(outline.pieces, "outline")]
    for number, hole in enumerate(holes, start=1):
        layers = {piece.called for piece in hole.pieces}
        called = next(iter(layers)) if len(layers) == 1 else ""
        bare = tuple(piece._replace(called="") for piece in hole.pieces) if len(layers) == 1 else hole.pieces
        named.append(Loop(bare, called or f"hole {number}"))
    return tuple(named)
