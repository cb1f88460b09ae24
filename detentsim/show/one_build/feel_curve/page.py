"""The page that sets the feel curve beside the dimple."""

from __future__ import annotations

from typing import TYPE_CHECKING

from matplotlib.figure import Figure

from detentsim.knife.outcomes import FLAGS
from detentsim.show.one_build.feel_curve.dimple import dimple
from detentsim.show.one_build.feel_curve.lines import curve
from detentsim.show.theme.style import MM, drawable, lines_of, look

if TYPE_CHECKING:
    from detentsim.analysis.one_build.curve.curve import Curve


def curve_figure(c: Curve) -> Figure:
    """Draw the feel curve beside the dimple, named, with what is flagged in words underneath.

    Parameters
    ----------
    c : Curve
        From `detentsim.curve`.

    Returns
    -------
    Figure
        A full page wide (170 mm); of no window and no notebook, to be saved by `detentsim.show.theme.saving`.
    """
    name = drawable(c.build.name, 130) + (" (demo)" if c.build.demo else "")
    title, notes = lines_of(name, 80, 2), _notes(c)
    head, foot = 4.5 * (title.count("\n") + 1) + 3, 3.3 * (notes.count("\n") + 1) + 12
    width, body = 170.0, 64.0
    height = head + body + foot
    with look():
        figure = Figure(figsize=(width * MM, height * MM))
        bottom, tall = foot / height, body / height
        curve(c, figure.add_axes((13 / width, bottom, 70 / width, tall)))
        dimple(c, figure.add_axes((95 / width, bottom, 73 / width, tall)))
        figure.text(2 / width, 1 - 1.5 / height, title, va="top", size=9, weight="bold", parse_math=False)
        figure.text(2 / width, 1.5 / height, notes, va="bottom", linespacing=1.25, parse_math=False)
    return figure


def _notes(c: Curve) -> str:
    shaded = [] if c.likely.designs is None else ["Shaded about a line: where most knives made to this build fall."]
    flags = [FLAGS[flag] for flag in c.flags] or ["No warnings."]
    return "\n".join(lines_of(words, 118) for words in [*flags, *shaded])
