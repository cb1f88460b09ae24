"""The page that sets speed and energy under the blade's positions."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

import numpy as np

from detentsim.knife.outcomes import FLAGS, UNSOUND
from detentsim.show.one_build.motion.attitudes import attitudes
from detentsim.show.one_build.motion.speed_and_energy import EDGE, WIDE, energy, speed
from detentsim.show.one_build.motion.staying import attitude_ring, staying_gauge, what_opens
from detentsim.show.one_build.motion.strip import blade_strip, two_deg
from detentsim.show.one_build.motion.words import turned_words
from detentsim.show.theme.page import FULL, Row, page, title_of
from detentsim.show.theme.style import lines_of, need
from detentsim.units.numbers import two_digits

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from detentsim.analysis.one_build.motion.motion import Motion
    from detentsim.analysis.one_build.motion.opening import Speed
    from detentsim.units.systems import UnitSystem


# Height of the row on staying shut, the gap over it, and width of the ring of attitudes [mm].
HELD, GAP, RING = 14.0, 3.0, 46.0


def motion_figure(motion: Motion) -> Figure:
    """Draw the blade at equal times, its speed and energy, how it falls by attitude, and what keeps it shut.

    Parameters
    ----------
    motion : Motion
        From `detentsim.motion`.

    Returns
    -------
    Figure
        A full page wide (170 mm); of no window; a notebook shows it after ``%matplotlib inline``.
        To be saved by `detentsim.show.save_figure`.
    """
    need(motion, "Motion")
    rows = [
        Row(partial(blade_strip, motion), 45.0, 2.0),
        Row(partial(speed, motion), 25.0, 4.0, scale_below=True),
        Row(partial(energy, motion), 31.0, 12.0),
    ]
    fall = 38.0 if motion.attitudes else 8.0
    held = HELD if motion.staying.carry_g is not None else 6.0
    body = sum(row.tall + row.gap for row in rows) + fall + held + GAP
    strips = {"": motion.summary.answers}
    with page(title_of(motion.build), _notes(motion), body, under=11.0, strips=strips) as sheet:
        drawn = sheet.stack(rows, EDGE, FULL - EDGE - WIDE)
        sheet.figure.align_ylabels(drawn[1:3])
        ring = RING if motion.attitudes else 0.0
        attitudes(motion, sheet.axes(2, 2 + ring, held + GAP, fall))
        staying_gauge(motion, sheet.axes(29, FULL - 100, 0, held))
        what_opens(motion, sheet.axes(108, 2, 0, held))
        if ring:
            attitude_ring(motion, sheet.axes(FULL - ring, 2, held + GAP, fall))
    return sheet.figure


def _notes(motion: Motion) -> str:
    opening = motion.opening
    words = _verdicts(motion)
    if opening.after:
        after = {"stays": "stays there", "shut": "falls shut again"}.get(opening.after)
        words.append(f"Stalled, the blade {after or f'falls back and hangs at {two_deg(opening.after_at or 0.0)}'}.")
    if opening.launch is not None:
        launch = motion.build.units.pull(opening.launch)
        words.append(f"The lowest breakout that would still throw this blade open is {launch}.")
    if motion.attitudes:
        words.append(
            "Dashed: where the blade is let go; filled: where it falls to. On the ring straight down lies on that side."
        )
        words += turned_words(motion)
    verdict = [motion.summary.words, *(check.words for check in motion.summary.bad)]
    traits = [FLAGS[flag] for flag in motion.flags if flag not in UNSOUND]
    return "\n".join(lines_of(text, 118) for text in [*verdict, *words, *traits])


def _verdicts(motion: Motion) -> list[str]:
    """The verdict over finger speeds, in words."""
    if not motion.opening.speeds:
        return [f"Nothing is thrown: {motion.why('arrival_speed')}."]
    own, units = motion.build.si("finger.speed_limit"), motion.build.units
    return [_verdict(one, bool(np.isclose(one.limit, own, rtol=1e-9, atol=0)), units) for one in motion.opening.speeds]


def _verdict(one: Speed, own: bool, units: UnitSystem) -> str:
    at = f"Finger at {units.two_digits(one.limit, 'm/s')}{' (this build, drawn)' if own else ''}:"
    if one.opens and one.speed is not None and one.time is not None:
        return f"{at} opens in {one.time * 1e3:.0f} ms, arriving at {two_digits(one.speed)} rad/s."
    return f"{at} stalls at {two_deg(one.stall or 0.0)}, {units.two_digits(one.lacks or 0.0, 'mJ')} short of lock-up."
