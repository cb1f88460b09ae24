"""The page that sets the decision map, or its line, under the verdict of the advice."""

from __future__ import annotations

from typing import TYPE_CHECKING

from matplotlib.figure import Figure

from detentsim.analysis.in_hand.advise.thresholds import NO_HELP
from detentsim.knife.outcomes import FLAGS
from detentsim.show.in_hand.advise.map import TOLD, WIDTH, check_advice, decision, on_map
from detentsim.show.in_hand.advise.report import joined
from detentsim.show.in_hand.advise.verdict import standing, verdict
from detentsim.show.many_builds.sweep.scales import AxisScale
from detentsim.show.theme.style import MM, drawable, lines_of, look

if TYPE_CHECKING:
    from detentsim.analysis.in_hand.advise.proposals import Advice, Proposal


def decision_figure(advice: Advice) -> Figure:
    """Draw the decision map, with what to do and why in words underneath.

    Parameters
    ----------
    advice : Advice
        From `detentsim.advise`.

    Returns
    -------
    Figure
        A full page wide (170 mm); of no window and no notebook, to be saved by `detentsim.show.theme.saving`.

    Examples
    --------
    >>> import detentsim as ds
    >>> decision_figure(ds.advise(ds.demo())).texts[0].get_text()
    'What to change: 82 mm garden folder (demo)'
    """
    check_advice(advice)
    name = drawable(advice.build.name, 110) + (" (demo)" if advice.build.demo else "")
    title, notes = lines_of(f"What to change: {name}", 80, 2), _notes(advice)
    mapped, lined = advice.field is not None, advice.line is not None
    above, body, below = (13.0, 78.0, 11.0) if mapped else (8.0, 56.0, 11.0) if lined else (1.0, 8.0, 2.0)
    head, foot = 4.5 * (title.count("\n") + 1) + 3, 3.35 * (notes.count("\n") + 1) + 3
    above += 10.0 if mapped else 0.0  # the colour bar
    height = head + above + body + below + foot
    with look():
        figure = Figure(figsize=(WIDTH * MM, height * MM))
        tall = body + (above if mapped else 0.0)
        left, right = (15.0, 15.0) if mapped or lined else (2.0, 2.0)
        place = (left / WIDTH, (foot + below) / height, 1 - (left + right) / WIDTH, tall / height)
        decision(advice, figure.add_axes(place))
        figure.text(2 / WIDTH, 1 - 1.5 / height, title, va="top", size=9, weight="bold", parse_math=False)
        figure.text(2 / WIDTH, 1.5 / height, notes, va="bottom", linespacing=1.25, parse_math=False)
    return figure


def _notes(advice: Advice) -> str:
    """What is wanted, and what to do, in words."""
    wanted = "Wanted: " + "; ".join(aim.words for aim in advice.aims) + "."
    return "\n".join(lines_of(drawable(text, 600), 118) for text in [wanted, *_verdict(advice), *_drawn(advice)])


def _verdict(advice: Advice) -> list[str]:
    lines = [*standing(advice), *verdict(advice)]
    if advice.right:
        return lines
    if advice.best is None:
        nearest = [p for p in advice.others if p.reason != NO_HELP][:1]
        return lines + [f"Nearest, {p.names[0]}: {p.reason}" for p in nearest]
    told = [_told(number, p) for number, p in enumerate(advice.proposals[:1], start=1)]
    rest = [joined(p) for p in advice.proposals[1:TOLD]]
    return [*lines, *told, *(f"{number}. {words}." for number, words in enumerate(rest, start=2))]


def _told(number: int, p: Proposal) -> str:
    flags = "".join(f" It raises: {FLAGS[flag]}" for flag in p.flags)
    needs = f" ({'; '.join(p.needs)})" if p.needs else ""
    return f"{number}. {joined(p)}{needs}. {p.reason}{flags}"


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
    return [f"The {drawn} is proposal {number}, {joined(found)}: the first one does not lie here."]
