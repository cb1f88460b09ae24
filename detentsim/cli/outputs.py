"""Prints text or JSON on stdout and writes files, each replaced whole or not at all.

A file that no command has written is left alone.
"""

from __future__ import annotations

import itertools
import os
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import argparse
    from collections.abc import Callable, Iterable

    from matplotlib.figure import Figure

    from detentsim.units.errors import InputError


SIGNED = "Written by detentsim."
"""Last line of a report in a file; by it a command knows its own files, which it may replace."""

_PICTURES = (b"\x89PNG", b"<?xml", b"%PDF")


def hand_out(
    args: argparse.Namespace,
    report: Callable[[bool], str],
    document: Callable[[], dict[str, Any]],
    csv: Callable[[], str | Iterable[str]] | None = None,
    figure: Callable[[], Figure] | None = None,
) -> None:
    """Write the files that were asked for, then print the report or the JSON document.

    Parameters
    ----------
    args : Namespace
        Parsed arguments of a command that has `options.add_outputs`.
    report : callable
        Makes the report; takes whether to give all of it, as ``--full`` and a file ask for.
    document : callable
        Makes the JSON document.
    csv, figure : callable, optional
        Make the table, whole or in parts, and the figure. Each is called only where it is asked for.

    Raises
    ------
    InputError
        Where a file cannot be written, or holds something that no command has written.
    """
    from detentsim.show.theme.tables import to_json

    written = args.document is not None
    text = report(args.full or written) if written or not args.json else ""
    if args.csv is not None and csv is not None:
        write_output(args.csv, _table(args, csv()), "--csv")
    if written:
        write_output(args.document, f"{text}\n{SIGNED}\n", "-o")
    if args.figure is not None and figure is not None:
        from detentsim.show.theme.saving import save_figure

        save_figure(figure(), args.figure, _figure_option(args))
    print(to_json(document()) if args.json else text, end="")


def _table(args: argparse.Namespace, table: str | Iterable[str]) -> Iterable[str]:
    """Parts of a table; raises `InputError` where a file stands in its place that is no such table."""
    parts = iter([table] if isinstance(table, str) else table)
    first = next(parts, "")
    if not args.replace and _stands(args.csv):
        heading = first.partition("\n")[0]
        if not _read(args.csv).startswith(f"{heading}\n".encode()):
            raise _refusal("--csv", args.csv)
    return itertools.chain([first], parts)


def _stands(path: str) -> bool:
    """Whether there is a file with content at a path."""
    return os.path.isfile(path) and os.path.getsize(path) > 0


def _read(path: str) -> bytes:
    """Content of a file; empty where it cannot be read, so that it counts as not ours."""
    try:
        return Path(path).read_bytes()
    except OSError:
        return b""


def _refusal(option: str, path: str) -> InputError:
    """Error for a file that this program has not written."""
    from detentsim.units.errors import InputError
    from detentsim.units.wording import shown

    text = f"{shown(path, 80)} is there already and no such command wrote it; give another name, or add --replace"
    return InputError(option, path, text)


def keep_files(args: argparse.Namespace) -> None:
    """Refuse to write a report or a figure over a file that no command has written.

    A table is checked later, when its heading is known.

    Parameters
    ----------
    args : Namespace
        Parsed arguments of a command that has `options.add_outputs`.

    Raises
    ------
    InputError
        Where such a file stands in the way and ``--replace`` is not given.
    """
    if args.replace:
        return
    kinds = (("-o", args.document, _is_report), (_figure_option(args), args.figure, _is_picture))
    for option, path, is_own in kinds:
        if path is not None and _stands(path) and not is_own(_read(path)):
            raise _refusal(option, path)


def _is_report(content: bytes) -> bool:
    """Whether a file holds a report of this program."""
    return content.rstrip().endswith(SIGNED.encode()) or _is_page(content)


def _is_page(content: bytes) -> bool:
    """Whether a file holds an HTML page of this program."""
    return content.startswith(b"<!DOCTYPE html>") and b'<meta name="generator" content="detentsim">' in content[:1000]


