"""The command ``curve``: its options, and one call of the analysis and of its report."""

from __future__ import annotations

from typing import TYPE_CHECKING

from detentsim.cli.builds import read_build
from detentsim.cli.options import add_build, add_outputs
from detentsim.cli.outputs import hand_out, keep_apart
from detentsim.cli.status import DONE

if TYPE_CHECKING:
    import argparse


def add(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the command ``curve`` and its options to the parser."""
    one = commands.add_parser(
        "curve",
        help="the feel curve of a build: force to open against blade angle, and what explains it",
        description="The feel curve of a build, the numbers that explain it, and what to do at the bench.",
    )
    add_build(one)
    add_outputs(one, run, csv="write the curve as a table", figure="draw the curve and the dimple")


def run(args: argparse.Namespace) -> int:
    """Run ``curve`` and give its exit status; raises `InputError` for bad input."""
    from detentsim import show
    from detentsim.analysis.one_build.curve.curve import curve
    from detentsim.show.one_build.feel_curve.data_files import curve_csv, curve_document
    from detentsim.show.one_build.feel_curve.report import report

    keep_apart(args)
    build, where_from = read_build(args)
    c = curve(build)
    text = "" if args.json and args.document is None else report(c, where_from, args.full or args.document is not None)
    hand_out(args, text, lambda: curve_document(c), lambda: curve_csv(c), lambda: show.curve_figure(c))
    return DONE
