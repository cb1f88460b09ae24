"""The command ``layout``: its options, and one call of the analysis and of its report."""

from __future__ import annotations

from typing import TYPE_CHECKING

from detentsim.cli.builds import read_build
from detentsim.cli.options import add_build, add_outputs
from detentsim.cli.outputs import hand_out, keep_apart
from detentsim.cli.status import DONE, NO

if TYPE_CHECKING:
    import argparse


def add(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the command ``layout`` and its options to the parser."""
    one = commands.add_parser(
        "layout",
        help="the ball's path on the tang: clearances, where the ball drops off, better places, over-close",
        description="The ball's path on the tang, for a build with a section [layout]: clearance from every edge and "
        "hole, where the ball drops off, other places for it on the bar, and over-close as the clamp moves the blade.",
        epilog="Without BUILD: the demo with its tang in plan. Exit status 1: the layout cannot stay as it is.",
    )
    add_build(one)
    add_outputs(one, run, csv="write the map of places as a table", figure="draw the tang and the map of places")


def run(args: argparse.Namespace) -> int:
    """Run ``layout`` and give its exit status; raises `InputError` for bad input."""
    from detentsim import show
    from detentsim.analysis.one_build.layout.layout import layout
    from detentsim.analysis.one_build.summary import summary
    from detentsim.show.one_build.layout.report import layout_document, layout_report, places_csv

    keep_apart(args)
    build, where_from = read_build(args, in_plan=True)
    found = layout(build)
    checked = summary(build)
    hand_out(
        args,
        lambda full: layout_report(found, checked, where_from, full),
        lambda: layout_document(found, checked),
        lambda: places_csv(found),
        lambda: show.layout_figure(found, checked),
    )
    return DONE if found.sound else NO
