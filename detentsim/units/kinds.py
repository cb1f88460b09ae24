"""The kinds of input and the unit names each may be written in.

Data alone, and stands alone: dimensions and factors come from this table, so that reading a build and writing its
report need no unit registry. A test holds the factors against pint.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from detentsim.units.grammar import Terms

Dimensions = tuple[int, int, int, int]
"""Powers of length, mass, time, angle. Angle counts here, though pint calls it dimensionless."""


@dataclass(frozen=True)
class Unit:
    """One unit name: its name in pint, its size in the SI unit of its group, that unit, and its dimensions."""

    pint_name: str
    factor: float
    si: str
    group: str
    dimensions: Dimensions


def _group(group: str, si: str, dimensions: Dimensions, names: str) -> dict[str, Unit]:
    """Return the units of one group from words ``size: name name=pint_name``, in SI units."""
    units, size = {}, 1.0
    for word in names.split():
        if word.endswith(":"):
            size = float(word[:-1])
            continue
        name, _, other = word.partition("=")
        units[name] = Unit(other or name, size, si, group, dimensions)
    return units


UNITS: dict[str, Unit] = (
    _group(
        "length",
        "m",
        (1, 0, 0, 0),
        "1e-3: mm 1e-2: cm 1: m 0.0254: in inch inches=inch 2.54e-5: thou mil=thou mils=thou "
        "1e-6: um µm=um μm=um micron 0.3048: ft",
    )
    | _group(
        "angle",
        "rad",
        (0, 0, 0, 1),
        "0.017453292519943295: deg degree degrees=degree °=degree 1: rad 1e-3: mrad "
        "2.908882086657216e-4: arcmin 4.84813681109536e-6: arcsec 6.283185307179586: turn",
    )
    | _group(
        "force",
        "N",
        (1, 1, -2, 0),
        "1: N 1e-3: mN 1e3: kN 4.4482216152605: lbf 0.27801385095378125: ozf 9.80665e-3: gf=gram_force 9.80665: kgf",
    )
    | _group(
        "stress",
        "Pa",
        (-1, 1, -2, 0),
        "1e6: MPa 1e9: GPa 1e3: kPa 1: Pa 6894757.293168361: ksi 6894.757293168361: psi",
    )
    | _group("mass", "kg", (0, 1, 0, 0), "1e-3: g gram grams=gram 1: kg 1e-6: mg 0.45359237: lb 0.028349523125: oz")
    | _group("time", "s", (0, 0, 1, 0), "1: s 1e-3: ms 60: min")
    | _group("energy", "J", (2, 1, -2, 0), "1: J 1e-3: mJ")
)
"""Every unit name understood, in text and in results."""


@dataclass(frozen=True)
class Kind:
    """A kind of input.

    Parameters
    ----------
    name : str
        Key in `KINDS`.
    unit : str
        SI unit, as pint and `factor` read it.
    units : tuple of str
        Unit names allowed in the text.
    example : str
        A valid text.
    called : str
        Name of the kind with its article, for messages.
    dimensions : tuple of int
        Powers of length, mass, time and angle.
    shown_units : str
        The most common units, for messages.
    """

    name: str
    unit: str
    units: tuple[str, ...]
    example: str
    called: str
    dimensions: Dimensions
    shown_units: str


def _names(*groups: str) -> tuple[str, ...]:
    """Return the unit names of some groups."""
    return tuple(name for name, unit in UNITS.items() if unit.group in groups)


def _kind(
    name: str, called: str, unit: str, dimensions: Dimensions, example: str, groups: str, shown_units: str
) -> Kind:
    """Return a kind with the unit names of some groups."""
    return Kind(name, unit, _names(*groups.split()), example, called, dimensions, shown_units)


def dimensions_of(terms: Terms) -> Dimensions:
    """Return the dimensions of a product of known units.

    Parameters
    ----------
    terms : Terms
        Names of `UNITS` with exponents.

    Returns
    -------
    tuple of int
        Powers of length, mass, time and angle.

    Examples
    --------
    >>> dimensions_of((("N", 1), ("mm", -1)))
    (0, 1, -2, 0)
    """
    rows = (tuple(power * n for n in UNITS[name].dimensions) for name, power in terms)
    length, mass, time, angle = (sum(column) for column in zip(*rows, strict=True))
    return length, mass, time, angle


KINDS: dict[str, Kind] = {
    kind.name: kind
    for kind in (
        _kind("length", "a length", "m", (1, 0, 0, 0), "3.0 mm", "length", "mm, cm, m, in, thou ..."),
        _kind("angle", "an angle", "rad", (0, 0, 0, 1), "0.5 deg", "angle", "deg, rad, mrad, arcmin ..."),
        _kind("force", "a force", "N", (1, 1, -2, 0), "5 N", "force", "N, mN, lbf, ozf, gf ..."),
        _kind(
            "stress",
            "a stress",
            "Pa",
            (-1, 1, -2, 0),
            "114 GPa",
            "stress force length",
            "MPa, GPa, psi, ksi, N/mm**2 ...",
        ),
        _kind("mass", "a mass", "kg", (0, 1, 0, 0), "38 g", "mass", "g, kg, mg, oz, lb"),
        _kind(
            "density",
            "a density",
            "kg/m**3",
            (-3, 1, 0, 0),
            "4430 kg/m**3",
            "mass length",
            "kg/m**3, g/cm**3, lb/in**3 ...",
        ),
        _kind("torque", "a torque", "N*m", (2, 1, -2, 0), "4 N*mm", "force length", "N*mm, N*m, lbf*in, ozf*in ..."),
        _kind("energy", "an energy", "J", (2, 1, -2, 0), "2 mJ", "energy force length", "mJ, J, N*mm, N*m ..."),
        _kind("stiffness", "a stiffness", "N/m", (0, 1, -2, 0), "3 N/mm", "force length", "N/mm, N/m, lbf/in ..."),
        _kind("inertia", "an inertia", "kg*m**2", (2, 1, 0, 0), "90 kg*mm**2", "mass length", "kg*mm**2, g*mm**2 ..."),
        _kind("speed", "a speed", "m/s", (1, 0, -1, 0), "1.5 m/s", "length time", "m/s, mm/s, in/s ..."),
        _kind(
            "angular speed", "an angular speed", "rad/s", (0, 0, -1, 1), "20 rad/s", "angle time", "rad/s, deg/s ..."
        ),
        _kind("time", "a time", "s", (0, 0, 1, 0), "0.5 s", "time", "s, ms, min"),
        _kind("ratio", "a plain number", "", (0, 0, 0, 0), "0.12", "", ""),
    )
}
"""Kinds of input and of wanted results, by name."""

_SPELLINGS = {"Nmm": "N*mm", "Nm": "N*m", "inlb": "lbf*in", "inlbf": "lbf*in", "lbs": "lb", "pound": "lb"}

_WORDS = {
    "millimetre": "mm", "millimeter": "mm", "centimetre": "cm", "centimeter": "cm", "metre": "m", "meter": "m",
    "micron": "um", "micrometre": "um", "micrometer": "um", "thousandth": "thou",
    "radian": "rad", "newton": "N", "newtonmeter": "N*m", "newtonmetre": "N*m",
    "kilogram": "kg", "kilogramme": "kg", "gramme": "g", "milligram": "mg", "ounce": "oz", "pound": "lb",
    "pascal": "Pa", "megapascal": "MPa", "gigapascal": "GPa", "joule": "J", "millijoule": "mJ", "second": "s",
}  # fmt: skip
"""Names of units in full, singular, and what to write."""

_LONGEST_NAME = 24


def unknown_hint(name: str) -> str:
    """Return the message for an unknown unit name, with the right spelling where there is one.

    Parameters
    ----------
    name : str
        A name not in `UNITS`.

    Returns
    -------
    str
        The middle of a sentence.

    Examples
    --------
    >>> unknown_hint("MPA")
    'has the unknown unit MPA; did you mean MPa'
    >>> unknown_hint("Millimetres")
    'has the unknown unit Millimetres; did you mean mm'
    """
    cut = name if len(name) <= _LONGEST_NAME else name[: _LONGEST_NAME - 3] + "..."
    whole = name.lower().removesuffix("s")
    near = _SPELLINGS.get(name) or next((known for known in UNITS if known.lower() == name.lower()), None)
    near = near or _WORDS.get(whole)
    return f"has the unknown unit {cut}" + (f"; did you mean {near}" if near else "")
