"""Text of a file that a maker names: plain, not too large, in UTF-8; or the reason why it is not."""

from __future__ import annotations

from pathlib import Path
from typing import NamedTuple

from detentsim.knife.checks.problems import BuildError, Problem
from detentsim.units.wording import shorten


class FileWords(NamedTuple):
    """What messages say of one sort of file."""

    missing: str  # what to give instead of a file that is not there
    called: str  # what to give instead of a folder
    largest: int  # bytes
    too_large: str  # what to do about a larger one
    saved: str  # how to save what is no text


class _UnreadableError(ValueError):
    """The reason why a file cannot be read."""


def text_of(path: str | Path, words: FileWords) -> str:
    """Return the text of a file.

    Parameters
    ----------
    path : str or Path
    words : FileWords

    Returns
    -------
    str
        Without a byte order mark.

    Raises
    ------
    BuildError
        Where it is missing, no plain file, too large, or no UTF-8 text.
    """
    try:
        return _decoded(_bytes(Path(path), words), words)
    except (OSError, ValueError) as why:
        system = (why.strerror and f"cannot be read: {why.strerror}") if isinstance(why, OSError) else None
        unread = system or (str(why) if isinstance(why, _UnreadableError) else "is not a usable file name")
        raise BuildError([Problem(shorten(str(path), 300), None, "", unread)]) from None


def _bytes(path: Path, words: FileWords) -> bytes:
    # reading a pipe or a device could wait forever, so only plain files are opened
    if not path.exists():
        raise _UnreadableError(f"there is no such file; {words.missing}")
    if not path.is_file():
        kind = "a folder" if path.is_dir() else "not a plain file"
        raise _UnreadableError(f"is {kind}; {words.called}")
    with path.open("rb") as file:
        content = file.read(words.largest + 1)
    if len(content) > words.largest:
        raise _UnreadableError(words.too_large)
    return content


def _decoded(content: bytes, words: FileWords) -> str:
    if content.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise _UnreadableError(f"is saved as UTF-16; {words.saved}")
    if b"\0" in content:
        raise _UnreadableError(f"is not plain text; {words.saved}")
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        raise _UnreadableError(f"is not UTF-8 text (line {line}); save it as UTF-8") from None
