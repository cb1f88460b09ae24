"""The command ``design``: its options, and one call of the analysis and of its report."""

from __future__ import annotations

from typing import TYPE_CHECKING

from detentsim.cli.builds import in_stock, read_unpressed
from detentsim.cli.options import add_file, add_outputs, add_stock
from detentsim.cli.outputs import hand_out, keep_apart
from detentsim.cli.status import DONE, INTERRUPTED, NO

if TYPE_CHECKING:
    import argparse


def add(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the command ``design`` and its options to the parser."""
    one = commands.add_parser(
        "design",
        help="what to buy, drill, mill and bend: stock sizes with which most knives meet the target",
        description="Ball, drills, slab, relief and bend that meet the build's target. Proposals with the most "
        "knives inside come first.",
        epilog="Exit status 1: nothing meets the target.",
    )
    add_file(one)
    one.add_argument(
        "--fix", metavar="NAME", action="append", default=[], help="an input to keep as it is, like ball.diameter"
    )
    one.add_argument("--most", metavar="N", help="number of proposals to show; default 6")
    add_stock(one)
    figure = "draw the proposals, breakout against share inside"
    add_outputs(one, run, csv="write a table with a row for each proposal", figure=figure)


def run(args: argparse.Namespace) -> int:
    """Run ``design`` and give its exit status; raises `InputError` for bad input."""
    from detentsim import show
    from detentsim.analysis.many_builds.design.design import design
    from detentsim.show.many_builds.design.data_files import design_csv, design_document
    from detentsim.show.many_builds.design.report import TOLD, design_report

    keep_apart(args)
    most = TOLD if args.most is None else _count(args.most)
    build, where_from = read_unpressed(args.build, args.units)
    build = in_stock(build, args.stock)
    names = [name.strip() for words in args.fix for name in words.split(",")]
    found = design(build, names)
    hand_out(
        args,
        lambda full: design_report(found, where_from, most, full),
        lambda: design_document(found),
        lambda: design_csv(found),
        lambda: show.design_figure(found, most),
    )
    return INTERRUPTED if found.stopped else DONE if found.proposals else NO


def _count(text: str) -> int:
    from detentsim.units.errors import InputError

    if not text.isascii() or not text.isdigit() or not 1 <= int(text[:9]) <= 100 or len(text) > 3:
        raise InputError("--most", text, f'"{text[:40]}" is no count; give a whole number from 1 to 100, such as 6')
    return int(text)