PAGES = (".html", ".htm")


def check_page(path: str | None, needed: bool) -> None:
    """Refuse a path that no HTML page can be written to.

    Parameters
    ----------
    path : str or None
        As given under ``-o``.
    needed : bool
        Whether one must be given.

    Raises
    ------
    InputError
        Where it is missing, ends in something other than .html or .htm, or is a folder.
    """
    from detentsim.units.errors import InputError
    from detentsim.units.wording import shown

    if path is None:
        if needed:
            raise InputError("-o", None, "is missing; name the page to write, such as -o report.html")
    elif not path.lower().endswith(PAGES):
        raise InputError("-o", path, f"{shown(path, 80)} must end in .html, such as report.html")
    elif os.path.isdir(path):
        raise InputError("-o", path, f"{shown(path, 80)} is a folder; name a file, such as report.html")


def _is_picture(content: bytes) -> bool:
    """Whether a file holds a figure of this program."""
    return content.startswith(_PICTURES) and b"detentsim" in content


def _figure_option(args: argparse.Namespace) -> str:
    """Option that names a command's figure."""
    return str(getattr(args, "figure_option", "--figure"))


def check_figure(path: str, option: str = "--figure") -> None:
    """Refuse a path that no figure can be saved to.

    Parameters
    ----------
    path : str
    option : str
        Option that named it, for the error.

    Raises
    ------
    InputError
        Where it ends in something other than .png, .svg or .pdf, or is a folder.
    """
    from detentsim.show.theme.saving import check_figure_path

    check_figure_path(path, option)


def keep_apart(args: argparse.Namespace, *inputs: str) -> None:
    """Refuse outputs that overwrite an input or each other, or name no file; then check as `keep_files` does.

    Parameters
    ----------
    args : Namespace
        Parsed arguments of a command that has `options.add_outputs`.
    *inputs : str
        Files that the command reads besides its build.

    Raises
    ------
    InputError
        Naming the option and the path.
    """
    from detentsim.units.errors import InputError
    from detentsim.units.wording import shown

    taken = {_identity(path): "read by this command" for path in inputs if path}
    if "build" in args and args.build:
        taken[_identity(args.build)] = "the build file"
    picture = (_figure_option(args), args.figure, "new.png")
    outputs = (("--csv", args.csv, "new.csv"), ("-o", args.document, vars(args).get("example", "new.txt")), picture)
    for option, path, other in outputs:
        if path is None:
            continue
        if not path:
            raise InputError(option, path, f"names no file; give one, such as {other}")
        if os.path.isdir(path):
            raise InputError(option, path, f"{path} is a folder; give a file name, such as {os.path.join(path, other)}")
        real = _identity(path)
        if real in taken:
            raise InputError(option, path, f"{path} is {taken[real]}; give another name, such as {other}")
        if option == "-o" and path.lower().endswith(".toml") and not other.endswith(".toml"):
            text = f"{shown(path, 80)} is a build file's name, and this writes a report; give a name such as {other}"
            raise InputError(option, path, text)
        taken[real] = f"written by {option} already"
    if args.figure is not None:
        check_figure(args.figure, _figure_option(args))
    keep_files(args)


def _identity(path: str) -> tuple[int, int] | str:
    """Key that is equal for two names of one file: device and inode, which hard links share, else the full path."""
    try:
        found = os.stat(path)
    except (OSError, ValueError):
        return os.path.realpath(path)
    return found.st_dev, found.st_ino


def write_output(path: str, text: str | Iterable[str], option: str) -> None:
    """Write a file, replacing it whole or not at all.

    Parameters
    ----------
    path : str
    text : str or iterable of str
        Content, whole or in parts.
    option : str
        Option that named the file, for the error.

    Raises
    ------
    InputError
        Where the file cannot be written; what stood there before still does.
    """
    from detentsim.knife.file.text import write_text
    from detentsim.units.errors import InputError

    try:
        write_text(Path(path), text)
    except InputError as error:
        raise InputError(option, path, error.message) from None
