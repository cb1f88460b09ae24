"""Reads a maker's text files with a clear message for every failure; replaces files whole or not at all.

Lowest module of the room; every file the package writes goes through `replace_file`.
"""

from __future__ import annotations

import errno
import os
import tempfile
from importlib.resources import files
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from detentsim.knife.checks.problems import BuildError, Problem
from detentsim.units.errors import InputError
from detentsim.units.wording import shorten, shown

if TYPE_CHECKING:
    from collections.abc import Iterable

LARGEST = 256 * 1024
"""Largest build file read, in bytes."""


def data_text(name: str) -> str:
    """Return the text of a data file of this room.

    Parameters
    ----------
    name : str
        Its name.

    Returns
    -------
    str
        UTF-8 text.

    Examples
    --------
    >>> data_text("demo.toml").splitlines()[0]
    '# The demo: an 82 mm garden folder from an invented workshop, right hand.'
    """
    return files("detentsim.knife.file").joinpath("data", name).read_text(encoding="utf-8")


class FileWords(NamedTuple):
    """What messages say of one sort of file."""

    missing: str  # what to do where there is none
    called: str  # what to give instead of a folder
    largest: int  # bytes
    too_large: str  # what to do about a larger one
    saved: str  # what to save instead of what is no text


_BUILD = FileWords(
    "`detentsim new FILE` writes one to start from",
    "give a build file such as garden.toml",
    LARGEST,
    "a build file is a few kB of text",
    "a build file is plain text (TOML)",
)


def read_text(path: str | Path) -> str:
    """Return the text of a build file, line ends and byte order mark kept.

    Parameters
    ----------
    path : str or Path
        The file.

    Returns
    -------
    str
        Its text.

    Raises
    ------
    BuildError
        As `text_of`, and when it is empty.
    """
    text = text_of(path, _BUILD)
    if not text.strip():
        raise _unreadable(path, "is empty; `detentsim new FILE` writes a build file to start from")
    return text


def text_of(path: str | Path, words: FileWords) -> str:
    """Return the text of a file that a maker names, line ends and byte order mark kept.

    Parameters
    ----------
    path : str or Path
        The file.
    words : FileWords
        For the messages.

    Returns
    -------
    str
        Its text.

    Raises
    ------
    BuildError
        When it is missing, a folder, unreadable, too large, binary or not UTF-8.
    InputError
        For what is no file name.
    """
    if not isinstance(path, str | Path):
        raise InputError("path", path, f"{shown(path)} is no file name; {words.called}")
    try:
        return _decoded(_bytes(Path(path), words), words)
    except FileNotFoundError:
        raise _unreadable(path, f"there is no such file; {words.missing}") from None
    except _Unreadable as why:
        raise _unreadable(path, str(why)) from None
    except (OSError, ValueError) as error:
        raise _unreadable(path, f"cannot be read: {_why(error)}") from None


class _Unreadable(ValueError):
    """The reason why a file cannot be read."""


def _unreadable(path: str | Path, why: str) -> BuildError:
    return BuildError([Problem(shorten(str(path), 300), None, "", why)])


def _bytes(path: Path, words: FileWords) -> bytes:
    # reading a pipe or a device could wait forever, so only plain files are opened
    if path.exists() and not path.is_file():
        kind = "a folder" if path.is_dir() else "not a plain file"
        raise _Unreadable(f"is {kind}; {words.called}")
    with path.open("rb") as file:
        content = file.read(words.largest + 1)
    if len(content) > words.largest:
        size, unit = (words.largest >> 20, "MB") if words.largest >= 1 << 20 else (words.largest >> 10, "kB")
        raise _Unreadable(f"is larger than {size} {unit}; {words.too_large}")
    return content


def _why(error: Exception) -> str:
    """Return the system's message for a failure; it has none for an invalid file name."""
    message = error.strerror if isinstance(error, OSError) else None
    return message or "not a usable file name"


def _decoded(content: bytes, words: FileWords) -> str:
    if content.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise _Unreadable("is saved as UTF-16; save it as UTF-8")
    if b"\0" in content:
        raise _Unreadable(f"is not a text file; {words.saved}")
    try:
        return content.decode("utf-8")
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        raise _Unreadable(f"is not UTF-8 text (line {line}); save it as UTF-8") from None


def write_text(path: Path, text: str | Iterable[str]) -> None:
    """Write a file through a temporary one in the same folder, which then takes its place.

    Parameters
    ----------
    path : Path
        The file.
    text : str or iterable of str
        Its new text, written unchanged; a long text may come in parts.

    Raises
    ------
    InputError
        When it cannot be written; the old file is then unchanged.

    Examples
    --------
    >>> import tempfile
    >>> folder = tempfile.TemporaryDirectory()
    >>> path = Path(folder.name, "mine.toml")
    >>> write_text(path, "hand = 'left'")
    >>> read_text(path)
    "hand = 'left'"
    >>> folder.cleanup()
    """
    field = shorten(str(path), 300)
    try:
        target = Path(os.path.realpath(path))  # a link may lead to a folder or a device
        if target.is_dir():
            raise InputError(field, str(path), "is a folder; give the name of a file in it")
        if target.exists() and not target.is_file():
            raise InputError(field, str(path), "is a device, not a plain file; give a file name without it")
        replace_file(path, text.encode("utf-8") if isinstance(text, str) else (part.encode("utf-8") for part in text))
    except InputError:
        raise
    except (OSError, ValueError) as error:
        raise InputError(field, str(path), f"cannot be written: {_why(error)}; nothing was changed") from None


def replace_file(path: Path, content: bytes | Iterable[bytes]) -> None:
    """Replace a file whole or not at all, through a temporary file beside it; its permissions stay.

    Parameters
    ----------
    path : Path
        The file; through a link, its file is replaced and not the link.
    content : bytes or iterable of bytes
        New content. Bytes are read back and compared before the file is replaced; parts are not.

    Raises
    ------
    OSError, ValueError
        When it cannot be written; the old file is then unchanged.

    Examples
    --------
    >>> import tempfile
    >>> folder = tempfile.TemporaryDirectory()
    >>> path = Path(folder.name, "mine.toml")
    >>> replace_file(path, b"a = 1")
    >>> path.read_bytes()
    b'a = 1'
    >>> folder.cleanup()
    """
    target = Path(os.path.realpath(path))
    handle, temporary = tempfile.mkstemp(prefix=".", suffix=".part", dir=target.parent)
    try:
        with os.fdopen(handle, "wb") as file:
            file.writelines([content] if isinstance(content, bytes) else content)
        os.chmod(temporary, _mode(target))
        if isinstance(content, bytes) and Path(temporary).read_bytes() != content:
            raise OSError(errno.EIO, "what was read back differs from what was written")
        os.replace(temporary, target)
    except BaseException:
        Path(temporary).unlink(missing_ok=True)
        raise


def _mode(target: Path) -> int:
    """Return the permissions the file has, or those a new file would get."""
    if target.exists():
        return target.stat().st_mode & 0o7777
    mask = os.umask(0)
    os.umask(mask)
    return 0o666 & ~mask
