"""The page that sets the decision map, or its line, under the verdict of the advice."""

from __future__ import annotations

from typing import TYPE_CHECKING

from detentsim.analysis.in_hand.advise.thresholds import NO_HELP
from detentsim.knife.outcomes import FLAGS
from detentsim.show.in_hand.advise.map import TOLD, decision, on_map
from detentsim.show.in_hand.advise.verdict import called, in_short, joined, joined_with_needs, standing, verdict
from detentsim.show.many_builds.sweep.scales import AxisScale
from detentsim.show.theme.page import page, title_of
from detentsim.show.theme.style import drawable, lines_of, need

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from detentsim.analysis.in_hand.advise.proposals import Advice
    from detentsim.analysis.in_hand.advise.trials.proposal import Proposal


def decision_figure(advice: Advice) -> Figure:
    """Draw the decision map, with what to do and why in words underneath.

    Parameters
    ----------
    advice : Advice
        From `detentsim.advise`.

    Returns
    -------
    Figure
        A full page wide (170 mm); of no window; a notebook shows it after ``%matplotlib inline``.
        To be saved by `detentsim.show.save_figure`.

    Examples
    --------
    >>> import detentsim as ds
    >>> decision_figure(ds.advise(ds.demo())).texts[0].get_text()
    'What to change: 82 mm garden folder (demo)'
    """
    need(advice, "Advice")
    title = title_of(advice.build, "What to change: ", 110)
    mapped, lined = advice.field is not None, advice.line is not None
    # Room for scales over and under the drawing, the colour bar's too; what has neither map nor line is a sentence.
    above, body, below = (23.0, 78.0, 11.0) if mapped else (8.0, 56.0, 11.0) if lined else (1.0, 8.0, 2.0)
    side = 15.0 if mapped or lined else 2.0
    strips = {"As it stands:": advice.summary.answers}
    with page(title, _notes(advice), above + body, under=below + 3, line=3.35, strips=strips) as sheet:
        decision(advice, sheet.axes(side, side, 0, body + (above if mapped else 0.0)))
    return sheet.figure


def _notes(advice: Advice) -> str:
    """What is wanted, and what to do, in words."""
    wanted = "Wanted: " + "; ".join(aim.said(advice.build.units) for aim in advice.aims) + "."
    return "\n".join(lines_of(drawable(text, 600), 118) for text in [wanted, *_verdict(advice), *_drawn(advice)])


def _verdict(advice: Advice) -> list[str]:
    lines = [*standing(advice)]
    if advice.met:
        return [*lines, *verdict(advice)]
    if advice.best is None:
        lines += verdict(advice)
        nearest = [p for p in advice.others if p.reason != NO_HELP][:1]
        return lines + [f"Nearest, {called(p)}: {p.reason}" for p in nearest]
    told = [_told(number, p) for number, p in enumerate(advice.proposals[:1], start=1)]
    rest = [joined(p) for p in advice.proposals[1:TOLD]]
    return [*lines, *told, *(f"{number}. {words}." for number, words in enumerate(rest, start=2))]


def _told(number: int, p: Proposal) -> str:
    flags = "".join(f" Then: {FLAGS[flag]}" for flag in p.flags)
    return f"{number}. {joined_with_needs(p)}. {p.reason}{flags}"


def _drawn(advice: Advice) -> list[str]:
    """Which of the proposals is drawn, where that is not the first."""
    s = advice.field or advice.line
    if s is None or not advice.proposals:
        return []
    found = on_map(advice, [AxisScale(axis, i) for i, axis in enumerate(s.axes)])
    if found is advice.best:
        return []
    if found is None:
        return ["No proposal is drawn: none turns on these inputs alone."]
    number = advice.proposals.index(found) + 1
    drawn = "arrow" if advice.field is not None else "diamond"
    return [f"The {drawn} is proposal {number}, {in_short(found)}: the first one is not on this map."]
