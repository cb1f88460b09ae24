"""Motion as text for the bench and as a JSON document."""

from __future__ import annotations

from dataclasses import asdict
from typing import TYPE_CHECKING, Any

import numpy as np

from detentsim.analysis.advise.symptoms.case import STIFFEST
from detentsim.analysis.limits.margins import THUMB
from detentsim.knife.outcomes import FLAGS
from detentsim.show.feel_curve.report import attitude_words
from detentsim.show.theme.rows import build_rows, finite, result_row, verdict_lines, verdict_rows
from detentsim.show.theme.tables import table, wrap
from detentsim.units.numbers import pull, two

if TYPE_CHECKING:
    from collections.abc import Iterator

    from detentsim.analysis.motion.falling import Hang
    from detentsim.analysis.motion.motion import Motion
    from detentsim.analysis.motion.opening import Speed

# Tip speed above which a blade that falls shut is worth a warning [m/s] (judgement, no source).
FAST_TIP = 1.0

COMFORT = (
    "one finger on a push button 2.8 to 11 N (MIL-STD-1472, from memory), a finger pulling a panel control at most "
    "18 N (MIL-STD-1472E 5.4.3.1.8.7), an adult's index finger flicking outward 6.8 N at its peak "
    "(Arch. Hand Microsurg. 29(2))"
)

LEGAL = (
    "Law on knives differs by country and state. 15 U.S.C. 1244(5) speaks of a mechanism that biases the blade toward "
    "closure and must be overcome by hand; what counts where you are, ask there. This is no legal advice, and a "
    "computed hold is no promise: try the knife before you carry it, and keep fingers out of a falling blade's way."
)


def motion_report(m: Motion, where_from: str = "") -> str:
    """Text of the motion.

    Parameters
    ----------
    m : Motion
    where_from : str
        A first line saying where the build comes from; left out when empty.

    Returns
    -------
    str
        Lines up to 96 characters.
    """
    parts = [
        [*([where_from] if where_from else []), m.build.name],
        ["Opening", *_sentences(opening_words(m)), *_speeds(m)],
        ["Closing", *_sentences(closing_words(m)), *_attitudes(m)],
        ["Staying shut", *_sentences(staying_words(m))],
        [line for flag in m.flags for line in wrap(f"{FLAGS[flag]} [{flag}]", "")],
        verdict_lines(m.verdicts),
        _blade(m),
        ["Mind", *wrap(LEGAL)],
    ]
    return "\n\n".join("\n".join(part) for part in parts if part) + "\n"


def _sentences(words: Iterator[str]) -> list[str]:
    return [line for sentence in words for line in wrap(sentence)]


_STALLS = {
    "no breakout": "Nothing is thrown: there is no breakout to overcome.",
    "finger too weak": "The finger never overcomes the detent: its effort stays below what breaks out.",
    "finger leaves first": "The opener leaves the finger before the blade is out of its dimple, so nothing is thrown.",
}


def opening_words(m: Motion) -> Iterator[str]:
    """Whether the blade flies open, sentence by sentence."""
    o = m.opening
    if o.stall in _STALLS:
        yield _STALLS[o.stall]
    elif o.stall:
        yield _stalled(m)
    else:
        speed, energy = m.results["arrival_speed"], m.results["arrival_energy"]
        own = float(m.response.load.record.finger_speed)
        time = next((one.time for one in o.speeds if one.limit == own), None) or 0.0
        yield (
            f"It flies open: pushed with {pull(o.finger)} until {o.leaves:.0f} deg it reaches lock-up in "
            f"{two(1e3 * time)} ms with {two(float(speed or 0))} rad/s and {two(float(energy or 0))} mJ to spare."
        )
    yield from _launch(m)
    yield from _asks(m)
    force = m.response.results["breakout_force"]
    if np.isfinite(force):
        yield f"Its breakout is {pull(float(force))} at the opener. For comparison: {COMFORT}."


