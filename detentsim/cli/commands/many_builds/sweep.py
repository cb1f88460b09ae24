"""The command ``sweep``: its options, and one call of the analysis and of its report."""

from __future__ import annotations

from typing import TYPE_CHECKING

from detentsim.cli.builds import read_build
from detentsim.cli.options import add_build, add_outputs
from detentsim.cli.outputs import hand_out, keep_apart
from detentsim.cli.status import DONE, INTERRUPTED
from detentsim.cli.vary import read_vary

if TYPE_CHECKING:
    import argparse

    from detentsim.analysis.many_builds.sweep.designs import Sweep
    from detentsim.knife.model import Build


def add(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the command ``sweep`` and its options to the parser."""
    one = commands.add_parser(
        "sweep",
        help="vary any inputs and give the results for every combination",
        description="Vary any inputs of a build and solve every combination of their values.",
        epilog='A range is START:STOP:COUNT, a list ONE,OTHER,...: --vary "bar.bend=1 mm:3 mm:21" '
        '--vary "dimple.rim_drill=1.9 mm,#48".',
    )
    add_build(one)
    one.add_argument(
        "--vary", metavar="NAME=VALUES", action="append", required=True, help="an input and its values; may be repeated"
    )
    one.add_argument(
        "--of", metavar="RESULTS", action="append", default=[], help="results to give, like breakout_force,falls_shut"
    )
    one.add_argument(
        "--over",
        choices=["batch"],
        help="batch: for each design, the share of 256 knives made to it that are inside the target",
    )
    one.add_argument("--worn-in", action="store_true", help="wear in the edges of each design")
    add_outputs(
        one,
        run,
        csv="write a table with a row for each design",
        figure="draw lines, a map or several",
        document="also write the report to a file",
    )


def run(args: argparse.Namespace) -> int:
    """Run ``sweep`` and give its exit status; raises `InputError` for bad input."""
    import numpy as np

    from detentsim import show
    from detentsim.knife.outcomes import SHARE_INSIDE
    from detentsim.show.many_builds.sweep.report import sweep_csv, sweep_document, sweep_report

    keep_apart(args)
    build, where_from = read_build(args)
    of = tuple(dict.fromkeys(name.strip() for words in args.of for name in words.split(",")))
    shown = (SHARE_INSIDE, *of) if args.over and of else of
    vary = _vary(args)
    if args.figure is not None:
        _check_drawable(vary, shown)
    s = _swept(build, vary, of, args)
    hand_out(
        args,
        lambda full: sweep_report(s, shown, where_from, full),
        lambda: sweep_document(s, build.demo),
        lambda: sweep_csv(s),
        lambda: show.sweep_figure(s, shown or None),
    )
    return DONE if np.all(s.done) else INTERRUPTED


def _vary(args: argparse.Namespace) -> dict[str, object]:
    """Inputs to vary with their values, by name."""
    from detentsim.units.errors import InputError

    vary = read_vary(args.vary, "--vary")
    if args.press is not None and "grip.force" in vary:
        raise InputError("--press", args.press, "stands beside --vary grip.force; give the push once")
    return vary


def _swept(build: Build, vary: dict[str, object], of: tuple[str, ...], args: argparse.Namespace) -> Sweep:
    """Solve the sweep without its warning about Ctrl-C, since the report says what is not solved."""
    import warnings

    from detentsim.analysis.many_builds.sweep.sweep import sweep

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        return sweep(build, vary, of or None, over=args.over, worn_in=args.worn_in, typed=True)


def _check_drawable(vary: dict[str, object], of: tuple[str, ...]) -> None:
    """Refuse a sweep that no figure can show, before it is solved."""
    from detentsim.knife.table.columns import read_columns
    from detentsim.show.many_builds.sweep.page import check_drawable

    check_drawable([len(column) for column in read_columns(vary, typed=True)], of)
