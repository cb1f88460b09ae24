"""The text of a build file: where each key stands, and the changes still to be made in it.

Knows TOML and lines, and nothing of what the keys mean.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

from detentsim.knife.file.edits import edit
from detentsim.knife.file.statements import flat, split_lines, statements
from detentsim.units.errors import InputError

_BOM = "\ufeff"

Edits = Mapping[str, Any]


@dataclass(frozen=True, eq=False)
class Document:
    """A build file's text with changes still to be made.

    Attributes
    ----------
    original : str
        As read, line ends and byte order mark kept.
    edits : mapping
        New value by dotted name; None takes the key out.
    """

    original: str = ""
    edits: Edits = field(default_factory=dict)

    def edited(self, edits: Edits) -> Document:
        """Return the document with more changes to make.

        Parameters
        ----------
        edits : mapping
            New value by dotted name; None takes the key out.

        Returns
        -------
        Document
            This one stays as it is.
        """
        return Document(self.original, {**self.edits, **edits})

    def without(self, table: str, keys: Iterable[str]) -> Document:
        """Return the document with some entries of a table to be taken out.

        Parameters
        ----------
        table : str
            Dotted name of the table.
        keys : iterable of str
            Dotted names within it; a key that is not there is passed over.

        Returns
        -------
        Document
            This one stays as it is.
        """
        entries = [f"{table}.{key}" for key in keys]
        gone = {
            name: None
            for entry in entries
            for name in flat(self.parse())
            if name == entry or name.startswith(f"{entry}.")
        }
        return self.edited(gone)

    def parse(self) -> dict[str, Any]:
        """Return the data of the text as read.

        Returns
        -------
        dict
            Changes not made yet.

        Raises
        ------
        ValueError, RecursionError
            As the standard library does for text that is not TOML.
        """
        return tomllib.loads(self.original.removeprefix(_BOM))

    @cached_property
    def _where(self) -> dict[str, int]:
        first: dict[str, int] = {}
        for statement in statements(split_lines(self.original.removeprefix(_BOM))):
            for name in statement.names:
                first.setdefault(name, statement.start + 1)
        return first

    def line_of(self, name: str) -> int | None:
        """Return the line of a dotted name, else of the table it belongs to.

        Parameters
        ----------
        name : str
            Dotted name.

        Returns
        -------
        int or None
            Counted from 1.
        """
        while name and name not in self._where:
            name = name.rpartition(".")[0]
        return self._where.get(name)

    def text(self) -> str:
        """Return the text with every change made.

        Returns
        -------
        str
            Valid TOML, line ends and byte order mark kept.

        Raises
        ------
        InputError
            When a change has no place in the file as it is laid out.
        """
        bom = _BOM if self.original.startswith(_BOM) else ""
        text = self.original.removeprefix(_BOM)
        for name, new in self.edits.items():
            text = edit(text, name, new)
        return bom + text

    def onto(self, standing: str | None, field: str) -> str:
        """Return the file as it stands now with every change made, so later notes in it survive.

        Parameters
        ----------
        standing : str or None
            The file's text now; None when it is gone.
        field : str
            What to call it in a message.

        Returns
        -------
        str
            The new text.

        Raises
        ------
        InputError
            When what stands there holds other data than what was read.
        """
        own = self.text()
        if standing is None or standing == self.original:
            return own
        try:
            text = Document(standing, self.edits).text()
            if _data(text) == _data(own):
                return text
        except (ValueError, RecursionError):
            pass
        raise InputError(field, None, "was changed since it was read; read it again, or save under a name")


def _data(text: str) -> dict[str, Any]:
    return flat(tomllib.loads(text.removeprefix(_BOM)))
