"""The command ``compare``: its options, and one call of the analysis and of its report."""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING

from detentsim.cli.builds import read_unpressed
from detentsim.cli.options import add_outputs
from detentsim.cli.outputs import hand_out, keep_apart
from detentsim.cli.status import DONE

if TYPE_CHECKING:
    import argparse

    from detentsim.knife.measured.measured import Measured
    from detentsim.knife.model import Build


def add(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the command ``compare`` and its options to the parser."""
    one = commands.add_parser(
        "compare",
        help="builds and measured feel curves side by side, and how different a hand feels them",
        description="Builds and measured feel curves side by side. Differences are taken from the first one.",
        epilog='A measured curve is a table headed like "angle_deg, force_N" or "angle (deg); force (lbf)". Optional '
        "columns: run, when the table holds several runs; radius_mm, the distance from the pivot when the gauge did "
        "not pull at the opener; zero_N, what the gauge shows unloaded. ONE.csv,OTHER.csv are runs of one knife in "
        "separate files.",
    )
    one.add_argument("items", nargs="*", metavar="BUILD|CURVE.csv", help="build files (TOML) and measured curves")
    one.add_argument("--target", metavar="CURVE.csv", help="the wanted feel: a measured curve or a build file")
    add_outputs(one, run, csv="write the forces at common angles as a table", figure="draw the curves in one diagram")


def run(args: argparse.Namespace) -> int:
    """Run ``compare`` and give its exit status; raises `InputError` for bad input."""
    from detentsim import show
    from detentsim.analysis.in_hand.compare.compare import compare
    from detentsim.show.in_hand.compare.data_files import compare_csv, compare_document
    from detentsim.show.in_hand.compare.report import compare_report
    from detentsim.units.systems import INCH, METRIC

    given = [*args.items, *([] if args.target is None else [args.target])]
    keep_apart(args, *(part for path in given for part in _parts(path)))
    read = _items(args.items, args.target, args.units)
    target = read[-1] if args.target is not None else None
    c = compare(*read[: len(args.items)], target=target, shown_in={"metric": METRIC, "inch": INCH}.get(args.units))
    hand_out(
        args,
        lambda full: compare_report(c, full),
        lambda: compare_document(c),
        lambda: compare_csv(c),
        lambda: show.compare_figure(c),
    )
    return DONE


def _items(items: list[str], target: str | None, units: str | None) -> list[Build | Measured]:
    """Read the items to compare, the target last; an error names the problems of all of them at once."""
    from detentsim.units.errors import InputError

    if len(items) < (2 if target is None else 1):
        text = (
            "compare needs two items at least, or one and a --target: builds such as mine.toml, curves such as pull.csv"
        )
        raise InputError("BUILD", None, text)
    read: list[Build | Measured] = []
    wrong: list[str] = []
    for path in [*items, *([] if target is None else [target])]:
        try:
            read.append(_item(path, units))
        except InputError as error:
            wrong.append(str(error))
    if wrong:
        raise InputError("", None, "\n".join(wrong))
    return read


def _item(path: str, units: str | None) -> Build | Measured:
    """Read a build or a measured curve, by the ending of its name."""
    from detentsim.knife.measured.measured import Measured
    from detentsim.units.errors import InputError
    from detentsim.units.wording import shown

    ending = Path(path).suffix.lower()
    if ending == ".csv":
        return Measured.read(*_parts(path))
    if ending == ".toml":
        return read_unpressed(path, units)[0]
    raise InputError(
        "BUILD", path, f"{shown(path, 80)} must end in .toml (a build) or .csv (a measured curve), such as pull.csv"
    )


def _parts(path: str) -> list[str]:
    """Files of one item: one, or several with a comma between their names, a run of the same knife in each."""
    split = [part.strip() for part in path.split(",")]
    return [path] if os.path.exists(path) or not all(part.lower().endswith(".csv") for part in split) else split
