"""Converts a build's inputs to SI numbers by dotted name; words become numbers too.

Columns of values may replace single values, each on an axis of its own, without making a build for each value.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from detentsim.knife.table.schema import INPUTS
from detentsim.knife.table.values import with_defaults
from detentsim.shop.materials import find_material

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from detentsim.knife.model import Build
    from detentsim.knife.table.columns import Column
    from detentsim.mechanics.record import Array

Plain = dict[str, npt.ArrayLike]

RELIEF_SIDES = {"outer": -1.0, "both": 0.0, "inner": 1.0}

_BAR_CONSTANTS = ("youngs_modulus", "poissons_ratio", "yield_strength")


class Reader:
    """Reads a build's inputs, with a column or drawn values in place of a single value where they are given."""

    def __init__(
        self,
        build: Build,
        columns: Sequence[Column],
        only: tuple[str, ...] | None = None,
        drawn: Mapping[str, Array] | None = None,
    ) -> None:
        self.build = build
        self._drawn = drawn or {}
        self._columns = {c.name: (axis, c) for axis, c in enumerate(columns) if only is None or c.name in only}
        self._axes = len(columns)
        self._dependent: dict[str, Array] = {}
        for axis, column in self._columns.values():
            if "choice" in INPUTS[column.name].kinds and column.texts:
                self._vary_defaults(axis, column)

    def _vary_defaults(self, axis: int, column: Column) -> None:
        """Vary the defaults that depend on the words of a column."""
        given = {name: value for name, value in self.build.values.items() if value.given}
        rows = [with_defaults(given | {column.name: column.value(i)}) for i in range(len(column))]
        for name, value in self.build.values.items():
            varied = np.array([row[name].si if name in row else math.nan for row in rows])
            if name != column.name and not np.all((varied == value.si) | (np.isnan(varied) & np.isnan(value.si))):
                self._dependent[name] = self._lay(varied, axis)

    def _lay(self, values: npt.ArrayLike, axis: int) -> Array:
        return np.asarray(values, float).reshape([-1 if i == axis else 1 for i in range(self._axes)])

    def si(self, name: str, default: npt.ArrayLike = math.nan) -> npt.ArrayLike:
        """Return the SI value or values of an input.

        Parameters
        ----------
        name : str
            Dotted name.
        default : float or array
            Used where the input is absent or a word.

        Returns
        -------
        float or array
            An array for an input with a column, along the column's axis.

        Examples
        --------
        >>> import detentsim as ds
        >>> from detentsim.knife.table.columns import read_columns
        >>> read = Reader(ds.demo(), read_columns({"bar.bend": ["1 mm", "2 mm"]}))
        >>> read.si("bar.bend").tolist(), read.si("ball.diameter")
        ([0.001, 0.002], 0.002)
        """
        if name in self._drawn:
            return self._drawn[name]
        if name in self._columns:
            axis, column = self._columns[name]
            values = self._lay(column.si, axis)
            return np.where(np.isnan(values), default, values)
        if name in self._dependent:
            return self._dependent[name]
        single = self.build.si(name)
        return default if math.isnan(single) else single

    def each(self, name: str, meaning: Callable[[str], float]) -> npt.ArrayLike:
        """Return a number for an input's word, or for each word of its column.

        Parameters
        ----------
        name : str
            Dotted name.
        meaning : callable
            Number for a word.

        Returns
        -------
        float or array

        Examples
        --------
        >>> import detentsim as ds
        >>> Reader(ds.demo(), ()).each("bar.relief_side", RELIEF_SIDES.__getitem__)
        -1.0
        """
        if name not in self._columns:
            return meaning(self.build.word(name))
        axis, column = self._columns[name]
        return self._lay([meaning(str(column.raw(i))) for i in range(len(column))], axis)

    def kind_is(self, name: str, kind: str) -> npt.ArrayLike:
        """Return 1 where an input is given in a kind, else 0.

        Parameters
        ----------
        name : str
            Dotted name.
        kind : str
            Such as ``angle``.

        Returns
        -------
        float or array

        Examples
        --------
        >>> import detentsim as ds
        >>> Reader(ds.demo(), ()).kind_is("bar.width", "length")
        1.0
        """
        if name in self._drawn:  # drawn numbers are lengths
            return float(kind == "length")
        if name not in self._columns:
            return float(self.build.values[name].kind == kind)
        axis, column = self._columns[name]
        one = len(column.kinds) == 1
        return self._lay(
            np.full(len(column), column.kinds[0] == kind) if one else [k == kind for k in column.kinds], axis
        )


def read_numbers(read: Reader) -> Plain:
    """Return every number by dotted name, except those that `record` derives through the mechanics.

    Parameters
    ----------
    read : Reader

    Returns
    -------
    dict of str to float or array
        In SI; NaN where not given.

    Examples
    --------
    >>> import detentsim as ds
    >>> read_numbers(Reader(ds.demo(), ()))["ball.poissons_ratio"]
    0.27
    """
    numbers: Plain = {name: read.si(name) for name in read.build.values}
    return numbers | _materials(read) | _words(read) | _stand_ins(read)


def _materials(read: Reader) -> Plain:
    def constant(role: str, key: str) -> npt.ArrayLike:
        name = f"{role}.material"

        def look_up(word: str) -> float:
            return getattr(find_material(word, role, name), key) or math.nan

        return read.each(name, look_up)

    bar = {f"bar.{key}": read.si(f"bar.{key}", constant("bar", key)) for key in _BAR_CONSTANTS}
    others = {f"{role}.{key}": constant(role, key) for role in ("ball", "tang") for key in _BAR_CONSTANTS[:2]}
    return bar | others | {"tang.density": constant("tang", "density")}


def _words(read: Reader) -> Plain:
    """Return the inputs that are words, as numbers."""
    rigid = np.asarray(read.each("bar.lateral_stiffness", lambda word: float(word == "rigid")))
    return {
        "bar.relief_side": read.each("bar.relief_side", RELIEF_SIDES.__getitem__),
        "bar.root": read.each("bar.root", lambda word: float(word != "clamped")),
        "bar.root_at_edge": read.each("bar.root", lambda word: float(word == "edge")),
        "contact.rim_gives": read.each("contact.rim", lambda word: float(word == "elastic")),
        "bar.bend_along": read.each("bar.bend_at", lambda word: float(word == "along")),
        "bar.lateral_compliance": np.where(rigid > 0, 0.0, 1 / np.asarray(read.si("bar.lateral_stiffness"))),
        "pivot.seats": read.each("pivot.seats", lambda word: float(word == "coated")),
        "pivot.washer_contact": read.each("pivot.washer_contact", lambda word: float(word == "face")),
        "opener.push": read.each("opener.push", lambda word: float(word == "follows")),
    }


def _stand_ins(read: Reader) -> Plain:
    """Return the inputs that others may replace, and over-close split by kind into length and angle."""
    pockets = np.asarray(read.si("pivot.handle_pocket")) + np.asarray(read.si("pivot.tang_pocket"))
    gap = np.asarray(read.si("pivot.washer_thickness")) - pockets
    pulled = np.asarray(read.si("pivot.pull.force")) * np.asarray(read.si("pivot.pull.at"))
    angled = np.asarray(read.kind_is("dimple.overclose", "angle")) > 0
    overclose = np.asarray(read.si("dimple.overclose"))
    return {
        "tang.face_gap": read.si("tang.face_gap", gap),
        "pivot.friction_torque": read.si("pivot.friction_torque", pulled),
        "dimple.overclose": np.where(angled, 0.0, overclose),
        "dimple.overclose_angle": np.where(angled, overclose, 0.0),
    }
