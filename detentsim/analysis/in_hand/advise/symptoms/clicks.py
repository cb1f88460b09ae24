"""The symptom of two clicks: the ball leaves the inner edge and then the outer one, and which feed makes one of them.

A feed far enough lets the outer edge carry the ball from the start; one short enough keeps the outer edge's crest too
small to feel. Both are found by solving the build at the feeds that a bench can set.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from detentsim.analysis.in_hand.advise.symptoms.case import crests_of
from detentsim.analysis.results import single
from detentsim.knife.record.fields import assemble
from detentsim.mechanics.response import respond
from detentsim.units.numbers import two_digits

if TYPE_CHECKING:
    from collections.abc import Iterable

    from detentsim.analysis.in_hand.advise.symptoms.case import Case

# What a quill sets, by the build's unit of length [m].
_STEP = {"mm": 0.01e-3, "in": 0.0127e-3}

# Results that a feed is judged by.
_LOOKED_AT = ("breakout_torque", "breakout_force", "breakout_force_angle")


class OneClick(NamedTuple):
    """A feed of the second drill that leaves one crest [m], and the breakout then [N]."""

    feed: float
    breakout: float


def click_words(case: Case) -> str:
    """What a build with two crests feels like, and which feed of the second drill leaves one.

    Parameters
    ----------
    case : Case
        With two crests at least.
    """
    told = " and ".join(f"{case.said(torque, 'N*mm')} at {two_digits(angle)} deg" for angle, torque in case.crests)
    words = f"the ball leaves the inner edge and then the outer one: crests of {told}"
    return ". ".join((words, *_mending(case)))


def _mending(case: Case) -> tuple[str, ...]:
    """What to do: on this knife, on the next one, and that it may stay; a sentence each without its full stop."""
    own, now = float(case.record.rim_feed), case.force(case.value("breakout_force"))
    deeper, shallower = one_click(case, deeper=True), one_click(case, deeper=False)
    said = []
    if deeper is not None:
        more, all_in_all = case.size(1e3 * (deeper.feed - own)), case.size(1e3 * deeper.feed)
        off = _off_target(case, deeper.breakout)
        said.append(
            f"To make them one, feed the second drill {more} deeper, to {all_in_all} in all: breakout is then "
            f"{case.force(deeper.breakout)} instead of {now}{off}, and no drill undoes it"
        )
    if shallower is not None:
        feed, force = case.size(1e3 * shallower.feed), case.force(shallower.breakout)
        upto = f"{feed} at most" if shallower.feed > 0 else "not at all"
        said.append(f"On the next knife, feed it {upto}: one click, with a breakout of {force}")
    return (*said, "Two clicks are a matter of feel alone: where you like them, leave them")


def _off_target(case: Case, force: float) -> str:
    low, high = case.wanted("breakout_force")
    if low <= force <= high:
        return ""
    return f" (off its target unless the bar is bent {'out' if force > high else 'further in'} as well)"


def one_click(case: Case, deeper: bool) -> OneClick | None:
    """Nearest feed of the second drill that leaves one crest, deeper or shallower; None where none does.

    Parameters
    ----------
    case : Case
    deeper : bool
    """
    own, step = float(case.record.rim_feed), _STEP[case.units.length]
    if not case.numbers.get("dimple.rim_drill", 0):
        return None
    if deeper:
        steps = np.arange(np.ceil(own / step - 1e-6), np.floor(float(case.record.pilot_depth) / step) + 1)
    else:
        steps = np.arange(np.floor(own / step + 1e-6), -1, -1)
    return _first_single(case, steps * step)


def _first_single(case: Case, feeds: Iterable[float]) -> OneClick | None:
    for feed in feeds:
        response = respond(assemble(case.numbers | {"dimple.rim_feed": float(feed)}), _LOOKED_AT)
        if len(crests_of(response)) == 1:
            force = single(response.results)["breakout_force"]
            return None if force is None else OneClick(float(feed), float(force))
    return None
