"""The command ``limits``: its options, and one call of the analysis and of its report."""

from __future__ import annotations

from typing import TYPE_CHECKING

from detentsim.cli.builds import read_build
from detentsim.cli.options import add_build, add_outputs
from detentsim.cli.outputs import hand_out, keep_apart
from detentsim.cli.status import DONE, NO

if TYPE_CHECKING:
    import argparse


def add(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the command ``limits`` and its options to the parser."""
    one = commands.add_parser(
        "limits",
        help="how close each part is to its limit: bending the bar, loss of bend in service, tang, ball, clip",
        description="How close each part of a build is to its limit, how to bend the bar in, and how much bend is "
        "lost in service.",
        epilog="Exit status 1: a limit is exceeded.",
    )
    add_build(one)
    one.add_argument(
        "--push", metavar="TRAVEL", help='also give the bend that pushing the tip this far leaves, like "12 mm"'
    )
    add_outputs(one, run, figure="draw the bar, its stress and a ruler of its travel")


def run(args: argparse.Namespace) -> int:
    """Run ``limits`` and give its exit status; raises `InputError` for bad input."""
    from detentsim import show
    from detentsim.analysis.one_build.summary import limits_and_summary
    from detentsim.show.one_build.limits.report import limits_document, limits_report

    keep_apart(args)
    build, where_from = read_build(args)
    found, checked = limits_and_summary(build)
    pushed = None if args.push is None else found.bend_from_push(args.push)
    hand_out(
        args,
        lambda full: limits_report(found, checked, where_from, pushed, full),
        lambda: limits_document(found, checked, pushed),
        figure=lambda: show.limits_figure(found, checked),
    )
    return DONE if found.within else NO
