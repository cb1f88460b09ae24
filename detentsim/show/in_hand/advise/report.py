"""Advice as text for the bench."""

from __future__ import annotations

from typing import TYPE_CHECKING

from detentsim.analysis.in_hand.advise.chances.plan_words import outcome_words
from detentsim.analysis.in_hand.advise.thresholds import NO_HELP
from detentsim.knife.outcomes import FLAGS, label
from detentsim.show.in_hand.advise.verdict import called, in_short, joined, joined_with_needs, made_so, verdict
from detentsim.show.theme.cautions import BENCH
from detentsim.show.theme.rows import check_lines
from detentsim.show.theme.tables import PAGE, WIDTH, first_that_fits, report_of, titled, wrap, wrap_all

if TYPE_CHECKING:
    from collections.abc import Sequence

    from detentsim.analysis.in_hand.advise.proposals import Advice
    from detentsim.analysis.in_hand.advise.symptoms.case import Symptom
    from detentsim.analysis.in_hand.advise.trials.proposal import Proposal

# Proposals told in full; what else reaches is named.
TOLD = 5

# Proposals or nearest moves in the short report at most.
SHORT = 3

Part = list[str]


def advise_report(
    advice: Advice, symptoms: Sequence[Symptom] = (), asked: Symptom | None = None, full: bool = False
) -> str:
    """Text of the advice: the verdict, what is wanted, what to change.

    Parameters
    ----------
    advice : Advice
    symptoms : sequence of Symptom
        All of the build's, of which those present are told.
    asked : Symptom, optional
        The one that the advice is for.
    full : bool
        Whether to add every check of the verdict, more proposals, what fails to help and why, and the symptoms'
        sentences.

    Returns
    -------
    str
        Lines up to 96 characters, in the units of the build.
    """
    head, last = [_head(advice, full), _wanted(advice, asked, full)], mind(full)
    less = [_others(advice, full), _present(symptoms, asked, full)]
    if full:
        return report_of([*head, _proposals(advice), *less, last])
    room = _room(*head, *less, last)
    # A long verdict leaves no room for what helps least, the longest none for steps.
    told = [_first_proposals(advice, room, steps) for steps in (True, False)]
    return first_that_fits([report_of([*head, part, *less[:kept], last]) for part in told for kept in (2, 1, 0)])


def _room(*parts: Part) -> int:
    """Lines of the page that these parts leave, blank ones between them counted."""
    return PAGE - sum(len(part) + 1 for part in parts if part)


def _head(advice: Advice, full: bool) -> Part:
    """Name, the verdict on the build as it stands, and what to do."""
    best = (f"Best change: {in_short(advice.best)}.", made_so(advice, 0)) if advice.best else ()
    do = (*best, *verdict(advice)[1:]) if advice.best else verdict(advice)
    checked = advice.summary
    return [
        advice.build.name,
        *wrap(checked.words, ""),
        *wrap(" ".join(part for part in do if part), ""),
        *check_lines(checked, full),
    ]


def _wanted(advice: Advice, asked: Symptom | None, full: bool) -> Part:
    """The symptom asked about and what is wanted; the short report's verdict repeats a missed target by itself."""
    if not full and asked is None and _is_own_target(advice) and advice.summary["target"].state == "bad":
        return []
    words = [aim.said(advice.build.units) for aim in advice.aims]
    wanted = ["Wanted", *wrap_all(words)] if full else wrap(f"Wanted: {'; '.join(words)}.", "")
    return [*_asked(asked), *wanted, *_left_aside(advice, asked)]


def _is_own_target(advice: Advice) -> bool:
    return [aim.source for aim in advice.aims] == list(advice.build.target)


def _asked(asked: Symptom | None) -> Part:
    if asked is None:
        return []
    state = "yes" if asked.present else "no" if asked.known else "cannot be computed for this build"
    return wrap(f"Symptom {asked.name}: {state}; {asked.words}.", "")


def _left_aside(advice: Advice, asked: Symptom | None) -> Part:
    """Says so where the build's own target could not be kept."""
    wanted = {aim.name for aim in advice.aims}
    left = [label(target.name) for target in advice.build.target if target.name not in wanted]
    if asked is None or not left:
        return []
    return wrap(left_aside_words(left, advice.best is not None), "")


def left_aside_words(names: Sequence[str], reached: bool) -> str:
    """What of the build's own target a symptom's advice leaves aside, in one sentence.

    Parameters
    ----------
    names : sequence of str
        Results, in words.
    reached : bool
        Whether anything gets there then.
    """
    left = ", ".join(names)
    if reached:
        return f"Nothing that keeps the build's own target as well gets there; left aside: {left}."
    return f"Nothing gets there, even with the rest of the build's own target left aside: {left}."


