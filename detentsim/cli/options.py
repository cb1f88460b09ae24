"""Options that commands share: the build, a push on its bar, units, and what to print and write."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import argparse
    from collections.abc import Callable


def add_build(one: argparse.ArgumentParser) -> None:
    """Add the build file and the push on the bar's tip (``--press``).

    Parameters
    ----------
    one : ArgumentParser
        Of one command.
    """
    one.add_argument("build", nargs="?", metavar="BUILD", help="build file (TOML); the packaged demo without one")
    one.add_argument("--press", metavar="FORCE", help='inward push of a thumb on the bar\'s tip, like "5 N"')


def add_units(one: argparse.ArgumentParser) -> None:
    """Add the choice of units for reports and figures (``--units``).

    Parameters
    ----------
    one : ArgumentParser
        Of one command.
    """
    text = "units of report and figure; default: those the file is typed in (JSON and CSV always name theirs)"
    one.add_argument("--units", choices=("metric", "inch"), help=text)


def add_outputs(
    one: argparse.ArgumentParser,
    run: Callable[[argparse.Namespace], int],
    csv: str = "",
    figure: str = "",
    document: str = "also write the report to a file",
) -> None:
    """Add the options for output: JSON, the whole report, and files; and set the function that runs the command.

    Parameters
    ----------
    one : ArgumentParser
        Of one command.
    run : callable
        Takes the parsed arguments and returns the exit status.
    csv, figure : str
        Help of ``--csv`` and of ``--figure``; empty where the command writes none.
    document : str
        Help of ``-o``.
    """
    one.set_defaults(run=run, csv=None, figure=None)
    one.add_argument(
        "--json", action="store_true", help="print one JSON document with full digits instead of the report"
    )
    one.add_argument("--full", action="store_true", help="print the whole report, not only its first page")
    one.add_argument("--replace", action="store_true", help="overwrite files that this program did not write")
    add_units(one)
    if csv:
        one.add_argument("--csv", metavar="FILE", help=csv)
    if figure:
        one.add_argument("--figure", metavar="FILE", help=f"{figure} (.png, .svg or .pdf)")
    one.add_argument("-o", metavar="FILE", dest="document", help=document)
