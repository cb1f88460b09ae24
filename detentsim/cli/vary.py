"""Inputs with values to try, as an option that may be repeated: NAME=START:STOP:COUNT or NAME=ONE,OTHER."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable


def read_vary(words: Iterable[str], option: str) -> dict[str, object]:
    """Read inputs to vary with their values.

    Parameters
    ----------
    words : iterable of str
        As typed, NAME=VALUES each.
    option : str
        Option that they were given to, for the error.

    Returns
    -------
    dict of str to object
        Values by dotted name, for `detentsim.knife.table.columns.read_columns`.

    Raises
    ------
    InputError
        Where a word has no such form, or an input stands twice.
    """
    from detentsim.knife.table.columns import parse_column
    from detentsim.units.errors import InputError

    vary: dict[str, object] = {}
    for word in words:
        name, values = parse_column(word, option)
        if name in vary:
            text = f"{name} is varied twice; give all its values at once, such as {name}=ONE,OTHER"
            raise InputError(option, name, text)
        vary[name] = values
    return vary
