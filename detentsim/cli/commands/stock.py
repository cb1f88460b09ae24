"""The commands ``sizes`` and ``new``: tables of what can be bought, and a build file to start from."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from detentsim.cli.options import add_json
from detentsim.cli.outputs import write_output
from detentsim.cli.status import DONE

if TYPE_CHECKING:
    import argparse


def add(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the commands ``sizes`` and ``new`` and their options to the parser."""
    _add_sizes(commands)
    _add_new(commands)


def _add_sizes(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    one = commands.add_parser(
        "sizes",
        help="drills, balls and materials that can be bought, and friction by state of the surfaces",
        description="Sizes and materials that can be bought, in inch and mm, and friction by state of ball and tang. "
        "--json adds the sources.",
    )
    one.add_argument("kind", choices=("drills", "balls", "materials", "friction"), help="the table to show")
    one.add_argument("--near", metavar="SIZE", help='only the sizes close to this one, like "1.45 mm"')
    add_json(one, "instead of the table")
    one.set_defaults(run=_sizes)


def _add_new(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    one = commands.add_parser(
        "new",
        help="write a commented build file to start from",
        description="Write a commented build file to start from. An existing file is left alone.",
    )
    one.add_argument("file", metavar="FILE", help="file to write, like garden.toml")
    one.add_argument("--json", action="store_true", help="print what was written as JSON")
    one.set_defaults(run=_new)


def _sizes(args: argparse.Namespace) -> int:
    from detentsim.shop import sizes
    from detentsim.show.theme.tables import table_with_notes, to_json

    found = sizes.near(args.kind, args.near) if args.near is not None else sizes.table(args.kind)
    if args.json:
        print(to_json({"kind": args.kind, "near": args.near, "rows": found.as_dicts()}), end="")
    else:
        print(table_with_notes(found.header, found.rows), end="")
    return DONE


def _new(args: argparse.Namespace) -> int:
    from detentsim.knife.packaged import template_text
    from detentsim.show.theme.tables import to_json
    from detentsim.units.errors import InputError

    if not args.file:
        raise InputError("FILE", args.file, "names no file; give one, such as garden.toml")
    path = Path(args.file)
    if path.exists():
        raise InputError("FILE", args.file, f"{args.file} is there already; give another name, such as new-garden.toml")
    write_output(args.file, template_text(), "FILE")
    said = f"Wrote {args.file}. Put your own numbers in, then: detentsim curve {args.file}\n"
    print(to_json({"wrote": args.file}) if args.json else said, end="")
    return DONE
