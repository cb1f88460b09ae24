"""Problems of a build, raised together, each with its file and line.

Lowest module of the checks; everything that reads a file raises these.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from detentsim.units.errors import InputError
from detentsim.units.wording import shorten

if TYPE_CHECKING:
    from collections.abc import Iterable


Fault = tuple[str, str]
"""A problem before its place in a file is known: the dotted key to blame, and the message that follows it."""


@dataclass(frozen=True)
class Problem:
    """One thing wrong with a build.

    Attributes
    ----------
    file : str
        File or source it came from; empty for a change made in code.
    line : int or None
        Line of the file, counted from 1.
    key : str
        Dotted input name, section, or empty for the file as a whole.
    message : str
        The fault, what is allowed, and an example.
    """

    file: str
    line: int | None
    key: str
    message: str

    def __str__(self) -> str:
        place = f"{self.file}:{self.line}" if self.file and self.line else self.file
        return ": ".join(part for part in (place, shorten(self.key, 80), self.message) if part)


class BuildError(InputError):
    """Every problem of a build, one line each.

    Attributes
    ----------
    problems : tuple of Problem
        By file in the order given, then by line.
    """

    problems: tuple[Problem, ...]

    def __init__(self, problems: Iterable[Problem]) -> None:
        given = tuple(problems)
        files = list(dict.fromkeys(p.file for p in given))
        self.problems = tuple(sorted(given, key=lambda p: (files.index(p.file), p.line is None, p.line or 0)))
        first = self.problems[0]
        text = "\n".join(str(p) for p in self.problems)
        super().__init__(first.key or first.file, None, text)
        self.message = text
