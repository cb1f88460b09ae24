"""Where the values that a build is computed with come from: tables of materials, drills and balls, and defaults."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from detentsim.knife.record.fields import COATS
from detentsim.knife.table.schema import INPUTS
from detentsim.knife.table.typed_units import text_in
from detentsim.knife.table.value import SHOWN_UNITS
from detentsim.shop.balls import find_ball
from detentsim.shop.drills import find_drill
from detentsim.shop.materials import Material, find_material
from detentsim.units.numbers import digits
from detentsim.units.quantities import factor

if TYPE_CHECKING:
    from collections.abc import Iterator

    from detentsim.knife.model import Build
    from detentsim.knife.table.value import Value
    from detentsim.units.systems import UnitSystem

# Factor from SI and unit of a material's properties, as the sources give them; a bare ratio has none.
_UNITS = {
    "youngs_modulus": (1e-9, "GPa"),
    "yield_strength": (1e-6, "MPa"),
    "ultimate_strength": (1e-6, "MPa"),
    "endurance_strength": (1e-6, "MPa"),
    "flexural_strength": (1e-6, "MPa"),
    "fracture_toughness": (1e-6, "MPa*m**0.5"),
    "hardness_hv": (1.0, "HV"),
    "density": (1.0, "kg/m**3"),
}

# What is computed with of each part's material.
_USED = {
    "bar": (
        "youngs_modulus",
        "poissons_ratio",
        "yield_strength",
        "ultimate_strength",
        "endurance_strength",
        "endurance_ratio",
        "mean_stress_share",
    ),
    "ball": ("youngs_modulus", "poissons_ratio", "fracture_toughness"),
    "tang": ("youngs_modulus", "poissons_ratio", "density"),
}

DRILLS = ("dimple.pilot_drill", "dimple.rim_drill", "ball.hole_drill")


@dataclass(frozen=True)
class Sourced:
    """A value that the computation uses, and where it comes from.

    Attributes
    ----------
    name : str
        Dotted name of an input, or a property of a part's material.
    value : str
        With its unit.
    source : str
    """

    name: str
    value: str
    source: str


def sources(build: Build) -> tuple[Sourced, ...]:
    """Sources of the values that a build takes from tables and defaults, and does not state itself.

    Parameters
    ----------
    build : Build
        With the sections of a curve.

    Returns
    -------
    tuple of Sourced
        Materials, then stock sizes, then defaults; inputs marked assumed are left out, since a curve lists them.

    Examples
    --------
    >>> from detentsim.knife.packaged import demo
    >>> [one.name for one in sources(demo())][:2]
    ['bar.youngs_modulus', 'bar.poissons_ratio']
    """
    return (*_materials(build), *_stock(build), *_defaults(build))


def _materials(build: Build) -> Iterator[Sourced]:
    for part, properties in _USED.items():
        material = find_material(build.word(f"{part}.material"), part, f"{part}.material")
        for key in properties:
            name = f"{part}.{key}"
            stated = name in build.values and build.values[name].given
            if not stated and key in material.sources and getattr(material, key) is not None:
                yield Sourced(name, f"{_amount(material, key, build.units)} ({material.name})", material.sources[key])
    if build.values["tang.hardness"].given and "HRC" in build.word("tang.hardness"):
        vickers = f"{build.si('tang.hardness'):.0f} HV"
        yield Sourced("tang.hardness", f"{build.word('tang.hardness')}, {vickers}", "ASTM E140 Table 1")


def _amount(material: Material, key: str, units: UnitSystem) -> str:
    scale, unit = _UNITS.get(key, (1.0, ""))
    number, shown = units.pair(getattr(material, key) * scale, unit)
    return f"{digits(number, 4) if shown != unit else f'{number:.4g}'} {shown}".rstrip()


def _stock(build: Build) -> Iterator[Sourced]:
    for name in DRILLS:
        if name in build.values and math.isfinite(build.si(name)):
            drill = find_drill(build.word(name), name)
            yield Sourced(name, f"{drill.name}{_size(drill.name, drill.diameter, build.units)}", drill.source)
    ball = find_ball(build.word("ball.diameter"), "ball.diameter")
    yield Sourced("ball.diameter", f"{ball.name}{_size(ball.name, ball.diameter, build.units)}", ball.source)


def _default(value: Value, units: UnitSystem) -> str:
    sized = value.kind in SHOWN_UNITS and math.isfinite(value.si)
    return text_in(units, value.si, value.kind) if sized else value.text


def _size(name: str, metres: float, units: UnitSystem) -> str:
    """The size behind a shop name, where the name does not say it."""
    unit = "thou" if units.length == "in" else "mm"
    return "" if name.endswith(f" {unit}") else f", {metres / factor(unit):.5g} {unit}"


def _defaults(build: Build) -> Iterator[Sourced]:
    coated = any(build[name] is not None for name in COATS)
    idle = ("pivot.seats",) * (not coated) + ("pivot.washer_contact",) * (build["pivot.washer_outer"] is None)
    for name, value in build.values.items():
        unused = name in ("units", "stock") or (name.startswith("clip.") and not build.has("clip")) or name in idle
        if not value.given and not unused and name not in build.assumed and INPUTS[name].source:
            yield Sourced(name, _default(value, build.units), INPUTS[name].source)
