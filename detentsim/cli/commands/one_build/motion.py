"""The command ``motion``: its options, and one call of the analysis and of its report."""

from __future__ import annotations

from typing import TYPE_CHECKING

from detentsim.cli.builds import read_build
from detentsim.cli.options import add_build, add_outputs
from detentsim.cli.outputs import hand_out, keep_apart
from detentsim.cli.status import DONE

if TYPE_CHECKING:
    import argparse


def add(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the command ``motion`` and its options to the parser."""
    one = commands.add_parser(
        "motion",
        help="whether the blade flies open, falls shut, and stays shut in a pocket",
        description="The blade in motion: thrown open by a finger, falling shut by its weight, staying shut in a "
        "pocket.",
    )
    add_build(one)
    add_outputs(one, run, figure="draw speed, energy and positions")


def run(args: argparse.Namespace) -> int:
    """Run ``motion`` and give its exit status; raises `InputError` for bad input."""
    from detentsim import show
    from detentsim.analysis.one_build.motion.motion import motion
    from detentsim.show.one_build.motion.report import motion_document, motion_report

    keep_apart(args)
    build, where_from = read_build(args)
    m = motion(build)
    hand_out(
        args,
        lambda full: motion_report(m, where_from, full),
        lambda: motion_document(m),
        figure=lambda: show.motion_figure(m),
    )
    return DONE