_TITLE = "What to change, the best first"


def _proposals(advice: Advice) -> Part:
    lines: Part = []
    for number, proposal in enumerate(advice.proposals[:TOLD], start=1):
        lines += _proposal(number, proposal, advice)
    left = advice.proposals[TOLD:]
    if left:
        lines += wrap("Also: " + "; ".join(joined(p) for p in left) + ".")
    return titled(_TITLE, lines)


def _first_proposals(advice: Advice, room: int, steps: bool = True) -> Part:
    """As many proposals as the page has room for, one at least, and the names of the rest in one line.

    The first with its steps, where it cannot be undone.
    """
    lines: Part = []
    for number, proposal in enumerate(advice.proposals[:SHORT], start=1):
        more = _proposal(number, proposal, None, steps and number == 1)
        if lines and len(lines) + len(more) + 2 > room - 1:
            break
        lines += more
    told = sum(line[2:3].isdigit() for line in lines)
    left = [called(p) for p in advice.proposals[told:]]
    return [_TITLE, *lines, *([_one_line("  Also: ", left)] if left else [])] if lines else []


def _one_line(start: str, names: Sequence[str]) -> str:
    """As many names as fit in one line, and how many more there are."""
    for count in range(len(names), 0, -1):
        more = f" and {len(names) - count} more" if count < len(names) else ""
        line = f"{start}{', '.join(names[:count])}{more}."
        if len(line) <= WIDTH:
            return line
    return f"{start}{len(names)} moves."


def _proposal(number: int, p: Proposal, advice: Advice | None, steps: bool = True) -> Part:
    lines = wrap(f"{joined_with_needs(p)}.", f"  {number}. ", "     ")
    made = "" if advice is None else f" {made_so(advice, number - 1)}"
    lines += wrap(f"{p.reason}{made}", "     ")
    for flag in p.flags:
        lines += wrap(f"Then: {FLAGS[flag]} [{flag}]", "     ")
    return [*lines, *(step_lines(p, "knives made to the drawing") if steps and not p.undo else [])]


def step_lines(p: Proposal, knives: str) -> Part:
    """Steps of a proposal, a letter each, with the chances of following them; none without a plan.

    Parameters
    ----------
    p : Proposal
    knives : str
        Whose chances they are.
    """
    plan = p.plan
    if plan is None:
        return []
    lines = wrap("In steps:", "     ")
    for letter, words in zip("abcdef", (*p.steps, outcome_words(plan, knives)), strict=False):
        lines += wrap(words, f"     {letter}) ", "        ")
    return lines


def _others(advice: Advice, full: bool) -> Part:
    """What fails to get there: the nearest with its reason, the rest by name."""
    near = [p for p in advice.others if p.reason != NO_HELP]
    if full:
        far = [p for p in advice.others if p.reason == NO_HELP]
        lines = wrap_all(f"{joined(p)}: {_lowered(p.reason)}" for p in near)
        lines += wrap(f"No help with this: {', '.join(called(p) for p in far)}.") if far else []
        return titled("What does not get there, the nearest first", lines)
    rest = [called(p) for p in advice.others]
    lines = wrap_all((f"The nearest of them, {called(p)}: {_lowered(p.reason)}" for p in near[:1]), "")
    return [*([_one_line("Does not get there: ", rest)] if rest and len(lines) < 2 else []), *lines]


def _lowered(sentence: str) -> str:
    return f"{sentence[:1].lower()}{sentence[1:]}"


def _present(symptoms: Sequence[Symptom], asked: Symptom | None, full: bool) -> Part:
    shown = [s for s in symptoms if s.present and (asked is None or s.name != asked.name)]
    if not shown:
        return []
    if full:
        return ["Symptoms this build shows", *wrap_all(f"{s.name}: {s.words}." for s in shown)]
    return [_one_line("Symptoms this build shows (--symptom NAME says more): ", [s.name for s in shown])]


def mind(full: bool) -> Part:
    """What to mind in changing a knife, and where there is more to read."""
    more = "" if full else "More: --full. "
    return wrap(f"{more}Change one thing, try it, and only then the next. {BENCH}", "")


def symptom_report(name: str, asked: Symptom) -> str:
    """Text of one symptom for which no result tells a cure.

    Parameters
    ----------
    name : str
        What the build is called.
    asked : Symptom
    """
    return report_of([[name], _asked(asked)])
