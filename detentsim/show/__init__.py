"""Figures and text of results: draws and words what the analysis gives, and computes nothing.

Comes in: results of ``analysis``.
Leaves: axes, text, documents; figures accept axes and return them, and never show or save.
Must not know: formulas; names load when first used, so that importing the package costs no plotting library.
Read first: ``theme/style``, then the room of the result.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from detentsim.show.advise.map import decision as decision
    from detentsim.show.advise.page import decision_figure as decision_figure
    from detentsim.show.compare.overlays import compare_figure as compare_figure
    from detentsim.show.compare.overlays import hand_steps as hand_steps
    from detentsim.show.compare.overlays import overlay as overlay
    from detentsim.show.explorer.notebook import explore as explore
    from detentsim.show.feel_curve.dimple import dimple as dimple
    from detentsim.show.feel_curve.lines import curve as curve
    from detentsim.show.feel_curve.page import curve_figure as curve_figure
    from detentsim.show.limits.bar import bar_side as bar_side
    from detentsim.show.limits.ruler import limits_figure as limits_figure
    from detentsim.show.limits.ruler import travel_ruler as travel_ruler
    from detentsim.show.limits.stress import bar_moment as bar_moment
    from detentsim.show.limits.stress import bar_stress as bar_stress
    from detentsim.show.motion.attitudes import attitudes as attitudes
    from detentsim.show.motion.page import motion_figure as motion_figure
    from detentsim.show.motion.speed_and_energy import energy as energy
    from detentsim.show.motion.speed_and_energy import speed as speed
    from detentsim.show.motion.strip import blade_strip as blade_strip
    from detentsim.show.sweep.lines.families import family as family
    from detentsim.show.sweep.lines.lines import lines as lines
    from detentsim.show.sweep.maps.maps import design_map as design_map
    from detentsim.show.sweep.maps.panels import panels as panels
    from detentsim.show.sweep.page import sweep_figure as sweep_figure

_HOMES = {
    "attitudes": "detentsim.show.motion.attitudes",
    "bar_moment": "detentsim.show.limits.stress",
    "bar_side": "detentsim.show.limits.bar",
    "bar_stress": "detentsim.show.limits.stress",
    "blade_strip": "detentsim.show.motion.strip",
    "compare_figure": "detentsim.show.compare.overlays",
    "curve": "detentsim.show.feel_curve.lines",
    "curve_figure": "detentsim.show.feel_curve.page",
    "decision": "detentsim.show.advise.map",
    "decision_figure": "detentsim.show.advise.page",
    "design_map": "detentsim.show.sweep.maps.maps",
    "dimple": "detentsim.show.feel_curve.dimple",
    "energy": "detentsim.show.motion.speed_and_energy",
    "explore": "detentsim.show.explorer.notebook",
    "family": "detentsim.show.sweep.lines.families",
    "hand_steps": "detentsim.show.compare.overlays",
    "limits_figure": "detentsim.show.limits.ruler",
    "lines": "detentsim.show.sweep.lines.lines",
    "motion_figure": "detentsim.show.motion.page",
    "overlay": "detentsim.show.compare.overlays",
    "panels": "detentsim.show.sweep.maps.panels",
    "speed": "detentsim.show.motion.speed_and_energy",
    "sweep_figure": "detentsim.show.sweep.page",
    "travel_ruler": "detentsim.show.limits.ruler",
}

if not TYPE_CHECKING:  # a type checker reads the imports above instead
    __all__ = sorted(_HOMES)


def __getattr__(name: str) -> Any:
    if name not in _HOMES:
        raise AttributeError(f"module 'detentsim.show' has no attribute {name!r}")
    return getattr(import_module(_HOMES[name]), name)


def __dir__() -> list[str]:
    return sorted(_HOMES)
