"""The command ``explore``: its options, and one call of the analysis and of its report."""

from __future__ import annotations

from typing import TYPE_CHECKING

from detentsim.cli.builds import in_stock, read_build
from detentsim.cli.options import add_build, add_outputs, add_stock
from detentsim.cli.outputs import keep_apart
from detentsim.cli.status import DONE

if TYPE_CHECKING:
    import argparse


def add(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the command ``explore`` and its options to the parser."""
    one = commands.add_parser(
        "explore",
        help="a window with knobs: turn one and watch the feel change",
        description="A window with a knob for each input: turn one and watch the feel curve and the ball in its "
        "dimple.",
        epilog="When the window is closed, the changes are printed.",
    )
    add_build(one)
    add_stock(one)
    add_outputs(
        one,
        run,
        figure="open no window, but draw it as it would open",
        document="what the window's button saves the build as",
        example="new.toml",
        full=False,
    )


def run(args: argparse.Namespace) -> int:
    """Run ``explore`` and give its exit status; raises `InputError` for bad input."""
    from detentsim.analysis.explore.session import Session
    from detentsim.show.explorer.board import explore_figure
    from detentsim.show.explorer.report import explore_document, explore_report
    from detentsim.show.explorer.window import open_window
    from detentsim.show.theme.saving import save_figure
    from detentsim.show.theme.tables import to_json
    from detentsim.units.errors import InputError

    if args.document is not None and args.figure is not None:
        raise InputError(
            "-o", args.document, "cannot go with --figure, which opens no window to save from; leave one of them out"
        )
    build, where_from = read_build(args)
    turns = Session(in_stock(build, args.stock))
    try:
        save_as = None if args.document is None else turns.files.check(args.document)
    except InputError as error:
        raise InputError("-o", args.document, error.problem) from None
    keep_apart(args)
    saved = ""
    if args.figure is None:
        saved = open_window(turns, save_as).saved
    else:
        turns.rest()
        save_figure(explore_figure(turns, args.figure), args.figure, "--figure")
    print(to_json(explore_document(turns, saved)) if args.json else explore_report(turns, where_from, saved), end="")
    return DONE
