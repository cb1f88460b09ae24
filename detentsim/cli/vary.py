"""Inputs with values to try, as an option that may be repeated: NAME=START:STOP:COUNT or NAME=ONE,OTHER."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable


def read_vary(words: Iterable[str], option: str) -> dict[str, object]:
    """Inputs to vary with their values, by name; raises `InputError` that names the option."""
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
