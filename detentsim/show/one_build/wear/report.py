"""Wear-in of a build as text for the bench, as a JSON document and as a table."""

from __future__ import annotations

from dataclasses import asdict
from functools import partial
from typing import TYPE_CHECKING, Any

from detentsim.analysis.missing import why_missing
from detentsim.analysis.one_build.wear.allowance import BAND
from detentsim.analysis.results import heading
from detentsim.knife.outcomes import FLAGS, RESULTS, label
from detentsim.mechanics.contact.coining.wearing import WEAR
from detentsim.show.one_build.feel_curve.report import grip_words
from detentsim.show.theme.rows import (
    build_rows,
    check_lines,
    finite,
    finite_lists,
    result_row,
    summary_row,
    title_lines,
)
from detentsim.show.theme.tables import csv_text, report_of, table_lines, wrap, wrap_all
from detentsim.units.numbers import digits

if TYPE_CHECKING:
    from detentsim.analysis.one_build.wear.stages import Edge, Stage
    from detentsim.analysis.one_build.wear.worn_in import WornIn

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
    head = [*title_lines(w.build.name, where_from), *wrap(w.summary.words, ""), *check_lines(w.summary, full)]
    head += wrap_all([w.advice, grip_words(w.build)], "")
    if w.untold is not None:
        return report_of([head])
    edges = wrap_all(_edge_words(w, edge) for edge in w.edges) if full else []
    sources = wrap(SOURCES, "") if full else []
    flags, left_out = wrap_all(new_flags(w)), wrap(LEFT_OUT, "")
    return report_of([head, _side_by_side(w), wrap(BAND, ""), flags, edges, left_out, sources])


def _side_by_side(w: WornIn) -> list[str]:
    stages = columns(w)
    rows = ((words, *(_cell(w, name, held) for held in stages.values())) for name, words in shown_rows(w).items())
    return table_lines(("after openings", *stages), tuple(rows), "")


def columns(w: WornIn) -> dict[str, tuple[str, ...]]:
    """Stages that stand in each column of the table, one or the least and the most wear, by the column's head.

    Parameters
    ----------
    w : WornIn
    """
    heads: dict[str, tuple[str, ...]] = {"fresh": ("fresh",), "first": ("first openings",), "worn in": ("worn in",)}
    return heads | {f"{w.openings:,} {state}": (f"{state}, least", f"{state}, most") for state in WEAR}


def shown_rows(w: WornIn) -> dict[str, str]:
    """Words and unit of each row of the table, by the name of a result or of a radius.

    Parameters
    ----------
    w : WornIn
    """
    ends = w["fresh"].results, w["worn in"].results
    words = {name: label(name) for name in ends[0] if any(results[name] for results in ends)}
    words |= {edge.name: EDGES[edge.name] for edge in w.edges}
    return {name: f"{said} [{w.build.units.unit(unit_of(name))}]" for name, said in words.items()}


def unit_of(name: str) -> str:
    """Unit that a stage gives a result or a radius in."""
    return "mm" if name in EDGES else RESULTS[name].unit


def value_at(stage: Stage, name: str) -> float | None:
    """Result or radius of a stage; None where there is none."""
    return getattr(stage, name) if name in EDGES else stage.results[name]


def _cell(w: WornIn, name: str, stages: tuple[str, ...]) -> str:
    return " to ".join(dict.fromkeys(stage_words(w, name, stage) for stage in stages))


def stage_words(w: WornIn, name: str, stage: str) -> str:
    """Result or radius at a stage, in the build's units; three digits, for a change of a hundredth must show."""
    value = value_at(w[stage], name)
    return "none" if value is None else digits(value * w.build.units.scale(unit_of(name)), 3)


def new_flags(w: WornIn) -> list[str]:
    """Sentences on warnings that a later stage raises and the fresh knife does not.

    Parameters
    ----------
    w : WornIn
    """
    said: dict[str, str] = {}
    for stage in w.stages:
        for flag in stage.flags:
            if flag not in w["fresh"].flags:
                said.setdefault(flag, stage.name)
    return [f"{name.capitalize()}: {FLAGS[flag]} [{flag}]" for flag, name in said.items()]


def _edge_words(w: WornIn, edge: Edge) -> str:
    """One sentence on what an edge carries and withstands."""
    two_digits = w.build.units.two_digits
    first, ever = (two_digits(part, "MPa") for part in (edge.borne_first, edge.borne_for_ever))
    load = (
        "sharp as typed, flows at once"
        if edge.pressure is None
        else f"carries up to {two_digits(edge.pressure, 'MPa')}"
    )
    bears = f"it withstands {first} at first, {ever} in the long run"
    return f"The {EDGES[edge.name]}, {edge.angle:.0f} deg of metal, {load}; {bears}."


def worn_document(w: WornIn) -> dict[str, Any]:
    """Everything a wear-in knows, ready for JSON.

    Parameters
    ----------
    w : WornIn

    Returns
    -------
    dict
        Keys ``build verdict demo openings told why advice change direction fresh_wanted polished_first edges stages
        wear history band left_out sources``. Radii are in mm.
    """
    told, wanted = w.untold is None, w.fresh_wanted
    return {
        "build": build_rows(w.build),
        "verdict": summary_row(w.summary),
        "demo": w.build.demo,
        "openings": w.openings,
        "told": told,
        "why": w.untold,
        "advice": w.advice,
        "change": None if w.moves is None else dict(zip(("least", "most"), w.moves, strict=True)),
        "direction": w.direction,
        "fresh_wanted": None
        if wanted is None
        else dict(zip(("at_least", "at_most"), map(finite, wanted), strict=True)),
        "polished_first": None if w.polished is None else _polished_row(w.polished),
        "edges": [asdict(edge) for edge in w.edges],
        "stages": [_stage_row(stage) for stage in w.stages],
        "wear": {state: list(ends) for state, ends in WEAR.items()},
        "history": {name: finite_lists(values) for name, values in w.history.items()},
        "band": BAND,
        "left_out": LEFT_OUT,
        "sources": SOURCES,
    }


def _polished_row(other: WornIn) -> dict[str, Any]:
    """The knife with its edge rounded beforehand: radius, breakout, and what wear then changes."""
    fresh = other["fresh"]
    least, most = other.moves or (None, None)
    return {
        "edge_radius_mm": fresh.edge_radius,
        "breakout_force": result_row("breakout_force", fresh.results["breakout_force"], str),
        "change": {"least": least, "most": most},
    }


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
    results = [heading(name, RESULTS[name].unit) for name in w.stages[0].results]
    rows = ([one.name, one.edge_radius, one.inner_edge_radius, *one.results.values()] for one in w.stages)
    return csv_text(["stage", "edge_radius_mm", "inner_edge_radius_mm", *results], rows)
