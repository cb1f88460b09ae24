"""The command ``sizes``: tables of what can be bought, and of friction."""

from __future__ import annotations

from typing import TYPE_CHECKING

from detentsim.cli.options import add_json
from detentsim.cli.status import DONE

if TYPE_CHECKING:
    import argparse


def add(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the command ``sizes`` and its options to the parser."""
    one = commands.add_parser(
        "sizes",
        help="drills, balls and materials that can be bought, and friction by state of the surfaces",
        description="Sizes and materials that can be bought, in inch and mm, and friction by state of ball and tang. "
        "--json adds the sources.",
    )
    one.add_argument("kind", choices=("drills", "balls", "materials", "friction"), help="the table to show")
    one.add_argument("--near", metavar="SIZE", help='only the sizes close to this one, like "1.45 mm"')
    add_json(one, "instead of the table")
    one.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Run ``sizes`` and give its exit status; raises `InputError` for bad input."""
    from detentsim.shop import sizes
    from detentsim.show.theme.tables import table_with_notes, to_json

    found = sizes.near(args.kind, args.near) if args.near is not None else sizes.table(args.kind)
    if args.json:
        print(to_json({"kind": args.kind, "near": args.near, "rows": found.as_dicts()}), end="")
    else:
        print(table_with_notes(found.header, found.rows), end="")
    return DONE
