"""The commands ``fit`` and ``readings``: which knife of the batch this one is, and a file to put its readings in."""

from __future__ import annotations

from typing import TYPE_CHECKING

from detentsim.cli.builds import read_unpressed
from detentsim.cli.given import add_readings, given_readings, left_out
from detentsim.cli.options import add_file, add_outputs, add_seed, add_units
from detentsim.cli.outputs import hand_out, keep_apart, write_output
from detentsim.cli.status import DONE, NO

if TYPE_CHECKING:
    import argparse


def add(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the commands ``fit`` and ``readings`` and their options to the parser."""
    one = commands.add_parser(
        "fit",
        help="which of the knives made to a drawing is on the bench, from a few readings with shop tools",
        description="Weigh the knives made to a drawing by how well they agree with a few readings of one knife. "
        "Gives the "
        "ranges of that knife, readings that do not fit the drawing, and what to read next.",
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
    table, figure = (
        "write a table of inputs and results",
        "draw the readings on the fitted curve, and each input's range",
    )
    add_outputs(one, run, csv=table, figure=figure, document="write the fitted build to a file")
    _add_readings(commands)


def _add_readings(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    one = commands.add_parser(
        "readings",
        help="a readings file to fill in for fit, advise and report",
        description="A readings file to fill in: what can be read with shop tools, how, and the usual error of each "
        "reading.",
    )
    add_file(one)
    one.add_argument("--json", action="store_true", help="print one JSON document instead")
    one.add_argument("--replace", action="store_true", help="overwrite an existing file")
    add_units(one)
    one.add_argument("-o", metavar="FILE", dest="document", help="write to a file instead of printing")
    one.set_defaults(run=_readings, csv=None, figure=None)


def run(args: argparse.Namespace) -> int:
    """Run ``fit`` and give its exit status; raises `InputError` for bad input."""
    from detentsim import show
    from detentsim.analysis.in_hand.fit.fit import fit
    from detentsim.show.in_hand.fit.data_files import fit_csv, fit_document
    from detentsim.show.in_hand.fit.report import fit_report, left_out_words
    from detentsim.units.errors import InputError

    if args.build is None:
        raise InputError("BUILD", None, "fit needs a build file of your own, such as mine.toml; start one with new")
    keep_apart(args, args.readings or "")
    build, _ = read_unpressed(args.build, args.units)
    given, unused = given_readings(args), left_out(args)
    if given is None and unused:
        raise InputError("--saw", unused[0], left_out_words(unused))
    if given is None:
        text = 'fit needs readings: a file, written by `detentsim readings`, or --reading "lift_force_open=6.4 N"'
        raise InputError("READINGS", None, text)
    found = fit(build, given, args.seed, of=args.next)
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


def _readings(args: argparse.Namespace) -> int:
    """Run ``readings``."""
    from detentsim.analysis.many_builds.batch.findings import results_of
    from detentsim.analysis.many_builds.sweep.solving import own_results
    from detentsim.analysis.many_builds.sweep.wanted import lacking
    from detentsim.knife.measured.tools import SIGHTS, readable_results
    from detentsim.knife.record.record import record
    from detentsim.show.in_hand.fit.data_files import readings_rows, readings_template
    from detentsim.show.theme.tables import to_json

    keep_apart(args)
    build, _ = read_unpressed(args.build, args.units)
    numbers = record(build)
    names = [*results_of(build), *(one for one in readable_results() if not list(lacking(numbers, (one,))))]
    results = own_results(build, dict.fromkeys(names)) | {one: None for one in SIGHTS if one not in names}
    results = {name: value for name, value in results.items() if name in names or not list(lacking(numbers, (name,)))}
    if args.document is not None:
        write_output(args.document, readings_template(build, results), "-o")
    said = f"Wrote {args.document}.\n" if args.document is not None else readings_template(build, results)
    print(to_json({"readings": readings_rows(build, results)}) if args.json else said, end="")
    return DONE
