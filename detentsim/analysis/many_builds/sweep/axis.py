"""One varied input of a sweep: its values, labels and scale."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from detentsim.knife.table.schema import INPUTS
from detentsim.knife.table.value import SHOWN_UNITS, Value
from detentsim.units.quantities import factor

if TYPE_CHECKING:
    from detentsim.knife.table.columns import Column
    from detentsim.mechanics.record import Array


@dataclass(frozen=True, eq=False)
class Axis:
    """One input along one axis of a sweep.

    Attributes
    ----------
    column : Column
        Its values as read.
    own : Value or None
        The build's own value; None where it has none.
    """

    column: Column
    own: Value | None

    def __len__(self) -> int:
        return len(self.column)

    @property
    def name(self) -> str:
        """Dotted name of the input."""
        return self.column.name

    @property
    def unit(self) -> str:
        """Unit of `values`; empty for a ratio and for words."""
        return SHOWN_UNITS.get(self.column.kind(0), "")

    @property
    def is_scale(self) -> bool:
        """Whether the values lie along a scale, rather than being bought one by one or words."""
        return self.column.is_scale

    @property
    def is_states(self) -> bool:
        """Whether some value is a word for a size, such as friction's "oiled" or an edge's "tumbled"."""
        texts, choices = self.column.texts or (), INPUTS[self.name].choices
        return self.is_scale and any(text in choices for text in texts)

    @cached_property
    def values(self) -> Array:
        """Values in `unit`, the diameter of a drill, or 0, 1, 2 ... for words; shape (n,)."""
        words = bool(np.any(np.isnan(self.column.si)))
        return np.arange(len(self), dtype=float) if words else self.column.si / self._scale

    @cached_property
    def labels(self) -> tuple[str, ...]:
        """Each value as text."""
        return tuple(str(self.column.raw(i)) for i in range(len(self)))

    @property
    def here(self) -> float:
        """The build's own value in `unit`, or a word's place among the values; NaN where it has none."""
        if self.own is None or self.own.kind not in self.column.kinds:
            return math.nan
        if np.any(np.isnan(self.column.si)):
            return float(self.labels.index(self.own.text)) if self.own.text in self.labels else math.nan
        return self.own.si / self._scale

    @property
    def _scale(self) -> float:
        return factor(self.unit) if self.unit else 1.0


def axis_units(unit: str) -> dict[str, str]:
    """Attributes of an exported axis: its unit, where it has one.

    Parameters
    ----------
    unit : str
    """
    return {"units": unit} if unit and unit != "truth" else {}
