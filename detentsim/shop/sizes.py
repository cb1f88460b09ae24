"""Shop tables as rows in inch and mm, ready to print.

Uses `drills`, `balls` and `materials`; the command ``sizes`` prints what it returns.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from detentsim.shop.balls import balls, find_ball
from detentsim.shop.drills import Drill, drills, find_drill
from detentsim.shop.friction import FrictionState, friction_states
from detentsim.shop.materials import Material, materials
from detentsim.shop.stock import Stock
from detentsim.shop.tables import INCH, MILLIMETRE, split_at
from detentsim.units.errors import InputError
from detentsim.units.wording import shown

Cell = str | float | None
Row = tuple[Cell, ...]

_MPA, _GPA = 1e6, 1e9

_DRILL_HEADER = ("name", "series", "diameter_in", "diameter_mm", "source")

_BALL_HEADER = ("name", "diameter_in", "diameter_mm", "source")

_MATERIAL_HEADER = (
    "name",
    "roles",
    "youngs_modulus_GPa",
    "poissons_ratio",
    "yield_MPa",
    "ultimate_MPa",
    "endurance_MPa",
    "flexural_MPa",
    "hardness_HV",
    "density_kg_m3",
    "bend_radius_x_thickness",
    "strengths_are",
    "condition",
    "source",
)

_FRICTION_HEADER = ("state", "sliding", "sliding_low", "sliding_high", "at_rest", "rest_low", "rest_high", "source")


@dataclass(frozen=True)
class SizeTable:
    """A heading and rows.

    Parameters
    ----------
    header : tuple of str
        Column names with their units.
    rows : tuple of tuples
        Text, numbers, or None where there is no value.
    """

    header: tuple[str, ...]
    rows: tuple[Row, ...]

    def as_dicts(self) -> list[dict[str, Cell]]:
        """Return the rows by column name, ready for JSON.

        Returns
        -------
        list of dict
            One for each row.

        Examples
        --------
        >>> SizeTable(("name",), (("#49",),)).as_dicts()
        [{'name': '#49'}]
        """
        return [dict(zip(self.header, row, strict=True)) for row in self.rows]


def table(kind: str) -> SizeTable:
    """Return one of the shop tables.

    Parameters
    ----------
    kind : str
        ``drills``, ``balls``, ``materials`` or ``friction``.

    Returns
    -------
    SizeTable
        Sizes in inch and mm, sources last.

    Raises
    ------
    InputError
        For another kind.

    Examples
    --------
    >>> table("balls").rows[4][:3]
    ('1/16 in', 0.0625, 1.5875)
    """
    if kind not in _TABLES:
        raise InputError("sizes", kind, f"{shown(kind)} is not a table; choose drills, balls, materials or friction")
    header, rows = _TABLES[kind]
    return SizeTable(header, tuple(rows()))


def near(kind: str, text: str, n: int = 3) -> SizeTable:
    """Return the table rows of the sizes next to a given one.

    Parameters
    ----------
    kind : str
        ``drills`` or ``balls``.
    text : str
        A length with its unit, or for drills a shop size.
    n : int
        Number of sizes on each side.

    Returns
    -------
    SizeTable
        As `table`, with the difference from the given size in thou and mm.

    Raises
    ------
    InputError
        For another kind, a text that is no size, or a size more than twice the largest or less than half the smallest.

    Examples
    --------
    >>> [row[0] for row in near("drills", "1.45 mm", 1).rows]
    ['1.4 mm', '1.45 mm', '1.5 mm']
    """
    if kind not in _SIZED:
        raise InputError("--near", kind, f"there are no sizes in the table {kind}; ask for the nearest drills or balls")
    find, sized, row = _SIZED[kind]
    diameter = find(text, "--near").diameter
    _check_range(kind, text, diameter, sized())
    found = [(row(item), item.diameter) for part in split_at(sized(), diameter, n) for item in part]
    header = table(kind).header
    rows = tuple((*cells[:-1], *_step(size - diameter), cells[-1]) for cells, size in found)
    return SizeTable((*header[:-1], "difference_thou", "difference_mm", header[-1]), rows)


def _check_range(kind: str, text: str, diameter: float, sizes: Sequence[Any]) -> None:
    """Refuse a size to which no size of a table is near."""
    first, last = sizes[0], sizes[-1]
    if not first.diameter / 2 <= diameter <= 2 * last.diameter:
        low, high = (f"{one.diameter / MILLIMETRE:.4g} mm ({one.diameter / INCH:.3f} in)" for one in (first, last))
        advice = f'the {kind} here run from {low} to {high}; ask for a size near those, such as "1.5 mm"'
        raise InputError("--near", text, f"{shown(text)} has none near it; {advice}")


def _step(difference: float) -> tuple[float, float]:
    """Return a difference of sizes in thou and mm."""
    return round(difference / INCH * 1000, 3), round(difference / MILLIMETRE, 6)


def _inch_and_mm(size: float) -> tuple[float, float]:
    """Return a size in inch and mm, rounded to more digits than any table prints."""
    return round(size / INCH, 6), round(size / MILLIMETRE, 6)


def _drill_row(drill: Drill) -> Row:
    """Return one drill as a row."""
    return drill.name, drill.series, *_inch_and_mm(drill.diameter), drill.source


def _ball_row(ball: Stock) -> Row:
    """Return one ball as a row."""
    return ball.name, *_inch_and_mm(ball.diameter), ball.source


def _material_row(material: Material) -> Row:
    """Return one material as a row."""
    strengths = (
        material.yield_strength,
        material.ultimate_strength,
        material.endurance_strength,
        material.flexural_strength,
    )
    bend = " / ".join(f"{times:g} (to {up_to / MILLIMETRE:g} mm)" for up_to, times in material.bend_radii)
    return (
        material.name,
        ", ".join(material.roles),
        _scaled(material.youngs_modulus, _GPA),
        material.poissons_ratio,
        *(_scaled(strength, _MPA) for strength in strengths),
        _scaled(material.hardness_hv, 1.0),
        material.density,
        bend or None,
        _kinds(material) or None,
        material.condition,
        material.source,
    )


def _friction_row(state: FrictionState) -> Row:
    """Return one state of friction as a row."""
    return state.name, state.sliding, *state.band, state.at_rest, *state.rest_band, state.source


def _kinds(material: Material) -> str:
    """Return which strengths are minimum, typical or by a rule, as words."""
    found: dict[str, list[str]] = {}
    for name, kind in material.kinds.items():
        found.setdefault(kind, []).append(name.removesuffix("_strength"))
    return "; ".join(f"{kind}: {', '.join(names)}" for kind, names in found.items())


def _scaled(value: float | None, unit: float) -> float | None:
    """Return a value counted in a unit, rounded beyond its last known digit."""
    return None if value is None else round(value / unit, 1)


_SIZED: dict[str, tuple[Callable[[object, str], Any], Callable[[], Sequence[Any]], Callable[[Any], Row]]] = {
    "drills": (find_drill, drills, _drill_row),
    "balls": (find_ball, balls, _ball_row),
}

_TABLES: dict[str, tuple[tuple[str, ...], Callable[[], Iterable[Row]]]] = {
    "drills": (_DRILL_HEADER, lambda: map(_drill_row, drills())),
    "balls": (_BALL_HEADER, lambda: map(_ball_row, balls())),
    "materials": (_MATERIAL_HEADER, lambda: map(_material_row, materials())),
    "friction": (_FRICTION_HEADER, lambda: map(_friction_row, friction_states().values())),
}
