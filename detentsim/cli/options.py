"""Options that commands share: the build, a push on its bar, units, and what to print and write."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import argparse
    from collections.abc import Callable


def add_file(one: argparse.ArgumentParser, demo: bool = True) -> None:
    """Add the build file.

    Parameters
    ----------
    one : ArgumentParser
        Of one command.
    demo : bool
        Whether the command takes the packaged demo where no file is named.
    """
    text = "build file (TOML); the packaged demo without one" if demo else "build file (TOML)"
    one.add_argument("build", nargs="?", metavar="BUILD", help=text)


def add_build(one: argparse.ArgumentParser) -> None:
    """Add the build file and the push on the bar's tip (``--press``).

    Parameters
    ----------
    one : ArgumentParser
        Of one command.
    """
    add_file(one)
    one.add_argument("--press", metavar="FORCE", help='inward push of a thumb on the bar\'s tip, like "5 N"')


def add_count(one: argparse.ArgumentParser) -> None:
    """Add the number of knives that a batch draws (``--count``).

    Parameters
    ----------
    one : ArgumentParser
        Of one command.
    """
    text = "number of knives to draw; default: enough to know the share within 0.01"
    one.add_argument("--count", metavar="N", help=text)


def add_seed(one: argparse.ArgumentParser) -> None:
    """Add the seed of the random draw (``--seed``).

    Parameters
    ----------
    one : ArgumentParser
        Of one command.
    """
    one.add_argument("--seed", metavar="N", default="0", help="seed of the random draw, a whole number; default 0")


def add_json(one: argparse.ArgumentParser, beside: str = "instead of the report") -> None:
    """Add ``--json``.

    Parameters
    ----------
    one : ArgumentParser
        Of one command.
    beside : str
        End of its help: what the document replaces, or whether it comes too.
    """
    one.add_argument("--json", action="store_true", help=f"print one JSON document with full digits {beside}")


def add_replace(one: argparse.ArgumentParser) -> None:
    """Add ``--replace``.

    Parameters
    ----------
    one : ArgumentParser
        Of one command.
    """
    one.add_argument("--replace", action="store_true", help="overwrite files that this program did not write")


def add_units(one: argparse.ArgumentParser) -> None:
    """Add the choice of units for reports and figures (``--units``).

    Parameters
    ----------
    one : ArgumentParser
        Of one command.
    """
    text = "units of report and figure; default: those the file is typed in (JSON and CSV always name theirs)"
    one.add_argument("--units", choices=("metric", "inch"), help=text)


def add_stock(one: argparse.ArgumentParser) -> None:
    """Add the choice of sizes to buy (``--stock``).

    Parameters
    ----------
    one : ArgumentParser
        Of one command.
    """
    text = (
        "drills, slabs and cutters to choose from; default: drills as those of the file are typed, slabs and cutters "
    )
    one.add_argument("--stock", choices=("metric", "inch", "both"), help=f"{text}as its lengths are")


def add_outputs(
    one: argparse.ArgumentParser,
    run: Callable[[argparse.Namespace], int],
    csv: str = "",
    figure: str = "",
    document: str = "also write the report to a file",
    example: str = "new.txt",
    full: bool = True,
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
    example : str
        Name of such a document, for errors.
    full : bool
        Whether the report has more than its first page.
    """
    one.set_defaults(run=run, csv=None, figure=None, example=example)
    add_json(one)
    if full:
        one.add_argument("--full", action="store_true", help="print the whole report, not only its first page")
    add_replace(one)
    add_units(one)
    if csv:
        one.add_argument("--csv", metavar="FILE", help=csv)
    if figure:
        one.add_argument("--figure", metavar="FILE", help=f"{figure} (.png, .svg or .pdf)")
    one.add_argument("-o", metavar="FILE", dest="document", help=document)