def _asks(m: Motion) -> Iterator[str]:
    """What the throw asks of the finger, where that is much, or hangs on how fast it is."""
    if m.opening.finger is not None and m.opening.finger > STIFFEST and not m.opening.stall:
        yield f"No finger should be asked for so much: {STIFFEST:.0f} N is what one pulls a control with at most."
    slow = [one for one in m.opening.speeds if not one.opens]
    if slow and not m.opening.stall:
        at = f"{slow[-1].stall or 0:.0f} deg"
        yield f"A slower finger does not manage: with one of {slow[-1].limit:g} m/s it stalls at {at}."


def _stalled(m: Motion) -> str:
    o, angle = m.opening, float(m.results["stall_angle"] or 0)
    how = "with the finger stuck behind it" if o.stall == "finger stuck" else "coasting, the finger long gone"
    lacks = two(float(m.results["wrist_energy"] or 0))
    then = {
        "stays": "stays there",
        "hangs": f"swings back and hangs at {o.after_at or 0:.0f} deg",
        "shut": "falls shut again",
    }[o.after]
    return (
        f"It stalls at {angle:.0f} deg, {how}, and {then}. A wrist would have to add {lacks} mJ to bring it to lock-up."
    )


def _launch(m: Motion) -> Iterator[str]:
    launch, force = m.opening.launch, float(m.response.results["breakout_force"])
    if m.opening.stall in _STALLS:
        return
    if launch is None:
        yield "No detent, however firm, throws this blade fully open with this finger, opener and drag."
    elif launch > THUMB[1]:
        yield f"Only a breakout of {pull(launch)} would throw it open at this drag, which no finger gives."
    elif launch == 0:
        yield "However light its detent, this finger throws the blade fully open at this drag."
    elif launch < force:
        yield (
            f"The lightest breakout that still throws this blade open, at this drag, is {pull(launch)}: "
            "below it the blade needs a wrist."
        )
    else:
        yield f"To throw this blade open, at this drag, the breakout must be {pull(launch)} or more."


def _speeds(m: Motion) -> list[str]:
    if not m.opening.speeds:
        return []
    header = ("finger's top speed, m/s", "opens", "stalls at, deg", "locks at, rad/s", "after, ms", "lacks, mJ")
    rows = tuple(_speed(one) for one in m.opening.speeds)
    return ["", *(f"  {line}" for line in table(header, rows).splitlines())]


def _speed(one: Speed) -> tuple[object, ...]:
    time = None if one.time is None else 1e3 * one.time
    values = (one.stall, one.speed, time, one.lacks)
    return (one.limit, "yes" if one.opens else "no", *(None if v is None else float(f"{v:.3g}") for v in values))


def closing_words(m: Motion) -> Iterator[str]:
    """Whether the unlocked blade falls shut."""
    if not m.attitudes:
        yield "Falling shut: not told; give blade.mass and blade.balance_radius."
        return
    own, start = m.attitudes[0], float(np.degrees(m.response.load.record.close_from))
    held = attitude_words(own.down_angle)
    if not own.falls:
        if own.opens:
            yield f"Let go at {start:.0f} deg its own weight swings it open, {held}."
            return
        where = "stays where it is" if abs((own.hangs or 0) - start) < 0.01 else f"hangs at {own.hangs or 0:.0f} deg"
        yield f"Let go at {start:.0f} deg it {where}, {held}."
        return
    speed = "" if own.speed is None else f" and meets its stop with {two(own.speed)} rad/s"
    seats = ": the ball comes into its dimple and seats"
    if "misses_dimple" in m.flags:
        seats = ", but the ball stays on the flat beside its dimple"
    elif "floats" in m.flags:
        seats = ""
    yield f"Let go at {start:.0f} deg it falls shut{speed}, {held}{seats}."
    reach = 1.5 * float(m.response.load.record.balance_radius)
    if own.speed is not None and own.speed * reach > FAST_TIP:
        yield "That is fast enough to cut a finger in its way: close it with the fingers clear of the edge."


def _attitudes(m: Motion) -> list[str]:
    if not m.attitudes:
        return []
    rows = tuple(_attitude(one) for one in m.attitudes)
    return [
        "",
        *(
            f"  {line}"
            for line in table(("handle", "falls shut", "hangs at, deg", "stop at, rad/s"), rows).splitlines()
        ),
    ]


