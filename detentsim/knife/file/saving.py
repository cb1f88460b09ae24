"""Saves a changed build file: under a new name, or onto its own file, keeping what was written there since."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from detentsim.knife.file.text import read_text, write_text
from detentsim.units.errors import InputError
from detentsim.units.wording import shown

if TYPE_CHECKING:
    from detentsim.knife.file.document import Document


def save_document(document: Document, source: str, own: Path | None, path: str | Path | None = None) -> Path:
    """Write a document with its changes and return the file written.

    Parameters
    ----------
    document : Document
        As read, with the changes to make.
    source : str
        Name of the document's own file in messages.
    own : Path or None
        File the document was read from, if any.
    path : str or Path, optional
        File to write or replace; by default `own`, whose other edits since it was read are kept.

    Returns
    -------
    Path
        The file written, replaced whole or not at all.

    Raises
    ------
    InputError
        When there is no file to write to, the inputs in `own` were changed since it was read, or the file
        cannot be written.
    """
    if not isinstance(path, str | Path | None):
        raise InputError("path", path, f'{shown(path)} is no file name; give one such as "mine.toml"')
    if path is not None:
        write_text(Path(path), document.text())
        return Path(path)
    if own is None:
        raise InputError("path", path, 'this build came from no file; name one to save, such as "mine.toml"')
    current = read_text(own) if own.exists() else None
    write_text(own, document.onto(current, source))
    return own
