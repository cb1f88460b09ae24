"""Layout as text for the bench, as a JSON document, and its map of places as a table."""

from __future__ import annotations

from dataclasses import asdict
from typing import TYPE_CHECKING, Any

import numpy as np

from detentsim.analysis.results import table_rows
from detentsim.show.one_build.layout.words import (
    best_words,
    hole_words,
    overclose_words,
    pin_words,
    place_words,
    way_words,
)
from detentsim.show.theme.rows import build_rows, summary_lines, summary_row, title_lines
from detentsim.show.theme.tables import first_that_fits, records_csv, report_of, table_lines, wrap, wrap_all

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from detentsim.analysis.one_build.layout.clearances import Clearance
    from detentsim.analysis.one_build.layout.layout import Layout
    from detentsim.analysis.one_build.layout.places import Place
    from detentsim.analysis.one_build.summary import Summary

# Rows of the table of distances in the short report, and whether clamp and other places are told; less where the
# verdict is long.
SHOWN = ((6, True), (4, True), (3, True), (2, True), (1, True), (4, False), (2, False), (1, False), (0, False))

EVERY = 1000


def layout_report(found: Layout, checked: Summary, where_from: str = "", full: bool = False) -> str:
    """Text of the layout: the verdict, the ball's way, distances, over-close, the best place.

    Parameters
    ----------
    found : Layout
    checked : Summary
        Verdict on the same build.
    where_from : str
        A first line saying where the build comes from; left out when empty.
    full : bool
        Whether to list every edge, and what is left out.

    Returns
    -------
    str
        Lines up to 96 characters, in the units of the build.
    """
    untold = [one for one in found.faults if one.words not in checked["layout"].words]
    told = [one.words for one in untold if full or one.state == "bad"]
    head = [*title_lines(found.build.name, where_from), *summary_lines(checked), *wrap_all(told)]
    if full:
        rest = [["What this leaves out", *wrap(LEFT_OUT)]]
        return report_of([head, *_parts(found, EVERY), *rest])
    return first_that_fits(report_of([head, *_parts(found, *shown)]) for shown in SHOWN)


LEFT_OUT = (
    "The tang is flat and the bar square to its edge; the ball's contact is a point. A chamfer is taken at 45 degrees. "
    "The stop pin's track is where the pin passes, whether or not the tang has metal there. On the map all other sizes "
    "of the build stay; the bar is as stiff as it is at the ball's new place."
)


def _parts(found: Layout, rows: int, whole: bool = True) -> list[list[str]]:
    parts = [["The ball's way over the tang", *wrap_all([place_words(found), way_words(found)])]]
    if rows:
        parts.append(["Least distances, the tightest first", *_distances(found, rows)])
    if not whole:
        return [*parts, ["Over-close at the clamp and other places on the bar: --full."]]
    return [
        *parts,
        ["On the bar and at the clamp", *wrap_all([hole_words(found), pin_words(found), overclose_words(found)])],
        ["Other places on the bar", *wrap_all([best_words(found)])],
    ]


def tightest(clearances: Iterable[Clearance]) -> list[Clearance]:
    """Clearances, the least of flat and rim first.

    Parameters
    ----------
    clearances : iterable of Clearance
    """
    return sorted(clearances, key=lambda c: min(c.rim_to_chamfer, np.inf if c.leaves else c.flat))


def distance_rows(found: Layout) -> tuple[tuple[str, ...], tuple[tuple[str, ...], ...]]:
    """Heading and rows of the distances to each edge and hole, the tightest first."""
    size = found.build.units.size
    header = ("edge or hole", "ball's contact", "at blade angle", "its flat", "dimple's rim", "to the chamfer")
    return header, tuple(
        (
            c.name,
            size(c.contact),
            f"{c.angle:.0f} deg{', drops off' if c.leaves else ''}",
            size(c.flat),
            size(c.rim),
            size(c.rim_to_chamfer),
        )
        for c in tightest(found.clearances)
    )


def _distances(found: Layout, rows: int) -> list[str]:
    header, cells = distance_rows(found)
    more = len(cells) - rows
    return [*table_lines(header, cells[:rows]), *([f"  {more} more lie farther off: --full."] if more > 0 else [])]


def layout_document(found: Layout, checked: Summary) -> dict[str, Any]:
    """Everything the layout knows, ready for JSON.

    Parameters
    ----------
    found : Layout
    checked : Summary
        Verdict on the same build.

    Returns
    -------
    dict
        Keys ``build demo verdict sound faults ball way clearances walls pin overclose places``. Lengths are in mm,
        angles in deg, torque in N*mm, force in N.
    """
    return {
        "build": build_rows(found.build),
        "demo": found.build.demo,
        "verdict": summary_row(checked),
        "sound": found.sound,
        "faults": [asdict(fault) for fault in found.faults],
        "ball": _ball(found),
        "way": [asdict(drop) for drop in found.drops],
        "sinks_at_most": found.sinks,
        "dimple": {
            "x": float(found.rim.centre[0]) * 1e3,
            "y": float(found.rim.centre[1]) * 1e3,
            "rim_radius": found.rim.radius * 1e3,
        },
        "clearances": [asdict(clearance) for clearance in found.clearances],
        "walls": [asdict(wall) for wall in found.walls],
        "pin": None if found.pin is None else asdict(found.pin),
        "overclose": [asdict(reading) for reading in found.overclose],
        "places": {"here": _place(found.places.here), "best": _place(found.places.best)},
    }


def _ball(found: Layout) -> dict[str, float]:
    s = found.section
    return {
        "from_lock_face": s.from_lock_face * 1e3,
        "from_edge": s.from_edge * 1e3,
        "pivot_to_ball": found.ride.radius * 1e3,
        "travel_angle": float(np.degrees(s.travel_angle)),
        "ball_from_root": found.build.si("bar.ball_from_root") * 1e3,
    }


def _place(place: Place | None) -> dict[str, Any] | None:
    return None if place is None else place._asdict()


def places_csv(found: Layout) -> Iterator[str]:
    """The map of places as a CSV table, a row for each place.

    Parameters
    ----------
    found : Layout
    """
    p = found.places
    x, y = np.meshgrid(p.from_lock_face, p.from_edge)
    columns = {
        "from_lock_face_mm": x,
        "from_edge_mm": y,
        "radius_mm": p.radius,
        "torque_at_the_same_force_Nmm": p.torque,
        "breakout_force_N": p.breakout,
        "margin_mm": p.margin,
        "feasible": p.margin > 0,
        "wanted": p.wanted,
    }
    return records_csv(table_rows(columns))
