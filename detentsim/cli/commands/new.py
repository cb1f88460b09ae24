"""The command ``new``: a build file to start from."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from detentsim.cli.outputs import write_output
from detentsim.cli.status import DONE

if TYPE_CHECKING:
    import argparse


def add(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the command ``new`` and its options to the parser."""
    one = commands.add_parser(
        "new",
        help="write a commented build file to start from",
        description="Write a commented build file to start from. An existing file is left alone.",
    )
    one.add_argument("file", metavar="FILE", help="file to write, like garden.toml")
    one.add_argument("--json", action="store_true", help="print what was written as JSON")
    one.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Run ``new`` and give its exit status; raises `InputError` for bad input."""
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
