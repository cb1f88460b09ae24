"""The page that sets moment, stress, the ruler of travel and the gauges under the bar's side view."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

import numpy as np

from detentsim.analysis.one_build.checks import check_limits
from detentsim.knife.outcomes import FLAGS
from detentsim.show.one_build.limits.bar import bar_side
from detentsim.show.one_build.limits.frame import LEFT, RIGHT, sizes
from detentsim.show.one_build.limits.gauges import gauges, gauges_height
from detentsim.show.one_build.limits.ruler import travel_ruler
from detentsim.show.one_build.limits.stress import bar_moment, bar_stress, past_it
from detentsim.show.theme.page import FULL, Row, page, title_of
from detentsim.show.theme.style import lines_of, need

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from detentsim.analysis.one_build.limits.limits import Limits
    from detentsim.analysis.one_build.summary import Summary

# Left edge and width of what a page shows [mm].
EDGE, WIDE = 17.0, 151.0

# Width of the ruler, and of the gauges at its right, their names left out [mm].
RULER, GAUGES = 92.0, 34.0


def limits_figure(limits: Limits, checked: Summary | None = None) -> Figure:
    """Draw the bar's side view, moment and stress, the ruler and the gauges; in words underneath what does not hold.

    Parameters
    ----------
    limits : Limits
        From `detentsim.limits`.
    checked : Summary, optional
        Verdict on the same build; told first, with a missed target and what does not stay shut.

    Returns
    -------
    Figure
        A full page wide (170 mm); of no window; a notebook shows it after ``%matplotlib inline``.
        To be saved by `detentsim.show.save_figure`.
    """
    need(limits, "Limits")
    rows = [
        Row(partial(bar_side, limits), side_height(limits), 4.0, scale_below=True),
        Row(partial(bar_moment, limits), 21.0, 4.0, scale_below=True),
        Row(partial(bar_stress, limits), 36.0, 12.0),
    ]
    last = max(28.0, gauges_height(limits))
    body = sum(row.tall + row.gap for row in rows) + last
    strips = None if checked is None else {"": checked.answers}
    with page(title_of(limits.build), _notes(limits, checked), body, under=13.0, strips=strips) as sheet:
        drawn = sheet.stack(rows, EDGE, FULL - EDGE - WIDE)
        sheet.figure.align_ylabels(drawn)
        travel_ruler(limits, sheet.axes(EDGE, FULL - EDGE - RULER, 0, last))
        gauges(limits, sheet.axes(EDGE + WIDE - GAUGES, FULL - EDGE - WIDE, 0, last))
    return sheet.figure


def side_height(limits: Limits) -> float:
    """Room for a side view to scale, as far as a page has it [mm].

    Parameters
    ----------
    limits : Limits
    """
    s = sizes(limits)
    return float(np.clip((s.high - s.low) * (WIDE - (LEFT + RIGHT) * 25.4 / 72) / s.tip + 12, 30, 52))


def _notes(limits: Limits, checked: Summary | None) -> str:
    verdict = [] if checked is None else [checked.words]
    words = [f"Limit exceeded: {limit.full_name}. {limit.words}" for limit in limits.passed]
    if not words:
        nearest = "" if limits.first is None else limits.first.words
        words = [f"Limits: {check_limits(limits).words} {nearest}".strip()]
    if past_it(limits):
        words.append("Where the stress drawn exceeds what the metal withstands, the metal yields instead.")
    flags = [FLAGS[flag] for flag in limits.flags]
    others = () if checked is None else (one for one in checked.bad if one.name not in ("warnings", "limits"))
    return "\n".join(lines_of(text, 118) for text in [*verdict, *words, *flags, *(one.words for one in others)])
