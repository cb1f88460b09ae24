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
        help="how near each part is to its limit: the bar's bend, its wear in service, tang, ball, clip",
        description="How near each part of a build is to its limit, how to bend the bar in, what service takes back.",
        epilog="exit status 1 when a limit is exceeded",
    )
    add_build(one)
    one.add_argument("--push", metavar="TRAVEL", help='tell what bend a push of the tip leaves, like "12 mm"')
    add_outputs(one, run, figure="draw the bar, its stress and a travel ruler")


def run(args: argparse.Namespace) -> int:
    """Run ``limits`` and give its exit status; raises `InputError` for bad input."""
    from detentsim import show
    from detentsim.analysis.one_build.limits.limits import limits
    from detentsim.analysis.one_build.summary import summary
    from detentsim.show.one_build.limits.report import limits_document, limits_report

    keep_apart(args)
    build, where_from = read_build(args)
    found = limits(build)
    pushed = None if args.push is None else found.bend_from_push(args.push)
    checked, full = summary(build, known=found), args.full or args.document is not None
    text = limits_report(found, checked, where_from, pushed, full)
    hand_out(
        args, text, lambda: limits_document(found, checked, pushed), figure=lambda: show.limits_figure(found, checked)
    )
    return DONE if found.within else NO
