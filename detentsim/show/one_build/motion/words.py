"""Motion in words, sentence by sentence: flying open and falling shut; ``shut_words`` has staying shut."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from detentsim.analysis.in_hand.advise.thresholds import STIFFEST
from detentsim.analysis.missing import why_missing
from detentsim.analysis.one_build.limits.margins import THUMB
from detentsim.show.one_build.feel_curve.report import attitude_words, stop_words
from detentsim.units.numbers import two_digits

if TYPE_CHECKING:
    from collections.abc import Iterator

    from detentsim.analysis.one_build.motion.falling import Hang
    from detentsim.analysis.one_build.motion.motion import Motion

# Tip speed above which a blade that falls shut is worth a warning [m/s] (judgement, no source).
FAST_TIP = 1.0

_STALLS = {
    "finger too weak": "The finger never overcomes the detent: its effort stays below what breaks out.",
    "finger leaves first": "The opener leaves the finger before the blade is out of its dimple, so nothing is thrown.",
}


def opening_words(m: Motion, slow: bool = True) -> Iterator[str]:
    """Whether the blade flies open, sentence by sentence.

    Parameters
    ----------
    m : Motion
    slow : bool
        Whether to say that a slower finger fails, where it does.

    Yields
    ------
    str
        In the units of the build.
    """
    o = m.opening
    if o.stall == "no breakout":
        yield f"Nothing is thrown: {why_missing('breakout_force', m.flags)}."
        return
    if o.stall:
        yield _STALLS[o.stall] if o.stall in _STALLS else _stalled(m)
    else:
        speed, energy = m.results["arrival_speed"], m.results["arrival_energy"]
        own = float(m.response.load.record.finger_speed)
        time = next((one.time for one in o.speeds if one.limit == own), None) or 0.0
        units = m.build.units
        yield (
            f"It flies open: pushed with {units.pull(o.finger)} up to {o.leaves:.0f} deg, it reaches lock-up in "
            f"{two_digits(1e3 * time)} ms at {two_digits(float(speed or 0))} rad/s, with "
            f"{units.two_digits(float(energy or 0), 'mJ')} left."
        )
    yield from _launch(m)
    yield from _asks(m, slow)


def _stalled(m: Motion) -> str:
    o, angle = m.opening, float(m.results["stall_angle"] or 0)
    how = "with the finger stuck behind it" if o.stall == "finger stuck" else "coasting after the finger has left it"
    lacks = m.build.units.two_digits(float(m.results["wrist_energy"] or 0), "mJ")
    then = {
        "stays": "stays there",
        "hangs": f"swings back and hangs at {o.after_at or 0:.0f} deg",
        "shut": "falls shut again",
    }[o.after]
    return f"It stalls at {angle:.0f} deg, {how}, and {then}. A flick of the wrist must add {lacks} to reach lock-up."


def _launch(m: Motion) -> Iterator[str]:
    launch, force = m.opening.launch, float(m.response.results["breakout_force"])
    pull = m.build.units.pull
    if m.opening.stall in _STALLS:
        return
    if launch is None:
        yield "No breakout, however high, throws this blade fully open with this finger, opener and drag."
    elif launch > THUMB[1]:
        yield f"With this drag only a breakout of {pull(launch)} would throw it open; no finger gives that."
    elif launch == 0:
        yield "However low the breakout, this finger throws the blade fully open with this drag."
    elif launch < force:
        yield (
            f"With this drag the lowest breakout that still throws it open is {pull(launch)}; this build has "
            f"{pull(force)}. Lower than that, the blade opens fully only with a flick of the wrist."
        )
    else:
        yield f"With this drag the breakout must be {pull(launch)} or more to throw it open; it is {pull(force)}."


def _asks(m: Motion, told: bool) -> Iterator[str]:
    """What the throw asks of the finger, where that is much, or depends on how fast it is."""
    units = m.build.units
    if m.opening.finger is not None and m.opening.finger > STIFFEST and not m.opening.stall:
        push, most = units.distinct_pair(m.opening.finger, STIFFEST, "N")
        yield f"{push} is much for a finger: the most advised for pulling a control is {most} (MIL-STD-1472E)."
    slow = [one for one in m.opening.speeds if not one.opens]
    if told and slow and not m.opening.stall:
        at = f"{slow[-1].stall or 0:.0f} deg"
        yield (
            f"A slower finger fails to open it: at {units.two_digits(slow[-1].limit, 'm/s')} the blade stalls at {at}."
        )


def closing_words(m: Motion) -> Iterator[str]:
    """Whether the unlocked blade falls shut, sentence by sentence.

    Parameters
    ----------
    m : Motion
    """
    if not m.attitudes:
        yield "Falling shut: not known; give blade.mass and blade.balance_radius."
        return
    own, start = m.attitudes[0], float(np.degrees(m.response.load.record.close_from))
    held = attitude_words(own.down_angle)
    if own.opens:
        yield f"Let go at {start:.0f} deg, its own weight swings it open, {held}."
        return
    if not own.falls:
        yield f"It does not fall shut: let go at {start:.0f} deg, it {stop_words(start, own.hangs)}, {held}."
        return
    yield _falls(m, own, start)
    reach = 1.5 * float(m.response.load.record.balance_radius)
    if own.speed is not None and own.speed * reach > FAST_TIP:
        yield "That is fast enough to cut a finger in its way: close it with the fingers clear of the edge."


def holding_words(m: Motion) -> Iterator[str]:
    """Why the blade will not fall shut: the torques on it where it hangs, and by how much they fail.

    Parameters
    ----------
    m : Motion
    """
    h, two_of = m.holding, m.build.units.two_digits
    if h is None:
        return
    weight, ball, pivot = (two_of(abs(part), "N*mm") for part in (h.weight, h.ball, h.pivot))
    pulls = f"its weight pulls it {'shut' if h.weight >= 0 else 'open'} with {weight}"
    rubs = f"{h.what_drags} holds {ball}" if h.ball <= 0 else f"the ball pulls it shut with {ball}"
    yield f"Why it will not fall shut: at {h.angle:.0f} deg {pulls}, {rubs}, and the pivot's friction holds {pivot}."
    lacks = -float(m.results["closing_spare"] or 0)
    drag = 1e3 * float(m.response.results["drag_torque"]) - h.pivot
    if lacks >= drag:
        yield "Even without any drag it would not fall shut with the handle held like this."
    elif lacks > 0:
        yield f"It would fall shut with {two_of(lacks, 'N*mm')} less drag all the way."


def _falls(m: Motion, own: Hang, start: float) -> str:
    """How it falls shut, and where the ball then is."""
    speed = "" if own.speed is None else f" and meets its stop at {two_digits(own.speed)} rad/s"
    seats = ": the ball comes into its dimple and seats"
    if "misses_dimple" in m.flags:
        seats = ", but the ball stays on the flat beside its dimple"
    elif "floats" in m.flags:
        seats = ""
    return f"Let go at {start:.0f} deg, it falls shut{speed}, {attitude_words(own.down_angle)}{seats}."


def attitude_list(m: Motion) -> Iterator[str]:
    """How it falls with the handle held otherwise, in one sentence; nothing without the blade's weight.

    Parameters
    ----------
    m : Motion
    """
    parts = [f"{one.name}: {_outcome(one)}" for one in m.attitudes[1:]]
    if parts:
        yield f"With the handle held otherwise: {'; '.join(parts)}."


def turned_words(m: Motion) -> Iterator[str]:
    """The attitudes in which the let-go blade falls shut, in one sentence; nothing without the blade's weight.

    Parameters
    ----------
    m : Motion
    """
    start = float(np.degrees(m.response.load.record.close_from))
    spans = [_tilts(one.low, one.high) for one in m.all_round if one.outcome == "falls shut"]
    where = " and ".join(spans) or "in no attitude of the handle"
    if m.all_round:
        yield f"Let go at {start:.0f} deg with the handle turned every way, it falls shut {where}."


def _tilts(low: float, high: float) -> str:
    """A span of directions of straight down as tilts of the handle from butt-down."""
    if high - low > 359.9:
        return "however it is held"
    first, last = ((end + 180) % 360 - 180 for end in (low, high))
    if first * last > 0 and high - low < 180:
        small, large = sorted((abs(first), abs(last)))
        return f"tilted {small:.0f} to {large:.0f} deg from butt-down, slot {'up' if first < 0 else 'down'}"
    ends = [f"{abs(end):.0f} deg slot {'up' if end < 0 else 'down'}" for end in (first, last)]
    return f"tilted from {ends[0]}, through butt-{'down' if low < 0 < high else 'up'}, to {ends[1]}"


def _outcome(one: Hang) -> str:
    if one.falls:
        return "falls shut"
    return "swings open" if one.opens else "stays" if one.stays else f"hangs at {one.hangs or 0:.0f} deg"


def comfort_words(m: Motion) -> Iterator[str]:
    """What published figures say of a finger's force; nothing without a breakout.

    Parameters
    ----------
    m : Motion
    """
    force, units = float(m.response.results["breakout_force"]), m.build.units
    if np.isfinite(force):
        yield (
            f"The breakout is {units.pull(force)} at the opener. For comparison: one finger on a push button "
            f"{units.between(2.8, 11, 'N')} (MIL-STD-1472, from memory), a finger pulling a panel control at most "
            f"{units.pull(18)} (MIL-STD-1472E 5.4.3.1.8.7), an adult's index finger flicking outward "
            f"{units.pull(6.8)} at its peak (Arch. Hand Microsurg. 29(2))."
        )
