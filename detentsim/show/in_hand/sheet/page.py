"""One page for the bench: verdict and target, drawings to scale, the layout at full size, steps with tick boxes."""

from __future__ import annotations

from typing import TYPE_CHECKING

from matplotlib.figure import Figure

from detentsim.show.in_hand.sheet.document import CAUTIONS
from detentsim.show.in_hand.sheet.flow import PAPERS, Flow, Paper, height_of, wrapped
from detentsim.show.in_hand.sheet.full_size import full_size
from detentsim.show.in_hand.sheet.steps import short_verdict, steps, target_lines, verdict_lines
from detentsim.show.one_build.feel_curve.dimple import dimple
from detentsim.show.one_build.limits.bar import bar_side
from detentsim.show.one_build.limits.page import WIDE, side_height
from detentsim.show.theme.page import title_of
from detentsim.show.theme.style import MM, SMALL, figure_style, need
from detentsim.units.errors import InputError

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from detentsim.analysis.in_hand.sheet.sheet import Sheet

# Heights of the drawings: the bar with its scale, and dimple and full-size layout beside each other [mm].
BAR, SCALE = 33.0, 9.0

# Greatest height that the bar takes to be drawn to scale [mm].
TALL = 54.0

# Sizes of type tried for the steps, from one that reads across a bench down [pt]; and heights of the middle row [mm].
TYPES = (9.0, 8.5, 8.0, 7.5, 7.0, 6.5, 6.0)
GAP = 3.0
ROWS = (74.0, 66.0, 58.0)


def sheet_figure(s: Sheet, paper: str = "a4") -> Figure:
    """Draw the sheet of a build.

    Parameters
    ----------
    s : Sheet
        From `detentsim.sheet`.
    paper : str
        ``a4`` or ``letter``.

    Returns
    -------
    Figure
        Of that size; to be saved by `detentsim.show.save_figure`.

    Raises
    ------
    InputError
        Where the paper has another name.
    """
    need(s, "Sheet")
    if paper not in PAPERS:
        raise InputError("paper", paper, f'"{paper}" is not one of its choices; give "a4" or "letter"')
    page = PAPERS[paper]
    with figure_style():
        figure = Figure(figsize=(page.width * MM, page.height * MM))
        flow = Flow(figure, page, 8.0)
        _head(s, flow)
        every = steps(s)
        low = page.height - 8.0 - len(wrapped(CAUTIONS, page.width - 2 * page.margin, SMALL)) * SMALL * 0.466
        size, stops, row, bar = _fitting(s, page, low - flow.y - SCALE - GAP - 5)
        _drawings(s, flow, row, bar)
        for number, step in enumerate(every, start=1):
            flow.step(number, step, size, stops)
        flow.y = low
        flow.paragraph(page.margin, CAUTIONS, SMALL)
    return figure


def _fitting(s: Sheet, page: Paper, room: float) -> tuple[float, bool, float, float]:
    """Largest type, whether to tell what to try before a step, and heights of the two rows of drawings, that fit."""
    every, wider = steps(s), (page.width - 2 * page.margin - 15) / WIDE
    whole = min(side_height(s.limits) * wider + 1, TALL)
    for stops, bar, least in ((True, whole, 8.0), (True, BAR, 7.0), (False, whole, 7.5), (False, BAR, 6.0)):
        for size in (one for one in TYPES if one >= least):
            for row in ROWS:
                if height_of(every, page, size, stops) + row + SCALE + bar <= room:
                    return size, stops, row, bar
    return TYPES[-1], False, ROWS[-1], BAR


def _head(s: Sheet, flow: Flow) -> None:
    """Name, verdict, and the target beside what to expect."""
    left = flow.paper.margin
    for line in title_of(s.build, "Bench sheet: ").split("\n"):
        flow.line(left, line, 12, weight="bold")
    room = flow.paper.width - 2 * left
    told = verdict_lines(s)
    if sum(len(wrapped(text, room, 7.5)) for text in told) > 5:
        told = short_verdict(s)
    for text in (one for one in told if one):
        flow.paragraph(left, text, 7.5)
    flow.y += 0.8
    for text in target_lines(s):
        flow.paragraph(left, text, 8.5, weight="bold")


def _drawings(s: Sheet, flow: Flow, row: float, bar: float) -> None:
    """Bar to scale, then the dimple enlarged beside the layout at full size; leaves `flow` under them."""
    page = flow.paper
    sizes = _bar_sizes(s)
    flow.y += 1.5
    flow.paragraph(page.margin, sizes, SMALL)
    bar_side(s.limits, _axes(flow, page.margin + 13, page.width - 2 * page.margin - 15, flow.y, bar))
    flow.y += bar + SCALE
    half = (page.width - 2 * page.margin) / 2
    dimple(s.curve, _axes(flow, page.margin + 11, half - 14, flow.y, row - 1))
    full_size(s, _axes(flow, page.margin + half, half, flow.y, row + SCALE), half, row + SCALE)
    flow.y += row + SCALE + GAP


def _bar_sizes(s: Sheet) -> str:
    """Sizes of the bar in words, as typed."""
    word = s.build.word
    thin = f", relief {word('bar.relief_thickness')} left over {word('bar.relief_length')}"
    relief = thin if word("bar.relief_length") else ""
    along = f"root to ball {word('bar.ball_from_root')}, to lock face {word('bar.tip_from_root')}"
    ball = f"ball {word('ball.diameter')} {word('ball.material')}"
    return (
        f"Bar {word('bar.material')}, {word('bar.thickness')} thick, {word('bar.width')} wide{relief}; {along}; {ball}."
    )


def _axes(flow: Flow, left: float, wide: float, top: float, tall: float) -> Axes:
    """Axes at a place on the paper [mm from its left and top edges]."""
    page = flow.paper
    place = (left / page.width, 1 - (top + tall) / page.height, wide / page.width, tall / page.height)
    return flow.figure.add_axes(place)
