"""The command ``advise``: its options, and one call of the analysis and of its report."""

from __future__ import annotations

from typing import TYPE_CHECKING

from detentsim.cli.builds import read_unpressed
from detentsim.cli.options import add_outputs
from detentsim.cli.outputs import hand_out, keep_apart
from detentsim.cli.status import DONE, NO

if TYPE_CHECKING:
    import argparse


def add(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the command ``advise`` and its options to the parser."""
    one = commands.add_parser(
        "advise",
        help="what to change: every move of the bench held against what you want",
        description="What to change to meet the build's target, a customer's word, or to be rid of a symptom.",
        epilog="exit status 1 when nothing gets there, or the build needs no change of feel but is unsound",
    )
    one.add_argument("build", nargs="?", metavar="BUILD", help="build file (TOML)")
    one.add_argument("--want", metavar="WORD", help='lighter or stiffer, or by hand-steps, like "lighter 2"')
    one.add_argument("--like", metavar="OTHER", help="another build file that this one shall feel like")
    one.add_argument("--symptom", metavar="WORDS", help='a symptom to be rid of, like "will not fall shut"')
    add_outputs(one, run, figure="draw the decision's map")


def run(args: argparse.Namespace) -> int:
    """Run ``advise`` and give its exit status; raises `InputError` for bad input."""
    from detentsim import show
    from detentsim.analysis.in_hand.advise.advise import advise, rid_of
    from detentsim.analysis.in_hand.advise.symptoms.symptoms import symptom, symptoms
    from detentsim.show.in_hand.advise.document import advise_document, symptom_document
    from detentsim.show.in_hand.advise.report import advise_report, symptom_report
    from detentsim.units.errors import InputError

    keep_apart(args, args.like or "")
    if args.build is None:
        raise InputError("BUILD", None, "advise needs a build file of your own, such as mine.toml; start one with new")
    asked_by = {"--want": args.want, "--like": args.like, "--symptom": args.symptom}
    given = [option for option, value in asked_by.items() if value is not None]
    if len(given) > 1:
        raise InputError(given[1], asked_by[given[1]], f"stands beside {given[0]}; give one of the two")
    build, _ = read_unpressed(args.build, args.units)
    asked = None if args.symptom is None else symptom(build, args.symptom)
    if asked is not None and not asked.aims:
        if args.figure is not None:
            text = f"there is no map for {asked.name}: no result tells how to be rid of it; leave --figure out"
            raise InputError("--figure", args.figure, text)
        hand_out(args, symptom_report(build.name, asked), lambda: {"symptom": symptom_document(asked)})
        return DONE
    like = None if args.like is None else read_unpressed(args.like, args.units)[0]
    advice = advise(build, args.want, like=like) if asked is None else rid_of(build, asked.aims)
    told = advice, symptoms(build), asked
    text = advise_report(*told, full=args.full or args.document is not None)
    hand_out(args, text, lambda: advise_document(*told), figure=lambda: show.decision_figure(advice))
    return DONE if advice.right or advice.best is not None else NO
