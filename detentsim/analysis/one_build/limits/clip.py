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
    from detentsim.shop.materials import Material


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
    width, thickness, length = (number(numbers, f"clip.{key}") for key in ("width", "thickness", "length"))
    stiffness = float(overtravel.cantilever_stiffness(_metal(build).youngs_modulus, width, thickness, length))
    return stiffness, stiffness * number(numbers, "clip.preset")


def _metal(build: Build) -> Material:
    return find_material(build.word("clip.material"), "bar", "clip.material")


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
    metal, (stiffness, rest) = _metal(build), clip_spring(build, numbers)
    hem = number(numbers, "clip.preset") + number(numbers, "clip.cloth")
    lifted = max(hem, reaction / stiffness)
    thickness, length = number(numbers, "clip.thickness"), number(numbers, "clip.length")
    stress = float(overtravel.cantilever_stress(metal.youngs_modulus, thickness, length, lifted))
    strength = metal.yield_strength or float("nan")
    return ClipLoad(stiffness / 1e3, rest, stiffness * hem, lifted / MM, stress / MPA, strength / MPA)
