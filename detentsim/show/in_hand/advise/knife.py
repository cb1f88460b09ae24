"""Advice for the knife on the bench as text: the verdict, what its readings and symptoms tell, moves with chances."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from detentsim.analysis.in_hand.advise.chances.plan_words import said
from detentsim.analysis.in_hand.advise.words import least_change_words
from detentsim.knife.measured.tools import shown_unit, unit_of
from detentsim.knife.outcomes import FLAGS, RESULTS, label
from detentsim.show.in_hand.advise.report import left_aside_words, mind, step_lines
from detentsim.show.in_hand.advise.verdict import ASTRAY, called, chance_words, in_short, joined_with_needs, why_nothing
from detentsim.show.in_hand.fit.report import range_words
from detentsim.show.theme.tables import first_that_fits, report_of, titled, wrap, wrap_all
from detentsim.units.numbers import of_ten, percent
from detentsim.units.quantities import factor

if TYPE_CHECKING:
    from detentsim.analysis.in_hand.advise.proposals import Advice
    from detentsim.analysis.in_hand.advise.symptoms.evidence import Common, Evidence
    from detentsim.analysis.in_hand.advise.trials.proposal import Proposal
    from detentsim.analysis.in_hand.fit.answers.next_reading import NextReading
    from detentsim.analysis.in_hand.fit.fitted import Fit

# Proposals of the whole report, and of the short one at most.
TOLD, SHORT = 5, 3

# Share of knives outside by warnings alone from which the report says so.
FEW = 0.02

# Chance of the best move under which the next reading is named.
SAFE = 0.8

Part = list[str]


def knife_report(advice: Advice, fit: Fit, seen: Evidence | None = None, full: bool = False) -> str:
    """Text of advice for the knife on the bench.

    Parameters
    ----------
    advice : Advice
        On `fit`.
    fit : Fit
    seen : Evidence, optional
        The symptom that the advice is for.
    full : bool
        Whether to add more proposals, each with its steps, and what does not help.

    Returns
    -------
    str
        Lines up to 96 characters, in the units of the build.
    """
    head = [fit.drawing.name, *wrap_all(verdict_words(advice, seen), "")]
    facts = [_conflicts(fit), _symptom(fit, seen), _wanted(advice, fit, seen)]
    advice = replace(advice, proposals=()) if is_unexplained(seen) else advice
    last = [*_next(advice, fit, seen), *mind(full)]
    if full:
        return report_of([head, *facts, _proposals(advice, TOLD, TOLD), _others(advice), last])
    choices = [(count, steps) for count in range(SHORT, 0, -1) for steps in range(count, 0, -1)]
    texts = [report_of([head, *facts, _proposals(advice, *choice), last]) for choice in choices]
    bare = [report_of([head, *part, _proposals(advice, 1, 0), last]) for part in (facts, facts[1:])]
    return first_that_fits([*texts, *bare])


def _next(advice: Advice, fit: Fit, seen: Evidence | None) -> Part:
    """The reading to take first, where even the best move is no safe bet."""
    names = [aim.name for aim in advice.aims if not RESULTS[aim.name].is_truth and aim.name in fit.results]
    if (
        seen is not None
        or advice.met
        or advice.astray
        or not names
        or (advice.best is not None and advice.best.chance >= SAFE)
    ):
        return []
    found = fit.next_readings(names[0])
    return wrap(f"One more reading makes this surer: {_reading(found[0])}.", "") if found else []


def _reading(one: NextReading) -> str:
    """What to read, and how."""
    do = f"read {label(one.what)}" if one.what in RESULTS else f"measure {one.what} again"
    return f"{do}: {one.how}"


def is_unexplained(seen: Evidence | None) -> bool:
    """Whether a symptom was seen that hardly any knife of the drawing has, so that no move can be told.

    Parameters
    ----------
    seen : Evidence or None
    """
    return seen is not None and not seen.explained


def verdict_words(advice: Advice, seen: Evidence | None = None) -> tuple[str, ...]:
    """What to do with this knife, a sentence each.

    Parameters
    ----------
    advice : Advice
        On a batch or a fit.
    seen : Evidence, optional
        The symptom that the advice is for.
    """
    if seen is not None and is_unexplained(seen):
        words = f"Change nothing yet: hardly any knife made to this drawing is like this ({seen.symptom.name})."
        want = {"too stiff": "lighter", "too light": "stiffer"}.get(seen.symptom.name)
        feel = f" If it is only a matter of feel, ask with --want {want}." if want else ""
        return (f"{words} Read it, and measure its sizes again.{feel}",)
    if advice.astray:
        return (*_unfit(advice), ASTRAY)
    return (*_unfit(advice), *_doing(advice), *_unsound(advice))


def _unfit(advice: Advice) -> tuple[str, ...]:
    """Says first that the readings do not fit the drawing, as the report of the fit does."""
    from detentsim.analysis.in_hand.fit.fitted import Fit

    if not isinstance(advice.knives, Fit) or not advice.knives.conflicts:
        return ()
    return ("The readings do not fit the drawing: check them before anything is changed.",)


def _unsound(advice: Advice) -> tuple[str, ...]:
    """What is wrong with the likeliest knife beside what is wanted, and whether it still is after the best move."""
    wrong = [check for check in advice.summary.bad if check.name != "target"]
    best = advice.best
    after = [] if best is None or best.after is None else [check for check in best.after.bad if check.name != "target"]
    if not wrong and not after:
        return ()
    told = " ".join(check.words for check in (after if best is not None else wrong))
    if best is None:
        return (f"The likeliest knife is not right as it is: {told}",)
    return (f"Even then the likeliest knife is not right: {told}",) if after else ()


def _doing(advice: Advice) -> tuple[str, ...]:
    """What to do, by what is wanted alone."""
    now = 0.0 if advice.now is None else advice.now.lands
    if advice.met:
        meets = 0.0 if advice.now is None else advice.now.meets
        if not advice.right:
            return (f"Leave its feel alone: the chance that it feels as wanted is {percent(meets)}.",)
        so = f"Leave it alone: the chance that this knife is as wanted is {percent(now)}."
        return (so, *_warned(advice, meets, now))
    best = advice.best
    if best is not None:
        how = " in steps" if best.plan is not None and best.plan.lands > (best.lands or 0.0) else ""
        words = in_short(best)
        start = f"{words[0].upper()}{words[1:]}"
        return (f"{start}: the chance that this knife ends as wanted is then {percent(best.chance)}{how}; now it is "
                f"{percent(now)}.", *_warned(advice, best.meets, best.chance))  # fmt: skip
    words = f"No move tried makes it much likelier that this knife is as wanted; now the chance is {percent(now)}."
    least = least_change_words(advice)
    return (words, *why_nothing(advice), *((least,) if least else ()))


def _warned(advice: Advice, meets: float, lands: float) -> tuple[str, ...]:
    """How many would be as wanted but for a warning that stands now, where those are more than a few."""
    if advice.prospects is None or meets - lands < FEW:
        return ()
    flag = next(iter(advice.prospects.standing))
    kept = (
        f"What is wanted alone is met on {percent(meets)}, but {percent(meets - lands)} keep a warning that stands now"
    )
    return (f"{kept}, mostly this: {FLAGS[flag]} [{flag}]",)


def _conflicts(fit: Fit) -> Part:
    return wrap_all((f"{one.words[0].upper()}{one.words[1:]}" for one in fit.conflicts), "  Check  ", " " * 9)


def _symptom(fit: Fit, seen: Evidence | None) -> Part:
    if seen is None:
        return []
    return wrap_all(evidence_words(fit, seen), "")


def evidence_words(fit: Fit, seen: Evidence) -> tuple[str, ...]:
    """What a symptom tells of the knife: how usual it is, what such knives have in common, why, and what to read.

    Parameters
    ----------
    fit : Fit
    seen : Evidence
    """
    asked = seen.symptom
    drawn = "it shows" if asked.present else "it does not show" if asked.known else "not known"
    usual = f"Of ten knives made to this drawing, {of_ten(seen.usual)} like that."
    first = f"Symptom {asked.name}: by the drawing's own sizes {drawn} ({asked.words}). {usual}"
    common = "; ".join(_common(fit, one) for one in seen.common)
    shared = (f"Such knives have in common: {common}.",) if common else ()
    return (first, *shared, *_why(fit, seen), *_confirm(seen))


def _common(fit: Fit, one: Common) -> str:
    unit = shown_unit(one.name)
    scale = factor(unit_of(one.name)) / factor(unit) if unit else 1.0
    low, high, first, last = (
        said(value * scale, unit, fit.drawing.units) for value in (one.low, one.high, one.all_low, one.all_high)
    )
    return f"{one.name} {_to(low, high)} (all: {_to(first, last)})"


def _to(low: str, high: str) -> str:
    """A range with its unit once."""
    number, _, unit = low.partition(" ")
    return f"{number if high.endswith(f' {unit}') else low} to {high}"


def _why(fit: Fit, seen: Evidence) -> tuple[str, ...]:
    """Torques where the blade hangs."""
    held = seen.holding
    if held is None:
        return ()
    weight, ball, pivot = (
        fit.drawing.units.two_digits(abs(part), "N*mm") for part in (held.weight, held.ball, held.pivot)
    )
    pulls = f"its weight pulls {weight} {'shut' if held.weight > 0 else 'open'}"
    holds = "pulls" if held.ball > 0 else "drag holds"
    return (f"Why: at {held.angle:.0f} deg, where the likeliest of them hangs, {pulls}, the ball's {holds} {ball}, "
            f"the pivot holds {pivot}.",)  # fmt: skip


def _confirm(seen: Evidence) -> tuple[str, ...]:
    return () if seen.confirm is None else (f"To confirm it, {_reading(seen.confirm)}.",)


def _wanted(advice: Advice, fit: Fit, seen: Evidence | None) -> Part:
    """What is wanted, and what the knife likely does of it."""
    words = "; ".join(aim.said(fit.drawing.units) for aim in advice.aims)
    is_now = "; ".join(f"{label(aim.name)} {_now(fit, aim.name)}" for aim in advice.aims)
    aside = [label(one.name) for one in fit.drawing.target if one.name not in {aim.name for aim in advice.aims}]
    text = left_aside_words(aside, advice.best is not None)
    return [
        *wrap(f"Wanted: {words}. This knife: {is_now}.", ""),
        *(wrap(text, "") if seen is not None and aside else []),
    ]


def _now(fit: Fit, name: str) -> str:
    if name not in fit.results:
        return "not known"
    return f"(chance {percent(fit.share(name).share)})" if RESULTS[name].is_truth else range_words(fit, name)


def _proposals(advice: Advice, count: int, steps: int) -> Part:
    lines: Part = []
    for number, p in enumerate(advice.proposals[:count], start=1):
        lines += _proposal(number, p, number <= steps)
    return titled("What to change, the best first", lines)


def _proposal(number: int, p: Proposal, steps: bool) -> Part:
    lines = wrap(f"{joined_with_needs(p)}.", f"  {number}. ", "     ")
    lines += wrap(chance_words(p), "     ")
    lines += step_lines(p, "the knives that fit the readings") if steps else []
    for flag in p.flags:
        lines += wrap(f"On the likeliest knife then: {FLAGS[flag]} [{flag}]", "     ")
    return lines


def _others(advice: Advice) -> Part:
    names = [called(p) for p in advice.others]
    return wrap(f"Less likely, or too likely to go too far: {', '.join(names)}.", "") if names else []
