"""Results handed out: text or JSON on stdout, files replaced whole or not at all."""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import argparse
    from collections.abc import Callable, Iterable

    from matplotlib.figure import Figure


def hand_out(
    args: argparse.Namespace,
    text: str,
    document: Callable[[], dict[str, Any]],
    csv: Callable[[], str | Iterable[str]] | None = None,
    figure: Callable[[], Figure] | None = None,
) -> None:
    """Write what was asked for to its files, and print the text or the document."""
    from detentsim.show.theme.tables import to_json

    if args.csv is not None and csv is not None:
        write_output(args.csv, csv(), "--csv")
    if args.document is not None:
        write_output(args.document, text, "-o")
    if args.figure is not None and figure is not None:
        from detentsim.show.theme.saving import save_figure

        save_figure(figure(), args.figure)
    print(to_json(document()) if args.json else text, end="")


def check_figure(path: str) -> None:
    """Refuse a path that no figure can be saved to; raises `InputError`."""
    from detentsim.show.theme.saving import check_figure_path

    check_figure_path(path)


def keep_apart(args: argparse.Namespace, *inputs: str) -> None:
    """Refuse to write over a file that is read, two outputs into one file, or what is no name for one."""
    from detentsim.units.errors import InputError

    taken = {os.path.realpath(path): "read by this command" for path in inputs if path}
    if "build" in args and args.build:
        taken[os.path.realpath(args.build)] = "the build file"
    outputs = (("--csv", args.csv, "new.csv"), ("-o", args.document, "new.txt"), ("--figure", args.figure, "new.png"))
    for option, path, other in outputs:
        if path is None:
            continue
        if not path:
            raise InputError(option, path, f"names no file; give one, such as {other}")
        real = os.path.realpath(path)
        if real in taken:
            raise InputError(option, path, f"{path} is {taken[real]}; give another name, such as {other}")
        taken[real] = f"written by {option} already"
    if args.figure is not None:
        check_figure(args.figure)


def write_output(path: str, text: str | Iterable[str], option: str) -> None:
    """Replace a file whole; raises `InputError` that names the option."""
    from detentsim.knife.file.text import write_text
    from detentsim.units.errors import InputError

    try:
        write_text(Path(path), text)
    except InputError as error:
        raise InputError(option, path, error.message) from None
