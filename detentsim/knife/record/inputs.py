"""A build's inputs as plain SI numbers by dotted name, words and what stands in for others included.

Columns of values may take the place of single ones, each on an axis of its own; nothing here makes builds of them.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from detentsim.knife.table.defaults import with_defaults
from detentsim.knife.table.schema import INPUTS
from detentsim.shop.materials import find_material

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from detentsim.knife.model import Build
    from detentsim.knife.table.columns import Column
    from detentsim.mechanics.record import Array

Plain = dict[str, npt.ArrayLike]

RELIEF_SIDES = {"outer": -1.0, "both": 0.0, "inner": 1.0}

_BAR_CONSTANTS = ("youngs_modulus", "poissons_ratio", "yield_strength")


class Reader:
    """Reads a build's inputs, a column in place of a single value where there is one."""

    def __init__(self, build: Build, columns: Sequence[Column], only: tuple[str, ...] | None = None) -> None:
        self.build = build
        self._columns = {c.name: (axis, c) for axis, c in enumerate(columns) if only is None or c.name in only}
        self._axes = len(columns)
        self._swayed: dict[str, Array] = {}
        for axis, column in self._columns.values():
            if "choice" in INPUTS[column.name].kinds and column.texts:
                self._sway(axis, column)

    def _sway(self, axis: int, column: Column) -> None:
        """Take along the defaults that hang on a word."""
        given = {name: value for name, value in self.build.values.items() if value.given}
        rows = [with_defaults(given | {column.name: column.value(i)}) for i in range(len(column))]
        for name, value in self.build.values.items():
            found = np.array([row[name].si if name in row else math.nan for row in rows])
            if name != column.name and not np.all((found == value.si) | (np.isnan(found) & np.isnan(value.si))):
                self._swayed[name] = self._lay(found, axis)

    def _lay(self, values: npt.ArrayLike, axis: int) -> Array:
        return np.asarray(values, float).reshape([-1 if i == axis else 1 for i in range(self._axes)])

    def si(self, name: str, default: npt.ArrayLike = math.nan) -> npt.ArrayLike:
        """SI values of an input, `default` where it is absent or a word."""
        if name in self._columns:
            axis, column = self._columns[name]
            found = self._lay(column.si, axis)
            return np.where(np.isnan(found), default, found)
        if name in self._swayed:
            return self._swayed[name]
        found_one = self.build.si(name)
        return default if math.isnan(found_one) else found_one

    def each(self, name: str, meaning: Callable[[str], float]) -> npt.ArrayLike:
        """A number for an input's word, or for each word of its column."""
        if name not in self._columns:
            return meaning(self.build.word(name))
        axis, column = self._columns[name]
        return self._lay([meaning(str(column.raw(i))) for i in range(len(column))], axis)

    def kind_is(self, name: str, kind: str) -> npt.ArrayLike:
        """1 where an input is of a kind, else 0."""
        if name not in self._columns:
            return float(self.build.values[name].kind == kind)
        axis, column = self._columns[name]
        one = len(column.kinds) == 1
        return self._lay(
            np.full(len(column), column.kinds[0] == kind) if one else [k == kind for k in column.kinds], axis
        )


def read_numbers(read: Reader) -> Plain:
    """Every number by dotted name; what is measured or derived through the mechanics is left to `record`."""
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
    """Words as numbers."""
    rigid = np.asarray(read.each("bar.lateral_stiffness", lambda word: float(word == "rigid")))
    return {
        "bar.relief_side": read.each("bar.relief_side", RELIEF_SIDES.__getitem__),
        "bar.root": read.each("bar.root", lambda word: float(word != "clamped")),
        "bar.root_at_edge": read.each("bar.root", lambda word: float(word == "edge")),
        "bar.bend_along": read.each("bar.bend_at", lambda word: float(word == "along")),
        "bar.lateral_compliance": np.where(rigid > 0, 0.0, 1 / np.asarray(read.si("bar.lateral_stiffness"))),
        "opener.push": read.each("opener.push", lambda word: float(word == "follows")),
    }


def _stand_ins(read: Reader) -> Plain:
    """Inputs that others may stand for, and over-close in its two kinds."""
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
