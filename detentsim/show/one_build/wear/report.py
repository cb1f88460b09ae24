"""Wear-in of a build as text for the bench, as a JSON document and as a table."""

from __future__ import annotations

import csv
import io
from dataclasses import asdict
from functools import partial
from typing import TYPE_CHECKING, Any

from detentsim.analysis.results import why_missing
from detentsim.knife.outcomes import FLAGS, RESULTS, label
from detentsim.mechanics.contact.coining import WEAR
from detentsim.show.theme.rows import build_rows, check_lines, result_row, summary_row
from detentsim.show.theme.tables import report_of, table, wrap
from detentsim.units.numbers import digits

if TYPE_CHECKING:
    from detentsim.analysis.one_build.wear.worn_in import Edge, Stage, WornIn

EDGES = {"edge_radius": "dimple's edge", "inner_edge_radius": "edge between drills"}

LEFT_OUT = (
    "Left out: edges are rounded all round, though use rounds the side that the ball leaves over; the metal pushed "
    "aside adds no burr, and a typed one stays; a coat wears as the tang's metal does; friction stays as typed, though "
    "it falls as the surfaces polish; the ball is taken as harder than the tang and does not wear; what friction pulls "
    "along the edge adds no pressure."
)
"""What the numbers of a wear-in do not hold."""

SOURCES = (
    "Sources: indentation pressure from Vickers hardness (ISO 6507-1; Tabor), slip lines of a crushed wedge (Hill, "
    "Prandtl), shakedown of a sliding line contact (Johnson, Contact Mechanics, 9.2), wear by Archard (1953), its "
    "coefficients from memory: oiled 1e-7 to 1e-5, dry 1e-5 to 1.3e-4."
)
"""Where the numbers come from."""


def worn_report(w: WornIn, where_from: str = "", full: bool = False) -> str:
    """Text of a wear-in: what to do about it, and results fresh and worn in side by side.

    Parameters
    ----------
    w : WornIn
    where_from : str
        A first line saying where the build comes from; left out when empty.
    full : bool
        Whether to add pressures of the edges and sources.

    Returns
    -------
    str
        Lines up to 96 characters, in the units of the build.
    """
    head = [*([where_from] if where_from else []), w.build.name, *wrap(w.summary.words, "")]
    head += [*check_lines(w.summary, full), *wrap(w.advice, "")]
    grip = w.build["grip.force"]
    head += wrap(f"All of this with {grip.text} pressing the bar inward.", "") if grip is not None and grip.si else []
    if w.untold is not None:
        return report_of([head])
    flags = [line for words in _new_flags(w) for line in wrap(words)]
    edges = [line for edge in w.edges for line in wrap(edge_words(w, edge))] if full else []
    return report_of([head, _side_by_side(w), flags, edges, wrap(LEFT_OUT, ""), wrap(SOURCES, "") if full else []])


def _side_by_side(w: WornIn) -> list[str]:
    fresh = w["fresh"]
    heads = ("after openings", "fresh", "first", "worn in", *(f"{w.openings:,} {state}" for state in WEAR))
    names = [name for name in fresh.results if fresh.results[name] or w["worn in"].results[name]]
    rows = [(f"{label(name)} [{_unit(w, RESULTS[name].unit)}]", *_cells(w, name, RESULTS[name].unit)) for name in names]
    rows += [(f"{words} [{_unit(w, 'mm')}]", *_cells(w, name, "mm")) for name, words in EDGES.items() if _has(w, name)]
    return table(heads, tuple(rows)).splitlines()


def _has(w: WornIn, name: str) -> bool:
    return any(edge.name == name for edge in w.edges)


def _unit(w: WornIn, unit: str) -> str:
    return w.build.units.unit(unit)


def _value(stage: Stage, name: str) -> float | None:
    return getattr(stage, name) if name in EDGES else stage.results[name]


def _cells(w: WornIn, name: str, unit: str) -> list[str]:
    """Three digits each: a change of a hundredth must show."""
    one = [_number(w, _value(w[stage], name), unit) for stage in ("fresh", "first openings", "worn in")]
    pairs = [[_number(w, _value(w[f"{state}, {which}"], name), unit) for which in ("least", "most")] for state in WEAR]
    return [*one, *(low if low == high else f"{low} to {high}" for low, high in pairs)]


def _number(w: WornIn, value: float | None, unit: str) -> str:
    return "none" if value is None else digits(value * w.build.units.scale(unit), 3)


def _new_flags(w: WornIn) -> list[str]:
    """Sentences on warnings that a later stage raises and the fresh knife does not."""
    said: dict[str, str] = {}
    for stage in w.stages:
        for flag in stage.flags:
            if flag not in w["fresh"].flags:
                said.setdefault(flag, stage.name)
    return [f"{name.capitalize()}: {FLAGS[flag]} [{flag}]" for flag, name in said.items()]


def edge_words(w: WornIn, edge: Edge) -> str:
    """One sentence on what an edge carries and bears.

    Parameters
    ----------
    w : WornIn
    edge : Edge
    """
    two = w.build.units.two
    first, ever = (two(part, "MPa") for part in (edge.borne_first, edge.borne_for_ever))
    load = "sharp as typed, flows at once" if edge.pressure is None else f"carries up to {two(edge.pressure, 'MPa')}"
    return f"The {EDGES[edge.name]}, {edge.angle:.0f} deg of metal, {load}; it bears {first} at first, {ever} for ever."


def worn_document(w: WornIn) -> dict[str, Any]:
    """Everything a wear-in knows, ready for JSON.

    Parameters
    ----------
    w : WornIn

    Returns
    -------
    dict
        Keys ``build verdict demo openings told why advice change edges stages wear history left_out sources``.
    """
    told = w.untold is None
    return {
        "build": build_rows(w.build),
        "verdict": summary_row(w.summary),
        "demo": w.build.demo,
        "openings": w.openings,
        "told": told,
        "why": w.untold,
        "advice": w.advice,
        "change": None if w.moves is None else dict(zip(("least", "most"), w.moves, strict=True)),
        "edges": [asdict(edge) for edge in w.edges],
        "stages": [_stage_row(stage) for stage in w.stages],
        "wear": {state: list(ends) for state, ends in WEAR.items()},
        "history": {name: _plain(values) for name, values in w.history.items()},
        "left_out": LEFT_OUT,
        "sources": SOURCES,
    }


def _plain(values: Any) -> Any:
    """Nested lists of an array, with None for what is not a number."""
    return (
        [_plain(part) for part in values] if getattr(values, "ndim", 0) else float(values) if values == values else None
    )


def _stage_row(stage: Stage) -> dict[str, Any]:
    why = partial(why_missing, flags=stage.flags)
    results = {name: result_row(name, value, why) for name, value in stage.results.items()}
    radii = {"edge_radius_mm": stage.edge_radius, "inner_edge_radius_mm": stage.inner_edge_radius}
    return {"stage": stage.name} | radii | {"results": results, "flags": list(stage.flags)}


def worn_csv(w: WornIn) -> str:
    """Text of a table with a row for each stage: radii and results, an empty cell where there is none.

    Parameters
    ----------
    w : WornIn
    """
    from detentsim.analysis.results import heading

    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    names = list(w.stages[0].results)
    writer.writerow(["stage", "edge_radius_mm", "inner_edge_radius_mm", *(heading(n, RESULTS[n].unit) for n in names)])
    for stage in w.stages:
        values = [stage.edge_radius, stage.inner_edge_radius, *stage.results.values()]
        writer.writerow([stage.name, *("" if value is None else repr(value) for value in values)])
    return out.getvalue()
