"""The text of a build file: the line of each key, and changes to be made in it.

Uses `statements` and `edits`; knows TOML and lines, not the meaning of the keys.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

from detentsim.knife.file.edits import edit
from detentsim.knife.file.statements import flat, split_lines, statements
from detentsim.knife.file.syntax import BOM, load_toml
from detentsim.units.errors import InputError

Edits = Mapping[str, Any]


@dataclass(frozen=True, eq=False)
class Document:
    """A build file's text with changes to be made.

    Attributes
    ----------
    original : str
        As read, line ends and byte order mark kept.
    edits : mapping
        New value by dotted name; None removes the key.
    """

    original: str = ""
    edits: Edits = field(default_factory=dict)

    def edited(self, edits: Edits) -> Document:
        """Return the document with more changes to make.

        Parameters
        ----------
        edits : mapping
            New value by dotted name; None removes the key.

        Returns
        -------
        Document
            This one stays as it is.

        Examples
        --------
        >>> print(Document('thickness = "3 mm"  # as bought').edited({"thickness": "0.125 in"}).text())
        thickness = "0.125 in"  # as bought
        """
        return Document(self.original, {**self.edits, **edits})

    def without(self, table: str, keys: Iterable[str]) -> Document:
        r"""Return the document with some entries of a table removed.

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

        Examples
        --------
        >>> document = Document("[tolerance]\na.b = 1\nc.d = 2\n")
        >>> document.without("tolerance", ["a.b"]).text()
        '[tolerance]\nc.d = 2\n'
        """
        entries = tuple(f"{table}.{key}." for key in keys)
        return self.edited({name: None for name in flat(self.parse()) if f"{name}.".startswith(entries)})

    def parse(self) -> dict[str, Any]:
        r"""Return the data of the text as read.

        Returns
        -------
        dict
            Without the changes.

        Raises
        ------
        ValueError, RecursionError
            As `detentsim.knife.file.syntax.load_toml`.

        Examples
        --------
        >>> Document('[bar]\nwidth = "12 mm"').parse()
        {'bar': {'width': '12 mm'}}
        """
        return load_toml(self.original)

    @cached_property
    def _where(self) -> dict[str, int]:
        first: dict[str, int] = {}
        for statement in statements(split_lines(self.original.removeprefix(BOM))):
            for name in statement.names:
                first.setdefault(name, statement.start + 1)
        return first

    def line_of(self, name: str) -> int | None:
        r"""Return the line of a dotted name, or of the table it belongs to.

        Parameters
        ----------
        name : str
            Dotted name.

        Returns
        -------
        int or None
            Counted from 1.

        Examples
        --------
        >>> Document('[bar]\nwidth = "12 mm"').line_of("bar.width")
        2
        """
        while name and name not in self._where:
            name = name.rpartition(".")[0]
        return self._where.get(name)

    def text(self) -> str:
        r"""Return the text with every change made.

        Returns
        -------
        str
            Valid TOML, line ends and byte order mark kept.

        Raises
        ------
        InputError
            When the layout of the file leaves no place for a change.

        Examples
        --------
        >>> Document("a = 1  # one", {"a": 2, "b": 3}).text()
        'a = 2  # one\nb = 3\n'
        """
        bom = BOM if self.original.startswith(BOM) else ""
        text = self.original.removeprefix(BOM)
        for name, new in self.edits.items():
            text = edit(text, name, new)
        return bom + text

    def onto(self, standing: str | None, field: str) -> str:
        """Return the current text of the file with every change made, so that comments added since remain.

        Parameters
        ----------
        standing : str or None
            The file's current text; None when it is gone.
        field : str
            Name of the file in a message.

        Returns
        -------
        str
            The new text.

        Raises
        ------
        InputError
            When the current text holds other data than the text as read.

        Examples
        --------
        >>> Document("a = 1", {"a": 2}).onto("a = 1  # a note", "mine.toml")
        'a = 2  # a note'
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
    return flat(load_toml(text))
