"""The command ``sheet``: its options, and one call of the analysis and of its page."""

from __future__ import annotations

from typing import TYPE_CHECKING

from detentsim.cli.builds import read_build
from detentsim.cli.options import add_file, add_json, add_replace, add_units
from detentsim.cli.outputs import hand_out, keep_apart
from detentsim.cli.status import DONE, NO

if TYPE_CHECKING:
    import argparse


def add(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the command ``sheet`` and its options to the parser."""
    one = commands.add_parser(
        "sheet",
        help="one page for the bench: drawings, the layout at full size, steps with tick boxes",
        description="One page to print for the bench: bar and dimple to scale, the layout at full size with a ruler, "
        "and every step with its numbers. Without -o the steps are printed as text.",
        epilog="Exit status 1, with the page written: the layout cannot stay as it is, or a limit is exceeded.",
    )
    add_file(one, demo=False)
    one.add_argument("--paper", choices=("a4", "letter"), default="a4", help="paper size; default a4")
    speed = 'surface speed of every drill, like "12 m/min"; default: by the material drilled'
    one.add_argument("--surface-speed", metavar="SPEED", help=speed)
    add_json(one, "instead of the steps")
    add_replace(one)
    add_units(one)
    one.add_argument("-o", metavar="FILE", dest="figure", help="write the page (.pdf, .png or .svg)")
    one.set_defaults(run=run, csv=None, document=None, full=False, press=None, figure_option="-o")


def run(args: argparse.Namespace) -> int:
    """Run ``sheet`` and give its exit status; raises `InputError` for bad input."""
    from detentsim import show
    from detentsim.analysis.in_hand.sheet.sheet import sheet
    from detentsim.show.in_hand.sheet.document import sheet_document, sheet_text
    from detentsim.units.errors import InputError

    if args.build is None:
        raise InputError("BUILD", None, "a sheet is for a knife of your own: give its build file, such as mine.toml")
    keep_apart(args)
    build, _ = read_build(args)
    s = sheet(build, args.surface_speed)
    hand_out(
        args, lambda _full: sheet_text(s), lambda: sheet_document(s), figure=lambda: show.sheet_figure(s, args.paper)
    )
    return DONE if s.limits.within and (s.layout is None or s.layout.sound) else NO
