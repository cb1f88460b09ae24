"""How the machine is set: spindle speed of each drill, and the feeler leaves that stop the press."""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from detentsim.analysis.one_build.layout.overclose import leaves_of
from detentsim.shop.drills import surface_speed
from detentsim.shop.materials import find_material

if TYPE_CHECKING:
    from detentsim.knife.model import Build

# From this hardness on steel is drilled as hardened steel [HV]; about 45 HRC.
HARD = 450.0

# Spindle speeds up to a limit are rounded to these steps [1/min].
ROUND = ((1000.0, 10.0), (math.inf, 50.0))


@dataclass(frozen=True)
class Drilling:
    """One drill in the machine.

    Attributes
    ----------
    hole : str
        ``ball's hole``, ``first drill`` or ``second drill``.
    drill : str
        As typed.
    diameter : float
        [mm]
    work, cutter : str
        What is drilled, and what the drill is made of.
    surface_speed : float
        [m/min]
    spindle_speed : float
        Rounded as a spindle is set [1/min].
    """

    hole: str
    drill: str
    diameter: float
    work: str
    cutter: str
    surface_speed: float
    spindle_speed: float


@dataclass(frozen=True)
class Press:
    """Where the press stops [mm].

    Attributes
    ----------
    stands_out : float
        The ball over the bar's inner face.
    sits_in : float
        How deep it sits in the bar.
    leaves : tuple of float
        Feeler leaves laid on the bar's face that the press comes down to; empty where none come near.
    gives : float
        How far the ball stands out with them.
    """

    stands_out: float
    sits_in: float
    leaves: tuple[float, ...]
    gives: float


def drillings(build: Build, speed: float | None = None) -> tuple[Drilling, ...]:
    """Drills of a build with their spindle speeds.

    Parameters
    ----------
    build : Build
    speed : float, optional
        Surface speed for all of them [m/s]; by what is drilled where left out.
    """
    tang = _steel(build.si("tang.hardness"), "steel")
    holes = (("ball's hole", "ball.hole_drill", _bar_work(build)), ("first drill", "dimple.pilot_drill", tang))
    rim = ("second drill", "dimple.rim_drill", tang)
    found = [_drilling(build, *hole, speed) for hole in (*holes, rim) if math.isfinite(build.si(hole[1]))]
    return tuple(found)


def _bar_work(build: Build) -> str:
    """Kind of work that the bar's material is, for drilling."""
    metal = find_material(build.word("bar.material"), "bar", "bar.material")
    name = metal.name.lower()
    titanium = name.startswith("ti-") or "titanium" in name
    return "titanium" if titanium else _steel(metal.hardness_hv or 0.0, "stainless steel")


def _steel(hardness: float, soft: str) -> str:
    """Kind of work that a steel of a hardness [HV] is."""
    return "hardened steel" if hardness >= HARD else soft


def _drilling(build: Build, hole: str, name: str, work: str, speed: float | None) -> Drilling:
    stated = surface_speed(work)
    surface, diameter = stated.usual if speed is None else speed, build.si(name)
    turns = 60 * surface / (math.pi * diameter)
    step = next(step for most, step in ROUND if turns < most)
    rounded = max(step, step * round(turns / step))
    return Drilling(hole, build.word(name), diameter * 1e3, work, stated.cutter, surface * 60, rounded)


def press_of(build: Build) -> Press:
    """Where the press stops, with one feeler leaf or two that stop it.

    Parameters
    ----------
    build : Build

    Examples
    --------
    >>> from detentsim.knife.packaged import demo
    >>> press_of(demo()).leaves
    (0.8,)
    """
    out = build.si("ball.protrusion") * 1e3
    leaves = leaves_of(build.units)
    stacks = [(leaf,) for leaf in leaves] + list(itertools.combinations(sorted(leaves, reverse=True), 2))
    # the nearest stack, of the fewest leaves
    best = min(stacks, key=lambda stack: (round(abs(sum(stack) - out), 6), len(stack), -stack[0]))
    near = abs(sum(best) - out) <= 0.03
    chosen = tuple(round(leaf, 6) for leaf in best) if near else ()
    return Press(out, build.si("ball.diameter") * 1e3 - out, chosen, round(sum(chosen), 6) if near else out)
