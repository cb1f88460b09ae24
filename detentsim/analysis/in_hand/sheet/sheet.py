"""Sheet of one build: curve, limits and layout, how the machine is set, and what to do when a reading is off."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from detentsim.analysis.in_hand.sheet.setting import Drilling, Press, drillings, press_of
from detentsim.analysis.one_build.curve.curve import Curve, curve
from detentsim.analysis.one_build.layout.layout import Layout, laid_out
from detentsim.knife.model import Build, need_build
from detentsim.knife.target.target import ends
from detentsim.units.convert import to_si
from detentsim.units.errors import InputError

if TYPE_CHECKING:
    from detentsim.analysis.one_build.limits.limits import Limits
    from detentsim.analysis.one_build.summary import Summary


# A breakout this many hand-steps off asks for a correction; a hand-step is a tenth.
OFF, STEP = 2, 1.1


@dataclass(frozen=True)
class Correction:
    """What to do when the breakout reads off.

    Attributes
    ----------
    heavy : bool
        Whether it reads too heavy, else too light.
    force : float
        Reading from which on, or down from which, it is off [N].
    do : tuple of str
        The best change by advice, a sentence each; empty where there is none.
    """

    heavy: bool
    force: float
    do: tuple[str, ...]


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
    try:
        plan = None if build.layout is None else laid_out(build, c.numbers, c.response)
    except InputError:  # its drawing cannot be read, which the verdict says
        plan = None
    return Sheet(build, c, plan, drillings(build, speed), press_of(build), _corrections(c))


def _speed(text: str) -> float:
    speed = to_si(text, "speed", "surface_speed", "12 m/min")
    if not 0.01 <= speed <= 10:
        raise InputError("surface_speed", text, f"{text} is out of range; allowed is 1 m/min to 600 m/min")
    return speed


def _corrections(c: Curve) -> tuple[Correction, ...]:
    """The best change when the breakout reads too heavy, and when too light; none where there is no breakout."""
    from detentsim.analysis.in_hand.advise.advise import advise

    found, breakout = [], c.results["breakout_force"]
    for heavy, want in ((True, f"lighter {OFF}"), (False, f"stiffer {OFF}")):
        if breakout is None:
            return ()
        try:
            best = advise(c.build, want=want).best
        except InputError:
            return ()
        force = _off(c, heavy, breakout * STEP ** (OFF if heavy else -OFF))
        found.append(Correction(heavy, force, () if best is None else tuple(best.words)))
    return tuple(found)


def _off(c: Curve, heavy: bool, force: float) -> float:
    """Reading from which the breakout is off [N]: never one that the target allows."""
    bands = [ends(one, c.results["breakout_force"] or 0.0) for one in c.build.target if one.name == "breakout_force"]
    allowed = [end for low, high in bands if (end := high if heavy else low) is not None]
    return max([force, *allowed]) if heavy else min([force, *allowed])
