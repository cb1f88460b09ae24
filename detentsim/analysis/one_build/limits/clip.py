"""Pocket clip as a cantilever strip: stiffness, force on the handle, stress."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from detentsim.analysis.one_build.limits.contact import MM, MPA
from detentsim.analysis.results import number
from detentsim.mechanics.bar import overtravel
from detentsim.shop.materials import find_material

if TYPE_CHECKING:
    from detentsim.knife.model import Build
    from detentsim.knife.record.inputs import Plain


@dataclass(frozen=True)
class ClipLoad:
    """Pocket clip as a cantilever strip; mm, N, MPa.

    Attributes
    ----------
    stiffness : float
        At its tip [N/mm].
    rest, grip : float
        Force of its tip on the handle, and on a pocket's hem.
    lifted : float
        Most that the tip is lifted off free: by the hem, or by the bar.
    stress, strength : float
        At its root then, and the metal's yield strength.
    """

    stiffness: float
    rest: float
    grip: float
    lifted: float
    stress: float
    strength: float


def clip_spring(build: Build, numbers: Plain) -> tuple[float, float]:
    """Stiffness of the clip's tip [N/m] and its force on the handle [N].

    Parameters
    ----------
    build : Build
        With a clip.
    numbers : dict
        Its plain numbers.
    """
    metal = find_material(build.word("clip.material"), "bar", "clip.material")
    width, thickness, length, preset = _clip_sizes(numbers)
    stiffness = float(overtravel.cantilever_stiffness(metal.youngs_modulus, width, thickness, length))
    return stiffness, stiffness * preset


def _clip_sizes(numbers: Plain) -> tuple[float, float, float, float]:
    width, thickness, length, preset = (
        number(numbers, f"clip.{key}") for key in ("width", "thickness", "length", "preset")
    )
    return width, thickness, length, preset


def read_clip(build: Build, numbers: Plain, reaction: float) -> ClipLoad:
    """Force, stress and stiffness of the clip of one design.

    Parameters
    ----------
    build : Build
        With a clip.
    numbers : dict
        Its plain numbers.
    reaction : float
        Greatest push of the bar on it [N]; 0 where they never meet.
    """
    metal = find_material(build.word("clip.material"), "bar", "clip.material")
    _, thickness, length, preset = _clip_sizes(numbers)
    stiffness, rest = clip_spring(build, numbers)
    hem = preset + number(numbers, "clip.cloth")
    lifted = max(hem, reaction / stiffness)
    stress = float(overtravel.cantilever_stress(metal.youngs_modulus, thickness, length, lifted))
    strength = metal.yield_strength or float("nan")
    return ClipLoad(stiffness / 1e3, rest, stiffness * hem, lifted / MM, stress / MPA, strength / MPA)
