"""Results by name, as attributes and by key: what every answer about one build has in common."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from detentsim.build.outcomes import RESULTS
from detentsim.shop.units import quantity


class Named:
    """Gives each of `results` as a quantity in its unit, a truth, or None where there is none."""

    results: Mapping[str, float | bool | None]

    def __getattr__(self, name: str) -> Any:
        """Return a result by name."""
        known = self.__dict__.get("results", {})
        if name not in known:
            raise AttributeError(f"no result {name!r}; there are {', '.join(known)}")
        return self[name]

    def __getitem__(self, name: str) -> Any:
        """Return a result as a quantity in its unit or a truth, None where there is none.

        Raises
        ------
        KeyError
            Where there is no such result.
        """
        value = self.results[name]
        return value if value is None or isinstance(value, bool) else quantity(value, RESULTS[name].unit)

    def __dir__(self) -> list[str]:
        return [*super().__dir__(), *self.results]

    def _ipython_key_completions_(self) -> list[str]:
        return list(self.results)
