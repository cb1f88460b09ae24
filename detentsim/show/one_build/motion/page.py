"""The page that sets speed and energy under the blade's positions."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from matplotlib.figure import Figure

from detentsim.knife.outcomes import FLAGS, UNSOUND
from detentsim.show.one_build.motion.attitudes import attitudes
from detentsim.show.one_build.motion.speed_and_energy import EDGE, WIDE, energy, speed
from detentsim.show.one_build.motion.strip import blade_strip, two_deg
from detentsim.show.theme.style import MM, drawable, lines_of, look
from detentsim.units.numbers import two

if TYPE_CHECKING:
    from detentsim.analysis.one_build.motion.motion import Motion
    from detentsim.analysis.one_build.motion.opening import Speed
    from detentsim.units.systems import UnitSystem


def motion_figure(motion: Motion) -> Figure:
    """Draw the blade at equal times over its speed and energy, how it falls by attitude, and in words the verdict.

    Parameters
    ----------
    motion : Motion
        From `detentsim.motion`.

    Returns
    -------
    Figure
        A full page wide (170 mm); of no window and no notebook, to be saved by `detentsim.show.theme.saving`.
    """
    name = drawable(motion.build.name, 130) + (" (demo)" if motion.build.demo else "")
    title, notes = lines_of(name, 80, 2), _notes(motion)
    width, falls = 170.0, 39.0 if motion.attitudes else 8.0
    parts = ((blade_strip, 56.0, 2.0), (speed, 34.0, 4.0), (energy, 42.0, 13.0), (attitudes, falls, 0.0))
    head, foot = 4.5 * (title.count("\n") + 1) + 3, 3.3 * (notes.count("\n") + 1) + 4
    height = head + sum(tall + gap for _, tall, gap in parts) + foot
    with look():
        figure = Figure(figsize=(width * MM, height * MM))
        top = height - head
        for draw, tall, gap in parts:
            ax = figure.add_axes((EDGE / width, (top - tall) / height, WIDE / width, tall / height))
            draw(motion, ax)
            if draw is speed:  # the next one shows the same scale
                ax.set_xlabel("")
                ax.tick_params(labelbottom=False)
            top -= tall + gap
        figure.align_ylabels(figure.axes[1:3])
        figure.text(2 / width, 1 - 1.5 / height, title, va="top", size=9, weight="bold", parse_math=False)
        figure.text(2 / width, 1.5 / height, notes, va="bottom", linespacing=1.25, parse_math=False)
    return figure


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
            "Lowest row: dashed where the blade is let go, filled where it falls to; straight down is down the page."
        )
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
    at = f"Finger at {units.two(one.limit, 'm/s')}{' (this build, drawn)' if own else ''}:"
    if one.opens and one.speed is not None and one.time is not None:
        return f"{at} opens in {one.time * 1e3:.0f} ms, arriving at {two(one.speed)} rad/s."
    return f"{at} stalls at {two_deg(one.stall or 0.0)}, {units.two(one.lacks or 0.0, 'mJ')} short of lock-up."
