"""Materials for bar, ball and tang, with the source of every number."""

from __future__ import annotations

import difflib
import functools
import re
import tomllib
from dataclasses import dataclass, field
from typing import Any

from detentsim.shop.hardness import hrc_to_hv, yield_from_hardness
from detentsim.shop.tables import MILLIMETRE, read_text
from detentsim.units.errors import InputError
from detentsim.units.wording import shown

_FACTORS = {"GPa": 1e9, "MPa": 1e6, "MPa_sqrt_m": 1e6, "kg_m3": 1.0, "value": 1.0, "HV": 1.0}

_FIELDS = {"hardness": "hardness_hv"}


@dataclass(frozen=True)
class Material:
    """A material; a property is None where it does not apply or has no published value.

    Parameters
    ----------
    name : str
        As in build files.
    aliases : tuple of str
        Other names understood.
    roles : tuple of str
        ``bar``, ``ball``, ``tang``.
    condition : str
        Temper or heat treatment the numbers belong to.
    youngs_modulus, poissons_ratio : float
        E [Pa], nu.
    yield_strength, ultimate_strength, endurance_strength, flexural_strength : float or None
        [Pa]. Endurance: largest stress of a cycle endured ten million times. Flexural: ceramics only.
    endurance_ratio : float
        Smallest over largest stress of that cycle; -1 (fully reversed) where its source does not say.
    mean_stress_share : float
        Part of the ultimate strength to which the line of endured mean stress is drawn; 1 is Goodman's.
    fracture_toughness : float or None
        K_Ic [Pa m^0.5]; ceramics only.
    hardness_hv : float or None
        Vickers number.
    density : float
        [kg/m3].
    bend_radii : tuple of (float, float)
        Thickness up to [m], and the least inside bend radius as a multiple of thickness (ASTM B265).
    bands : dict
        Property to (low, high), same units: the spread of published values.
    sources : dict
        Property to source, ``from memory`` where the source was not at hand.
    kinds : dict
        Strength to ``minimum`` (the least a specification allows), ``typical`` (what stock usually has) or ``rule``
        (no test found).
    """

    name: str
    aliases: tuple[str, ...]
    roles: tuple[str, ...]
    condition: str
    youngs_modulus: float
    poissons_ratio: float
    density: float
    yield_strength: float | None = None
    ultimate_strength: float | None = None
    endurance_strength: float | None = None
    endurance_ratio: float = -1.0
    mean_stress_share: float = 1.0
    flexural_strength: float | None = None
    fracture_toughness: float | None = None
    hardness_hv: float | None = None
    bend_radii: tuple[tuple[float, float], ...] = ()
    bands: dict[str, tuple[float, float]] = field(default_factory=dict, hash=False)
    sources: dict[str, str] = field(default_factory=dict, hash=False)
    kinds: dict[str, str] = field(default_factory=dict, hash=False)

    @property
    def source(self) -> str:
        """Return all the sources in one text."""
        return "; ".join(f"{name}: {text}" for name, text in self.sources.items())

    def bend_radius(self, thickness: float) -> float | None:
        """Return the least inside bend radius.

        Parameters
        ----------
        thickness : float
            Sheet thickness [m].

        Returns
        -------
        float or None
            Radius [m]; None beyond the table's thickest sheet.

        Examples
        --------
        >>> f"{find_material('Ti-6Al-4V', 'bar', 'bar.material').bend_radius(1e-3):.4f}"
        '0.0045'
        """
        return next((times * thickness for up_to, times in self.bend_radii if thickness <= up_to), None)


_H3 = "a third of the hardness, a rule of thumb"


@functools.cache
def materials() -> tuple[Material, ...]:
    """Return all materials, in the order of the data file.

    Returns
    -------
    tuple of Material
        Bars, balls, tangs.

    Examples
    --------
    >>> [material.name for material in materials() if "tang" in material.roles]
    ['440C', 'D2', 'hardened steel']
    """
    return tuple(_material(entry) for entry in tomllib.loads(read_text("materials.toml"))["material"])


def _material(entry: dict[str, Any]) -> Material:
    """Return one material from its entry in the data file."""
    bend = entry.pop("bend_radius", None)
    words: dict[str, Any] = {key: entry.pop(key) for key in ("name", "condition")}
    words |= {key: tuple(entry.pop(key)) for key in ("aliases", "roles")}
    values: dict[str, Any] = {}
    bands: dict[str, tuple[float, float]] = {}
    sources = {_FIELDS.get(key, key): cell["source"] for key, cell in entry.items()}
    kinds = {key: cell["kind"] for key, cell in entry.items() if "kind" in cell}
    for key, cell in entry.items():
        name = _FIELDS.get(key, key)
        values[name], band = _cell(cell)
        bands |= {name: band} if band else {}
    if "tang" in words["roles"] and "yield_strength" not in values:
        values["yield_strength"] = yield_from_hardness(values["hardness_hv"])
        low, high = bands["hardness_hv"]
        bands["yield_strength"] = yield_from_hardness(low), yield_from_hardness(high)
        sources["yield_strength"], kinds["yield_strength"] = _H3, "rule"
    return Material(**words, **values, **_bend(bend, sources), bands=bands, sources=sources, kinds=kinds)


def _cell(cell: dict[str, Any]) -> tuple[float, tuple[float, float] | None]:
    """Return value and band of one property in SI units (hardness in Vickers)."""
    unit = next(iter(cell))
    numbers = [cell[key] for key in (unit, "low", "high") if key in cell]
    value, *band = (hrc_to_hv(n) if unit == "HRC" else n * _FACTORS[unit] for n in numbers)
    return value, (band[0], band[1]) if band else None


def _bend(cell: dict[str, Any] | None, sources: dict[str, str]) -> dict[str, Any]:
    """Return the bend radii as an argument of Material, and note their source."""
    if cell is None:
        return {}
    sources["bend_radii"] = cell["source"]
    steps = zip(cell["up_to_mm"], cell["times_thickness"], strict=True)
    return {"bend_radii": tuple((up_to * MILLIMETRE, times) for up_to, times in steps)}


def find_material(value: object, role: str, field: str) -> Material:
    """Return a material by name or alias; case, spaces and hyphens do not matter.

    Parameters
    ----------
    value : str
        Name.
    role : str
        ``bar``, ``ball`` or ``tang``.
    field : str
        Name of the input, for the message.

    Returns
    -------
    Material
        Usable in that role.

    Raises
    ------
    InputError
        For an unknown name, or a material of another role; the message names those there are.

    Examples
    --------
    >>> find_material("grade 5 titanium", "bar", "bar.material").name
    'Ti-6Al-4V'
    """
    known = [material for material in materials() if role in material.roles]
    key = _key(value) if isinstance(value, str) else ""
    material = _by_key().get(key)
    if material is not None and material in known:
        return material
    fault = f"is known, but not as a {role}" if material is not None else f"is not a {role} material of the table"
    near = difflib.get_close_matches(key, [k for k, m in _by_key().items() if m in known], n=1)
    guess = f"; did you mean {_by_key()[near[0]].name}" if near else ""
    names = ", ".join(material.name for material in known)
    raise InputError(field, value, f"{shown(value)} {fault}{guess}; choose from {names}")


def _key(name: str) -> str:
    """Return a name without case and punctuation, cut so that a long one costs no time."""
    return re.sub("[^a-z0-9]", "", name[:64].lower())


@functools.cache
def _by_key() -> dict[str, Material]:
    """Return the materials by each name and alias."""
    return {_key(name): material for material in materials() for name in (material.name, *material.aliases)}
