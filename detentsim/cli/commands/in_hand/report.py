"""The command ``report``: its options, and one call of the analysis and of its page."""

from __future__ import annotations

from typing import TYPE_CHECKING

from detentsim.cli.builds import in_stock, read_unpressed
from detentsim.cli.given import add_readings, given_readings
from detentsim.cli.options import add_count, add_file, add_json, add_replace, add_seed, add_stock, add_units
from detentsim.cli.outputs import check_page, keep_apart, write_output
from detentsim.cli.status import DONE, INTERRUPTED

if TYPE_CHECKING:
    import argparse

    from detentsim.analysis.in_hand.report.report import Report


def add(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the command ``report`` and its options to the parser."""
    one = commands.add_parser(
        "report",
        help="everything about a build on one HTML page, for the bench or for a customer",
        description="One self-contained HTML page: the verdict, what to do, feel, limits, motion, a batch, the layout, "
        "what readings of one knife say, assumptions and sources. It needs no network, and it prints well.",
    )
    add_file(one)
    add_readings(one)
    whom = "who reads the page; a customer's leaves out what only the bench needs"
    one.add_argument("--for", dest="reader", choices=("bench", "customer"), default="bench", help=whom)
    add_count(one)
    add_seed(one)
    add_json(one, "as well")
    add_replace(one)
    add_units(one)
    add_stock(one)
    one.add_argument(
        "-o", metavar="FILE", dest="document", help="write the page (.html); needed unless --json is given"
    )
    one.set_defaults(run=run, csv=None, figure=None, example="new.html")


def run(args: argparse.Namespace) -> int:
    """Run ``report`` and give its exit status; raises `InputError` for bad input."""
    from detentsim.show.in_hand.report.document import report_document
    from detentsim.show.in_hand.report.page import report_page
    from detentsim.show.theme.rows import summary_lines, title_lines
    from detentsim.show.theme.tables import report_of, to_json

    customer = args.reader == "customer"
    check_page(args.document, needed=not args.json)
    keep_apart(args, args.readings or "")
    r, where_from = _report(args, bench=not customer)
    if r.batch is not None and not r.batch.batch.done.all():
        return INTERRUPTED
    if args.document is not None:
        write_output(args.document, report_page(r, customer), "-o")
    head = [*title_lines(r.build.name, where_from), *summary_lines(r.summary)]
    written = [f"Wrote {args.document}."] if args.document is not None else []
    print(to_json(report_document(r)) if args.json else report_of([head, written]), end="")
    return DONE


def _report(args: argparse.Namespace, bench: bool) -> tuple[Report, str]:
    """The report, after all options are read, and a first line on the demo."""
    from detentsim.analysis.in_hand.report.report import report
    from detentsim.analysis.many_builds.batch.batch import MOST
    from detentsim.units.errors import InputError
    from detentsim.units.whole import whole_number
    from detentsim.units.wording import shown

    build, where_from = read_unpressed(args.build, args.units)
    build = in_stock(build, args.stock)
    given = given_readings(args)
    if given is not None and args.build is None:
        raise InputError("BUILD", None, "readings need a build file of your own, such as mine.toml; start one with new")
    if given is None and args.saw:
        text = f"{shown(args.saw[0])} names no yes-or-no result, like falls_shut=no; advise takes a symptom"
        raise InputError("--saw", args.saw[0], text)
    seed = whole_number("--seed", args.seed, (0, 2**63), 0)
    count = None if args.count is None else whole_number("--count", args.count, (1, MOST), 4096)
    return report(build, given, count, seed, bench), where_from
