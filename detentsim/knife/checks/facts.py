"""What a rule of the checks takes and yields: a build's values as numbers and texts, presence, misfits; and `Rule`.

Uses `fits`; made by `consistency` for each build.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING

from detentsim.knife.checks.fits import FITS
from detentsim.knife.checks.problems import Fault

if TYPE_CHECKING:
    from collections.abc import Mapping

    from detentsim.knife.table.schema import Input
    from detentsim.knife.table.value import Value


class Facts:
    """A build's values for the rules, by dotted input name.

    An absent number is NaN, so that comparisons with it are false; an absent text is empty. A faulty input counts as
    absent, except for `seen`.

    Examples
    --------
    >>> from detentsim.knife.file.reading import read_entries
    >>> given, _ = read_entries({"bar.width": "12 mm", "ball.protrusion": "2 mm", "ball.diameter": "1.5 mm"})
    >>> facts = Facts(given, frozenset(given))
    >>> facts.si("bar.width"), facts.text("bar.width"), facts.kind("bar.width"), facts.text("bar.thickness")
    (0.012, '12 mm', 'length', '')
    >>> facts.seen("bar.width", "bar.thickness"), facts.misfit("protrusion")
    (('bar.width',), True)
    >>> facts.pair("ball.protrusion", "ball.diameter")
    '2 mm against ball.diameter = 1.5 mm'
    """

    def __init__(self, values: Mapping[str, Value], seen: frozenset[str], fitting: bool = True) -> None:
        # a faulty entry has its default among the values, which the maker did not choose: no rule may report it
        self._values = {n: v for n, v in values.items() if v.given or n not in seen}
        self._seen = seen
        self.fitting = fitting

    def si(self, name: str) -> float:
        """Return an input's SI value; NaN for a word and for an absent or faulty input."""
        value = self._values.get(name)
        return math.nan if value is None else value.si

    def text(self, name: str) -> str:
        """Return an input's text as typed, empty when absent."""
        value = self._values.get(name)
        return "" if value is None else value.text

    def kind(self, name: str) -> str:
        """Return the kind of an input's value, as `Value.kind`; empty when absent."""
        value = self._values.get(name)
        return "" if value is None else value.kind

    def seen(self, *names: str) -> tuple[str, ...]:
        """Return the names among these that were given, faulty ones too, in their order."""
        return tuple(name for name in names if name in self._seen)

    def misfit(self, fit: str) -> bool:
        """Return whether a rule of `FITS` is broken; false where a size is absent or faulty, or fits go unchecked."""
        return self.fitting and bool(FITS[fit].broken(self.si))

    def pair(self, first: str, second: str) -> str:
        """Return two inputs with their texts for a message, such as ``3 mm against bar.width = 2 mm``."""
        return f"{self.text(first)} against {second} = {self.text(second)}"


Rule = Callable[[Facts], Iterator[Fault]]
"""A rule between the inputs of a build.

It takes the build's values and yields one `Fault` for each problem: the dotted key to blame, and the message that
follows it, with what is given, what is allowed and an example. It yields nothing for inputs that are absent and not
needed, and never raises.
"""


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