def _attitude(one: Hang) -> tuple[object, ...]:
    values = (None if one.opens or one.stays else one.hangs, one.speed)
    falls = "yes" if one.falls else "no, swings open" if one.opens else "no, stays" if one.stays else "no"
    return (one.name, falls, *(None if v is None else float(f"{v:.3g}") for v in values))


def staying_words(m: Motion) -> Iterator[str]:
    """What keeps the blade shut."""
    s = m.staying
    if s.carry_g is None:
        floats = "floats" in m.flags
        yield (
            "Nothing holds the blade shut but its pivot's friction: the ball never reaches the tang."
            if floats
            else "Against its own weight: not told; the blade's mass is unknown, or no push opens it."
        )
    else:
        holder = "Friction" if "misses_dimple" in m.flags else "The detent"
        if "misses_dimple" in m.flags:
            yield "The ball lies beside its dimple: friction alone holds the blade shut."
        slick = "" if s.carry_g_slick is None else f" ({two(s.carry_g_slick)} with half the friction, as after oiling)"
        yield (
            f"{holder} holds the blade shut against {two(s.carry_g)} times its own weight in the worst "
            f"direction{slick}."
        )
    if s.torque is not None and s.torque > 0:
        yield f"{two(s.torque)} N*mm on the blade opens it, its weight helping in the worst attitude."
    elif s.torque is not None:
        yield "In the worst attitude its own weight opens it."
    if s.drop is not None:
        yield (
            f"A knife that falls {two(s.drop)} mm and is stopped dead, its blade square to the fall and free to swing, "
            "comes open; any softer landing needs more. It is an estimate on the safe side, from angular momentum and "
            "the work to let-go."
        )
    if s.pull is not None:
        apart = "all the way from rest to let-go" if s.biased else "only part of the way from rest to let-go"
        yield (
            f"The ball alone pulls the closed blade shut with up to {two(max(s.pull, 0.0))} N*mm; friction apart it "
            f"pulls {apart}."
        )


def _blade(m: Motion) -> list[str]:
    record = m.response.load.record
    if not np.isfinite(record.blade_mass):
        return []
    words = (
        f"Taken for the blade: {two(1e3 * float(record.blade_mass))} g, balance "
        f"{two(1e3 * float(record.balance_radius))} mm from the pivot, inertia "
        f"{two(1e6 * float(record.blade_inertia))} kg*mm**2."
    )
    return wrap(words, "")


def motion_document(m: Motion) -> dict[str, Any]:
    """Everything the motion knows, ready for JSON: no NaN, no infinity, a reason beside what is missing.

    Parameters
    ----------
    m : Motion

    Returns
    -------
    dict
        Keys ``build demo results flags assumed opening attitudes staying blade path target words``. Angles in deg,
        speeds in rad/s (a finger's in m/s), times in s, energies in mJ, forces in N, torques in N*mm.
    """
    record = m.response.load.record
    blade = {
        "mass_g": finite(1e3 * float(record.blade_mass)),
        "balance_radius_mm": finite(1e3 * float(record.balance_radius)),
        "inertia_kg_mm2": finite(1e6 * float(record.blade_inertia)),
    }
    return {
        "build": build_rows(m.build),
        "demo": m.build.demo,
        "results": {name: result_row(name, m.results[name], m.why) for name in m.results},
        "flags": list(m.flags),
        "assumed": list(m.build.assumed),
        "opening": asdict(m.opening),
        "attitudes": [asdict(one) for one in m.attitudes],
        "staying": asdict(m.staying),
        "blade": blade,
        "path": _path(m),
        "target": verdict_rows(m.verdicts),
        "words": [*opening_words(m), *closing_words(m), *staying_words(m)],
    }


def _path(m: Motion) -> dict[str, list[float | None]] | None:
    b = m.budget
    if b is None:
        return None
    columns = {
        "blade_angle_deg": b.angle,
        "speed_rad_per_s": b.speed,
        "finger_mJ": b.finger,
        "spent_mJ": b.spent,
        "left_mJ": b.left,
        "time_s": b.time,
    }
    return {name: [finite(value) for value in column.tolist()] for name, column in columns.items()}
