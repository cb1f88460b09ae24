"""Reads text files with a clear message for every failure; replaces files whole or not at all.

Lowest module of the room; every file the package writes goes through `replace_file`.
"""

from __future__ import annotations

import errno
import os
import tempfile
from importlib.resources import files
from pathlib import Path
from typing import TYPE_CHECKING

from detentsim.knife.checks.problems import BuildError, Problem
from detentsim.units.errors import InputError
from detentsim.units.wording import shorten

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
        When it is missing, a folder, unreadable, too large, empty, binary or not UTF-8.
    """
    try:
        return _decoded(_bytes(Path(path)))
    except _Unreadable as why:
        raise BuildError([Problem(shorten(str(path), 300), None, "", str(why))]) from None


class _Unreadable(Exception):
    """The reason why a file cannot be read as a build file."""


def _bytes(path: Path) -> bytes:
    try:
        # reading a pipe or a device could wait forever, so only plain files are opened
        if path.exists() and not path.is_file():
            kind = "a folder" if path.is_dir() else "not a plain file"
            raise _Unreadable(f"is {kind}; give a build file such as garden.toml")
        with path.open("rb") as file:
            content = file.read(LARGEST + 1)
    except FileNotFoundError:
        raise _Unreadable("there is no such file; `detentsim new FILE` writes one to start from") from None
    except (OSError, ValueError) as error:
        raise _Unreadable(f"cannot be read: {_why(error)}") from None
    if len(content) > LARGEST:
        raise _Unreadable(f"is larger than {LARGEST // 1024} kB; a build file is a few kB of text")
    return content


def _why(error: Exception) -> str:
    """Return the system's message for a failure; it has none for an invalid file name."""
    message = error.strerror if isinstance(error, OSError) else None
    return message or "not a usable file name"


def _decoded(content: bytes) -> str:
    if not content.strip():
        raise _Unreadable("is empty; `detentsim new FILE` writes a build file to start from")
    if content.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise _Unreadable("is saved as UTF-16; save it as UTF-8")
    if b"\0" in content:
        raise _Unreadable("is not a text file; a build file is plain text (TOML)")
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
            raise InputError(field, str(path), "is a folder; give a file name such as mine.toml")
        if target.exists() and not target.is_file():
            raise InputError(field, str(path), "is a device, not a plain file; give a file name such as mine.toml")
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
