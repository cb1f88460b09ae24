"""The command ``readings``: a readings file to fill in."""

from __future__ import annotations

from typing import TYPE_CHECKING

from detentsim.cli.builds import read_unpressed
from detentsim.cli.options import add_file, add_units
from detentsim.cli.outputs import keep_apart, write_output
from detentsim.cli.status import DONE

if TYPE_CHECKING:
    import argparse


def add(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the command ``readings`` and its options to the parser."""
    one = commands.add_parser(
        "readings",
        help="a readings file to fill in for fit, advise and report",
        description="A readings file to fill in: what can be read with shop tools, how, and the usual error of each "
        "reading.",
    )
    add_file(one)
    one.add_argument("--json", action="store_true", help="print one JSON document instead")
    one.add_argument("--replace", action="store_true", help="overwrite an existing file")
    add_units(one)
    one.add_argument("-o", metavar="FILE", dest="document", help="write to a file instead of printing")
    one.set_defaults(run=run, csv=None, figure=None, example="new.toml")


def run(args: argparse.Namespace) -> int:
    """Run ``readings`` and give its exit status; raises `InputError` for bad input."""
    from detentsim.analysis.in_hand.fit.readable import readable
    from detentsim.show.in_hand.fit.data_files import readings_rows, readings_template
    from detentsim.show.theme.tables import to_json

    keep_apart(args)
    build, _ = read_unpressed(args.build, args.units)
    results = readable(build)
    if args.document is not None:
        write_output(args.document, readings_template(build, results), "-o")
    said = f"Wrote {args.document}.\n" if args.document is not None else readings_template(build, results)
    print(to_json({"readings": readings_rows(build, results)}) if args.json else said, end="")
    return DONE
