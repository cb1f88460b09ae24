"""A build's values in the form that the checks ask for."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from detentsim.knife.checks.fits import FITS

if TYPE_CHECKING:
    from collections.abc import Mapping

    from detentsim.knife.table.schema import Input
    from detentsim.knife.table.values import Value


class Facts:
    """Read values as the rules want them: a number, or NaN so that comparisons are simply false."""

    def __init__(self, values: Mapping[str, Value], seen: frozenset[str], fitting: bool = True) -> None:
        # the default that stands in for a faulty entry is nobody's choice, so no rule may blame it
        self._values = {n: v for n, v in values.items() if v.given or n not in seen}
        self._seen = seen
        self._fitting = fitting

    def si(self, name: str) -> float:
        """Return an SI value; NaN for a word or what is absent or faulty.

        Parameters
        ----------
        name : str
            Dotted name.

        Returns
        -------
        float
            In SI.
        """
        value = self._values.get(name)
        return math.nan if value is None else value.si

    def text(self, name: str) -> str:
        """Return a value's text, empty when absent.

        Parameters
        ----------
        name : str
            Dotted name.

        Returns
        -------
        str
            As typed.
        """
        value = self._values.get(name)
        return "" if value is None else value.text

    def kind(self, name: str) -> str:
        """Return what kind a value turned out to be, empty when absent.

        Parameters
        ----------
        name : str
            Dotted name.

        Returns
        -------
        str
            As `Value.kind`.
        """
        value = self._values.get(name)
        return "" if value is None else value.kind

    def seen(self, *names: str) -> tuple[str, ...]:
        """Return which of these the maker gave, faulty ones too.

        Parameters
        ----------
        *names : str
            Dotted names.

        Returns
        -------
        tuple of str
            In the order asked.
        """
        return tuple(name for name in names if name in self._seen)

    def misfit(self, fit: str) -> bool:
        """Tell whether sizes that must fit together do not.

        Parameters
        ----------
        fit : str
            Key of `FITS`.

        Returns
        -------
        bool
            False where one of them is absent or faulty, or where nobody asks.
        """
        return self._fitting and bool(FITS[fit].broken(self.si))

    def pair(self, first: str, second: str) -> str:
        """Return two inputs with their texts, for a message.

        Parameters
        ----------
        first, second : str
            Dotted names.

        Returns
        -------
        str
            Such as ``3 mm against bar.width = 2 mm``.
        """
        return f"{self.text(first)} against {second} = {self.text(second)}"


def line_to_write(entry: Input) -> str:
    """Return an example of the line that gives an input in a build file.

    Parameters
    ----------
    entry : Input
        Row of the table of inputs.

    Returns
    -------
    str
        Key and example value.

    Examples
    --------
    >>> from detentsim.knife.table.schema import INPUTS
    >>> print(line_to_write(INPUTS["stop.radius"]))
    radius = "9 mm"
    """
    example = f'"{entry.example}"' if isinstance(entry.example, str) else f"{entry.example:g}"
    return f"{entry.key} = {example}"
