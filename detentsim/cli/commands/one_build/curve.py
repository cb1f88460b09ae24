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
        help="the feel curve of a build: force to open against blade angle, and the numbers that explain it",
        description="The feel curve of a build, the numbers that explain it, and what to do at the bench.",
    )
    add_build(one)
    worn = "compare the results fresh and worn in: edges coined by the ball, then worn by its sliding"
    one.add_argument("--worn-in", action="store_true", help=worn)
    one.add_argument(
        "--openings",
        metavar="N",
        help="with --worn-in: number of openings after which to give the wear; default 10,000",
    )
    add_outputs(one, run, csv="write the curve as a table", figure="draw the curve and the dimple")


def run(args: argparse.Namespace) -> int:
    """Run ``curve`` and give its exit status; raises `InputError` for bad input."""
    from detentsim import show
    from detentsim.analysis.one_build.curve.curve import curve
    from detentsim.show.one_build.feel_curve.data_files import curve_csv, curve_document
    from detentsim.show.one_build.feel_curve.report import report

    if args.worn_in or args.openings is not None:
        return _run_worn(args)
    keep_apart(args)
    build, where_from = read_build(args)
    c = curve(build)
    hand_out(
        args,
        lambda full: report(c, where_from, full),
        lambda: curve_document(c),
        lambda: curve_csv(c),
        lambda: show.curve_figure(c),
    )
    return DONE


def _run_worn(args: argparse.Namespace) -> int:
    """Run ``curve --worn-in`` and give its exit status; raises `InputError` for bad input."""
    from detentsim import show
    from detentsim.analysis.one_build.wear.worn_in import MOST, worn_in
    from detentsim.show.one_build.wear.report import worn_csv, worn_document, worn_report
    from detentsim.units.errors import InputError
    from detentsim.units.whole import whole_number

    if not args.worn_in:
        raise InputError("--openings", args.openings, "needs --worn-in; give both, such as --worn-in --openings 10000")
    openings = 10_000 if args.openings is None else whole_number("--openings", args.openings, (1, MOST), 10_000)
    keep_apart(args)
    build, where_from = read_build(args)
    w = worn_in(build, openings)
    hand_out(
        args,
        lambda full: worn_report(w, where_from, full),
        lambda: worn_document(w),
        lambda: worn_csv(w),
        lambda: show.worn_figure(w),
    )
    return DONE
