"""Values of a build by dotted name: as a `Value`, as an SI number, or as text.

Base class of `Build`.
"""

from __future__ import annotations

import math
from functools import cached_property
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

from detentsim.knife.table.schema import INPUTS, unknown_input
from detentsim.knife.table.typed_units import typed_stock, typed_units
from detentsim.units.errors import InputError
from detentsim.units.wording import shown

if TYPE_CHECKING:
    from collections.abc import Mapping

    from detentsim.knife.table.value import Value
    from detentsim.knife.target.target import Target
    from detentsim.shop.tables import System
    from detentsim.units.systems import UnitSystem


class Lookup:
    """Access to a build's inputs by dotted name."""

    values: Mapping[str, Value]
    target: tuple[Target, ...]

    @cached_property
    def units(self) -> UnitSystem:
        """Units of reports and figures: the file's ``units``, else those in which most of its sizes are typed."""
        return typed_units(self.values, (text for wanted in self.target for text in wanted.typed if text))

    @cached_property
    def stock(self) -> System:
        """Drills that the shop has: the file's ``stock``, else the system in which its drills are typed."""
        return typed_stock(self.values)

    def __getitem__(self, name: str) -> Value | None:
        """Return an input by dotted name; None when it is optional and absent."""
        if name not in INPUTS:
            raise InputError(shown(name).strip('"'), name, unknown_input(name))
        return self.values.get(name)

    def si(self, name: str, default: float = math.nan) -> float:
        """Return an input's SI value.

        Parameters
        ----------
        name : str
            Dotted name.
        default : float
            Returned when the input is absent or has no numeric value.

        Returns
        -------
        float
            SI value, or `default`.

        Examples
        --------
        >>> import detentsim as ds
        >>> ds.demo().si("ball.diameter")
        0.002
        """
        value = self[name]
        return default if value is None or math.isnan(value.si) else value.si

    def word(self, name: str) -> str:
        """Return an input's text, such as a choice or a material.

        Parameters
        ----------
        name : str
            Dotted name.

        Returns
        -------
        str
            Empty when absent.

        Examples
        --------
        >>> import detentsim as ds
        >>> ds.demo().word("ball.diameter")
        '2 mm'
        """
        value = self[name]
        return "" if value is None else value.text

    @property
    def hand(self) -> str:
        """``right`` or ``left``."""
        return self.word("hand")

    def _ipython_key_completions_(self) -> list[str]:
        return list(INPUTS)

    def __getstate__(self) -> dict[str, Any]:
        """Return what copies and pickles hold: a read-only view is neither copied nor pickled."""
        return {**self.__dict__, "values": dict(self.values)}

    def __setstate__(self, state: dict[str, Any]) -> None:
        """Take that up again, the values read-only."""
        self.__dict__.update(state, values=MappingProxyType(state["values"]))
