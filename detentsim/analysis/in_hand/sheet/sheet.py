"""Sheet of one build: curve, limits and layout, how the machine is set, and what to do when a reading is off."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from detentsim.analysis.hand_steps import force_off
from detentsim.analysis.in_hand.sheet.setting import Drilling, Press, drillings, press_of
from detentsim.analysis.one_build.curve.curve import Curve, curve
from detentsim.knife.model import Build, need_build
from detentsim.knife.target.target import FELT, ends
from detentsim.mechanics.motion.pivot import lever
from detentsim.units.convert import to_si
from detentsim.units.errors import InputError
from detentsim.units.wording import shown

if TYPE_CHECKING:
    from detentsim.analysis.one_build.layout.layout import Layout
    from detentsim.analysis.one_build.limits.limits import Limits
    from detentsim.analysis.one_build.summary import Summary


# A force this many hand-steps off asks for a correction, where the target has no end that way.
OFF = 2

READ = ("lift_force_open", "lift_force_closed", "drag_force")
"""Forces beside the breakout that a bench reads with a gauge, and that a target may be about."""

TORQUE = "breakout_torque"


@dataclass(frozen=True)
class Correction:
    """What to do when a force reads off.

    Attributes
    ----------
    heavy : bool
        Whether it reads too heavy, else too light.
    force : float
        Reading from which on, or down from which, it is off [N].
    do : tuple of str
        The best change by advice, a sentence each; empty where there is none.
    name : str
        The result that is off: the breakout, or another force of `READ` that the target is about. A breakout torque
        that is wanted is read as the force at the opener.
    undo : bool
        Whether that change can be undone.
    torque : float or None
        Breakout torque at that reading [N*mm], where it is what is wanted.
    """

    heavy: bool
    force: float
    do: tuple[str, ...]
    name: str = "breakout_force"
    undo: bool = True
    torque: float | None = None


@dataclass(frozen=True, eq=False, repr=False)
class Sheet:
    """Everything that one page for the bench tells.

    Attributes
    ----------
    build : Build
    curve : Curve
        Feel, likely ranges, bench steps and verdict.
    layout : Layout or None
        None without a section ``[layout]``, or where its drawing cannot be read.
    drillings : tuple of Drilling
    press : Press
    corrections : tuple of Correction
    """

    build: Build
    curve: Curve
    layout: Layout | None
    drillings: tuple[Drilling, ...]
    press: Press
    corrections: tuple[Correction, ...]

    @property
    def limits(self) -> Limits:
        """Limits of the build: how it is bent in."""
        return self.curve.bounds

    @property
    def summary(self) -> Summary:
        """Verdict on the build."""
        return self.curve.summary

    @property
    def missed(self) -> tuple[str, ...]:
        """Forces read at the bench whose target the drawing itself misses; they have no correction."""
        return _missed(self.curve)

    def __repr__(self) -> str:
        return f"<Sheet of {self.build.name}: {self.summary.words}>"


def sheet(build: Build, surface_speed: str | None = None) -> Sheet:
    """Put together what one page for the bench tells.

    Parameters
    ----------
    build : Build
        With the sections of a curve; a section ``[layout]`` adds the drawing at full size.
    surface_speed : str, optional
        Of every drill, like ``"12 m/min"``; by what is drilled where left out.

    Returns
    -------
    Sheet

    Raises
    ------
    BuildError
        Where a section is missing.
    InputError
        Where the surface speed is no speed, or out of range.
    """
    speed = None if surface_speed is None else _speed(surface_speed)
    c = curve(need_build(build))
    return Sheet(build, c, c.layout, drillings(build, speed), press_of(build), _corrections(c))


def _speed(text: str) -> float:
    speed = to_si(text, "speed", "surface_speed", "12 m/min")
    if not 0.01 <= speed <= 10:
        raise InputError(
            "surface_speed", text, f'{shown(text)} is out of range; allowed is 1 m/min to 600 m/min, such as "12 m/min"'
        )
    return speed


def _missed(c: Curve) -> tuple[str, ...]:
    able = ("breakout_force", TORQUE, *READ)
    return tuple(one.name for one in c.verdicts if one.met is False and one.name in able)


def _corrections(c: Curve) -> tuple[Correction, ...]:
    """The best change when the breakout, or another force that is wanted, reads too heavy, and when too light.

    None where the drawing itself misses what is wanted of that force: then the build is changed, not the knife.
    """
    targets = [one.name for one in c.build.target]
    breakout = TORQUE if TORQUE in targets and "breakout_force" not in targets else "breakout_force"
    missed = _missed(c)
    names = dict.fromkeys([breakout, *(name for name in targets if name in READ)])
    return tuple(one for name in names if name not in missed for heavy in (True, False) for one in _off(c, name, heavy))


def _off(c: Curve, name: str, heavy: bool) -> tuple[Correction, ...]:
    """What to do when a result reads off one way; nothing where it has no value, or nothing can be asked of it."""
    from detentsim.analysis.in_hand.advise.advise import advise
    from detentsim.analysis.in_hand.advise.aims import off_by

    own = c.results[name]
    if own is None:
        return ()
    end = _end(c, name, heavy, own)
    torque, force = (end, _force_at(c, own, end)) if name == TORQUE else (None, end)
    if math.isnan(force):
        return ()
    steps = max(abs(math.log(own / end) / math.log(1 + FELT)), 1.0) * (-1 if heavy else 1)
    falls = c.falls_shut is not None and c.falls_shut.falls
    try:
        best = advise(c.build, aims=off_by(name, own, steps, falls)).best
    except InputError:
        return ()
    words = () if best is None else tuple(best.words)
    return (Correction(heavy, force, words, name, best is None or best.undo, torque),)


def _end(c: Curve, name: str, heavy: bool, own: float) -> float:
    """Where a result is off, in its unit: the end of its wanted band, else so many hand-steps from the drawing's."""
    bands = [ends(one, own) for one in c.build.target if one.name == name]
    allowed = [end for low, high in bands if (end := high if heavy else low)]
    if not allowed:
        return force_off(own, OFF if heavy else -OFF)
    return min(allowed) if heavy else max(allowed)


def _force_at(c: Curve, own: float, torque: float) -> float:
    """Breakout force [N] at another breakout torque [N*mm]: all but the pivot's own friction grows with it."""
    force, record = c.results["breakout_force"], c.response.load.record
    if force is None:
        return math.nan
    arm = float(lever(record, c.response.results["breakout_force_angle"])) * 1e3  # [mm]
    pivot = float(record.pivot_torque) * 1e3
    return ((force * arm - pivot) * torque / own + pivot) / arm
