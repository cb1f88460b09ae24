"""The one exception that bad input raises."""

from __future__ import annotations


class InputError(ValueError):
    """Bad input, described in one sentence.

    Parameters
    ----------
    field : str
        Name of the input, such as ``bar.thickness``; may be empty.
    given : object
        Value given.
    problem : str
        The sentence without the field's name.

    Examples
    --------
    >>> str(InputError("bar.thickness", 3, "3 has no unit"))
    'bar.thickness: 3 has no unit'
    """

    def __init__(self, field: str, given: object, problem: str) -> None:
        self.field = field
        self.given = given
        self.problem = problem
        self.message = f"{field}: {problem}" if field else problem
        super().__init__(field, given, problem)

    def __str__(self) -> str:
        """Return the one sentence."""
        return self.message

    def _render_traceback_(self) -> list[str]:
        """Return the lines that a notebook shows: the message without a traceback."""
        return [f"{type(self).__name__}: {self}"]
