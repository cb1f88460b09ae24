"""Access to a build's values as the rules of the checks need it: numbers, texts, presence, misfits.

Stands on `fits`; made by `consistency` for each build.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from detentsim.knife.checks.fits import FITS

if TYPE_CHECKING:
    from collections.abc import Mapping

    from detentsim.knife.table.schema import Input
    from detentsim.knife.table.value import Value


class Facts:
    """A build's values for the rules; an absent number is NaN, so that comparisons with it are false."""

    def __init__(self, values: Mapping[str, Value], seen: frozenset[str], fitting: bool = True) -> None:
        # a faulty entry has its default among the values, which the maker did not choose: no rule may report it
        self._values = {n: v for n, v in values.items() if v.given or n not in seen}
        self._seen = seen
        self._fitting = fitting

    def si(self, name: str) -> float:
        """Return an input's SI value; NaN for a word and for an absent or faulty input.

        Parameters
        ----------
        name : str
            Dotted name.

        Returns
        -------
        float
            In SI.

        Examples
        --------
        >>> from detentsim.knife.file.reading import read_entries
        >>> given, _ = read_entries({"bar.width": "12 mm", "bar.thickness": "3 mm"})
        >>> Facts(given, frozenset(given)).si("bar.width")
        0.012
        """
        value = self._values.get(name)
        return math.nan if value is None else value.si

    def text(self, name: str) -> str:
        """Return an input's text, empty when absent.

        Parameters
        ----------
        name : str
            Dotted name.

        Returns
        -------
        str
            As typed.

        Examples
        --------
        >>> from detentsim.knife.file.reading import read_entries
        >>> given, _ = read_entries({"bar.width": "12 mm", "bar.thickness": "3 mm"})
        >>> Facts(given, frozenset(given)).text("bar.width")
        '12 mm'
        """
        value = self._values.get(name)
        return "" if value is None else value.text

    def kind(self, name: str) -> str:
        """Return the kind of an input's value, empty when absent.

        Parameters
        ----------
        name : str
            Dotted name.

        Returns
        -------
        str
            As `Value.kind`.

        Examples
        --------
        >>> from detentsim.knife.file.reading import read_entries
        >>> given, _ = read_entries({"bar.width": "12 mm", "bar.thickness": "3 mm"})
        >>> Facts(given, frozenset(given)).kind("bar.width")
        'length'
        """
        value = self._values.get(name)
        return "" if value is None else value.kind

    def seen(self, *names: str) -> tuple[str, ...]:
        """Return the names among these that were given, faulty ones too.

        Parameters
        ----------
        *names : str
            Dotted names.

        Returns
        -------
        tuple of str
            In the order of `names`.

        Examples
        --------
        >>> Facts({}, frozenset({"stop.radius"})).seen("stop.radius", "stop.pin_change")
        ('stop.radius',)
        """
        return tuple(name for name in names if name in self._seen)

    def misfit(self, fit: str) -> bool:
        """Return whether a rule of `FITS` is broken.

        Parameters
        ----------
        fit : str
            Key of `FITS`.

        Returns
        -------
        bool
            False where one of its sizes is absent or faulty, or where fits are not checked.

        Examples
        --------
        >>> from detentsim.knife.file.reading import read_entries
        >>> given, _ = read_entries({"ball.protrusion": "1.5 mm", "ball.diameter": "1.5 mm"})
        >>> Facts(given, frozenset(given)).misfit("protrusion")
        True
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

        Examples
        --------
        >>> from detentsim.knife.file.reading import read_entries
        >>> given, _ = read_entries({"bar.width": "12 mm", "bar.thickness": "3 mm"})
        >>> Facts(given, frozenset(given)).pair("bar.thickness", "bar.width")
        '3 mm against bar.width = 12 mm'
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
