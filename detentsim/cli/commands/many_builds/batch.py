"""The command ``batch``: its options, and one call of the analysis and of its report."""

from __future__ import annotations

from typing import TYPE_CHECKING

from detentsim.cli.builds import read_build
from detentsim.cli.options import add_build, add_count, add_outputs, add_seed
from detentsim.cli.outputs import hand_out, keep_apart
from detentsim.cli.status import DONE, INTERRUPTED, NO
from detentsim.cli.vary import read_vary

if TYPE_CHECKING:
    import argparse

    from detentsim.analysis.many_builds.batch.findings import Findings
    from detentsim.knife.model import Build


def add(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the command ``batch`` and its options to the parser."""
    one = commands.add_parser(
        "batch",
        help="many knives made to one drawing: how many meet the target, what the others miss, which tolerance to hold",
        description="Thousands of knives made to one drawing, each uncertain input drawn from its tolerance or "
        "packaged range. Gives how many are inside the target, what the others miss, where to aim, and which tolerance "
        "to hold.",
        epilog='Exit status 1: no knife is inside. Values are written as for sweep: --aim "bar.bend=1 mm:3 mm:21".',
    )
    add_build(one)
    one.add_argument("--of", metavar="N", default="12", help="number of knives in your own batch; default 12")
    wanted = "share of knives that tighter tolerances should bring inside; default 0.9"
    one.add_argument("--share", metavar="SHARE", default="0.9", help=wanted)
    tried = "an input to change and the values to try; may be repeated; default: the bar's bend"
    one.add_argument("--aim", metavar="NAME=VALUES", action="append", help=tried)
    add_count(one)
    add_seed(one)
    worn = (
        "wear in the same knives: shares and ranges fresh and worn in side by side, everything else for worn-in knives"
    )
    one.add_argument("--worn-in", action="store_true", help=worn)
    add_outputs(one, run, csv="write a table with a row for each knife", figure="draw the knives, their feel, and why")


def run(args: argparse.Namespace) -> int:
    """Run ``batch`` and give its exit status; raises `InputError` for bad input."""
    from detentsim import show
    from detentsim.show.many_builds.batch.data_files import batch_csv, batch_document
    from detentsim.show.many_builds.batch.report import batch_report

    keep_apart(args)
    build, where_from = read_build(args)
    found = _found(args, build)
    hand_out(
        args,
        lambda full: batch_report(found, where_from, full),
        lambda: batch_document(found),
        lambda: batch_csv(found),
        lambda: show.batch_figure(found),
    )
    if not found.batch.done.all():
        return INTERRUPTED
    return NO if build.target and not found.batch.inside.any() else DONE


def _found(args: argparse.Namespace, build: Build) -> Findings:
    """Draw the batch and ask it everything, after all options are read."""
    from detentsim.analysis.many_builds.batch.answers.nested import MOST_OF
    from detentsim.analysis.many_builds.batch.batch import MOST, batch
    from detentsim.analysis.many_builds.batch.findings import findings, results_of
    from detentsim.knife.table.columns import read_columns
    from detentsim.units.whole import whole_number

    of = whole_number("--of", args.of, (1, MOST_OF), 12)
    seed = whole_number("--seed", args.seed, (0, 2**63), 0)
    count = None if args.count is None else whole_number("--count", args.count, (1, MOST), 4096)
    share, settings = _share(args.share), read_vary(args.aim, "--aim") if args.aim else None
    if settings:
        read_columns(settings, typed=True)  # names what is wrong before thousands of knives are solved
    made = batch(build, count, seed, of=results_of(build), worn_in=args.worn_in)
    return findings(made, of, share, settings)


def _share(text: str) -> float:
    """A share between 0 and 1."""
    from detentsim.analysis.many_builds.batch.knives.knives import need_share

    plain = len(text) < 12 and text.isascii() and text.replace(".", "", 1).isdigit()
    return need_share("--share", float(text) if plain else text)
