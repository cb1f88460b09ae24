"""The command ``advise``: its options, and one call of the analysis and of its report."""

from __future__ import annotations

from typing import TYPE_CHECKING

from detentsim.cli.builds import in_stock, read_unpressed
from detentsim.cli.given import add_readings, complaints, given_readings
from detentsim.cli.options import add_file, add_outputs, add_seed, add_stock
from detentsim.cli.outputs import hand_out, keep_apart
from detentsim.cli.status import DONE, NO

if TYPE_CHECKING:
    import argparse

    from detentsim.analysis.in_hand.advise.symptoms.case import Symptom
    from detentsim.knife.measured.readings import Readings
    from detentsim.knife.model import Build


def add(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the command ``advise`` and its options to the parser."""
    one = commands.add_parser(
        "advise",
        help="what to change: every bench move, judged by what you want",
        description="What to change to meet the build's target or a customer's wish, or to cure a symptom. With "
        "readings or observations of one knife, the advice is for that knife.",
        epilog="Exit status 1: nothing meets what is wanted, the readings do not fit the drawing, or the feel is as "
        "wanted but the build is unsound.",
    )
    add_file(one, demo=False)
    add_readings(one)
    one.add_argument(
        "--want",
        metavar="WORD",
        help='lighter or stiffer, with a number of hand-steps ("lighter 2"), or a complaint ("too stiff")',
    )
    one.add_argument("--like", metavar="OTHER", help="build file of a knife that this one should feel like")
    one.add_argument("--symptom", metavar="WORDS", help='a symptom to cure, like "will not fall shut"')
    add_seed(one)
    add_stock(one)
    add_outputs(one, run, figure="draw the map on which to decide")


def run(args: argparse.Namespace) -> int:
    """Run ``advise`` and give its exit status; raises `InputError` for bad input."""
    from detentsim.analysis.in_hand.advise.symptoms.symptoms import symptom
    from detentsim.knife.measured.readings import Readings
    from detentsim.show.in_hand.advise.document import symptom_document
    from detentsim.show.in_hand.advise.report import symptom_report
    from detentsim.units.whole import whole_number

    keep_apart(args, args.like or "", args.readings or "")
    whole_number("--seed", args.seed, (0, 2**63), 0)
    complaint = _complaint(args)
    build = in_stock(read_unpressed(args.build, args.units)[0], args.stock)
    given = given_readings(args)
    asked = None if complaint is None else symptom(build, complaint)
    if asked is not None and not asked.aims:
        _need_no_map(args, asked)
        _need_no_readings(args, asked)
        document = {"symptom": symptom_document(asked)}
        hand_out(args, lambda _full: symptom_report(build.name, asked), lambda: document)
        return DONE
    like = None if args.like is None else read_unpressed(args.like, args.units)[0]
    if asked is None and given is None:
        return _of_build(args, build, like)
    return _of_knife(args, build, given or Readings(), asked, like)


def _complaint(args: argparse.Namespace) -> str | None:
    """The symptom to cure, by ``--symptom`` or the words of ``--saw``; checks which options go together."""
    from detentsim.units.errors import InputError

    if args.build is None:
        raise InputError("BUILD", None, "advise needs a build file of your own, such as mine.toml; start one with new")
    seen = complaints(args)
    if len(seen) > 1 or (seen and args.symptom is not None):
        other = seen[1] if len(seen) > 1 else args.symptom
        raise InputError("--saw", other, f"{seen[0]} and {other} are two symptoms; give one at a time")
    symptom = args.symptom if args.symptom is not None else next(iter(seen), None)
    asked_by = {"--want": args.want, "--like": args.like, "--symptom" if args.symptom else "--saw": symptom}
    given = [option for option, value in asked_by.items() if value is not None]
    if len(given) > 1:
        raise InputError(given[1], asked_by[given[1]], f"stands beside {given[0]}; give one of the two")
    return symptom


def _need_no_map(args: argparse.Namespace, asked: Symptom) -> None:
    from detentsim.units.errors import InputError

    if args.figure is not None:
        text = f"there is no map for {asked.name}: no result shows how to get rid of it; leave --figure out"
        raise InputError("--figure", args.figure, text)


def _need_no_readings(args: argparse.Namespace, asked: Symptom) -> None:
    from detentsim.units.errors import InputError

    if args.reading or args.readings is not None:
        text = f"no result shows how to get rid of {asked.name}, so readings add nothing; ask for it without them"
        raise InputError("--reading", asked.name, text)


def _of_build(args: argparse.Namespace, build: Build, like: Build | None) -> int:
    """Advice on a build by itself."""
    from detentsim import show
    from detentsim.analysis.in_hand.advise.advise import advise
    from detentsim.analysis.in_hand.advise.symptoms.symptoms import symptoms
    from detentsim.show.in_hand.advise.document import advise_document
    from detentsim.show.in_hand.advise.report import advise_report

    advice = advise(build, args.want, like=like)
    told = advice, symptoms(build)
    hand_out(
        args,
        lambda full: advise_report(*told, full=full),
        lambda: advise_document(*told),
        figure=lambda: show.decision_figure(advice),
    )
    return DONE if advice.right or advice.best is not None else NO


def _of_knife(
    args: argparse.Namespace, build: Build, given: Readings, asked: Symptom | None, like: Build | None
) -> int:
    """Advice on the knife on the bench, by what was read and seen on it."""
    from detentsim import show
    from detentsim.analysis.in_hand.advise.advise import advise, rid_of
    from detentsim.analysis.in_hand.advise.symptoms.evidence import evidence
    from detentsim.analysis.in_hand.fit.fit import fit
    from detentsim.show.in_hand.advise.document import knife_document
    from detentsim.show.in_hand.advise.knife import is_unexplained, knife_report

    if asked is None:
        seen, found = None, fit(build, given, args.seed)
        advice = advise(found, args.want, like=like)
    else:
        seen = evidence(build, given, asked, args.seed)
        advice = rid_of(seen.fit, asked.aims)
        found = seen.fit
    hand_out(
        args,
        lambda full: knife_report(advice, found, seen, full=full),
        lambda: knife_document(advice, found, seen),
        figure=lambda: show.decision_figure(advice),
    )
    good = (advice.right or advice.best is not None) and not is_unexplained(seen) and not found.conflicts
    return DONE if good else NO
