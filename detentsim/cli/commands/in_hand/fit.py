"""The command ``fit``: its options, and one call of the analysis and of its report."""

from __future__ import annotations

from typing import TYPE_CHECKING

from detentsim.cli.builds import read_unpressed
from detentsim.cli.given import add_readings, given_readings, left_out
from detentsim.cli.options import add_file, add_outputs, add_seed
from detentsim.cli.outputs import hand_out, keep_apart, write_output
from detentsim.cli.status import DONE, NO

if TYPE_CHECKING:
    import argparse

    from detentsim.knife.measured.readings import Readings


def add(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the command ``fit`` and its options to the parser."""
    one = commands.add_parser(
        "fit",
        help="which of the knives made to a drawing is on the bench, from a few readings with shop tools",
        description="Weigh the knives made to a drawing by how well they agree with a few readings of one knife. "
        "Gives the ranges of that knife, readings that do not fit the drawing, and what to read next.",
        epilog="Exit status 1: the readings do not fit the drawing. The command readings writes a file to fill in.",
    )
    add_file(one, demo=False)
    add_readings(one)
    one.add_argument(
        "--next",
        metavar="RESULT",
        default="breakout_force",
        help="result that the next reading should narrow; default breakout_force",
    )
    add_seed(one)
    figure = "draw the readings on the fitted curve, and each input's range"
    document = "write the fitted build to a file"
    add_outputs(
        one, run, csv="write a table of inputs and results", figure=figure, document=document, example="new.toml"
    )


def run(args: argparse.Namespace) -> int:
    """Run ``fit`` and give its exit status; raises `InputError` for bad input."""
    from detentsim import show
    from detentsim.analysis.in_hand.fit.fit import fit
    from detentsim.show.in_hand.fit.data_files import fit_csv, fit_document
    from detentsim.show.in_hand.fit.report import fit_report
    from detentsim.units.errors import InputError

    if args.build is None:
        raise InputError("BUILD", None, "fit needs a build file of your own, such as mine.toml; start one with new")
    keep_apart(args, args.readings or "")
    build, _ = read_unpressed(args.build, args.units)
    unused = left_out(args)
    found = fit(build, _needed_readings(args, unused), args.seed, of=args.next)
    if args.document is not None:
        write_output(args.document, found.build.text, "-o")
        args.document = None  # the report itself goes to no file
    hand_out(
        args,
        lambda full: fit_report(found, args.next, full, unused),
        lambda: fit_document(found, args.next, unused),
        lambda: fit_csv(found),
        lambda: show.fit_figure(found, args.next),
    )
    return NO if found.conflicts else DONE


def _needed_readings(args: argparse.Namespace, unused: list[str]) -> Readings:
    """The readings given; raises `InputError` where there are none, or only symptoms that tell a fit nothing."""
    from detentsim.show.in_hand.fit.report import left_out_words
    from detentsim.units.errors import InputError

    given = given_readings(args)
    if given is not None:
        return given
    if unused:
        raise InputError("--saw", unused[0], left_out_words(unused))
    text = 'fit needs readings: a file, written by `detentsim readings`, or --reading "lift_force_open=6.4 N"'
    raise InputError("READINGS", None, text)
