"""Figures and text of results: takes what the analysis found and draws or words it, and computes nothing.

The figures take results, accept axes and return them; they never show or save. Their names load when first used, so
that importing the package costs no plotting library.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from detentsim.show.bar import bar_side as bar_side
    from detentsim.show.blades import attitudes as attitudes
    from detentsim.show.blades import blade_strip as blade_strip
    from detentsim.show.decisions import decision as decision
    from detentsim.show.decisions import decision_figure as decision_figure
    from detentsim.show.drawing import dimple as dimple
    from detentsim.show.families import family as family
    from detentsim.show.families import sweep_figure as sweep_figure
    from detentsim.show.figures import curve as curve
    from detentsim.show.figures import curve_figure as curve_figure
    from detentsim.show.flight import energy as energy
    from detentsim.show.flight import motion_figure as motion_figure
    from detentsim.show.flight import speed as speed
    from detentsim.show.graphs import lines as lines
    from detentsim.show.maps import design_map as design_map
    from detentsim.show.maps import panels as panels
    from detentsim.show.notebook import explore as explore
    from detentsim.show.overlays import compare_figure as compare_figure
    from detentsim.show.overlays import hand_steps as hand_steps
    from detentsim.show.overlays import overlay as overlay
    from detentsim.show.ruler import limits_figure as limits_figure
    from detentsim.show.ruler import travel_ruler as travel_ruler
    from detentsim.show.stress import bar_moment as bar_moment
    from detentsim.show.stress import bar_stress as bar_stress

_HOMES = {
    "attitudes": "detentsim.show.blades",
    "bar_moment": "detentsim.show.stress",
    "bar_side": "detentsim.show.bar",
    "bar_stress": "detentsim.show.stress",
    "blade_strip": "detentsim.show.blades",
    "compare_figure": "detentsim.show.overlays",
    "curve": "detentsim.show.figures",
    "curve_figure": "detentsim.show.figures",
    "decision": "detentsim.show.decisions",
    "decision_figure": "detentsim.show.decisions",
    "design_map": "detentsim.show.maps",
    "dimple": "detentsim.show.drawing",
    "energy": "detentsim.show.flight",
    "explore": "detentsim.show.notebook",
    "family": "detentsim.show.families",
    "hand_steps": "detentsim.show.overlays",
    "limits_figure": "detentsim.show.ruler",
    "lines": "detentsim.show.graphs",
    "motion_figure": "detentsim.show.flight",
    "overlay": "detentsim.show.overlays",
    "panels": "detentsim.show.maps",
    "speed": "detentsim.show.flight",
    "sweep_figure": "detentsim.show.families",
    "travel_ruler": "detentsim.show.ruler",
}

__all__ = [
    "attitudes",
    "bar_moment",
    "bar_side",
    "bar_stress",
    "blade_strip",
    "compare_figure",
    "curve",
    "curve_figure",
    "decision",
    "decision_figure",
    "design_map",
    "dimple",
    "energy",
    "explore",
    "family",
    "hand_steps",
    "limits_figure",
    "lines",
    "motion_figure",
    "overlay",
    "panels",
    "speed",
    "sweep_figure",
    "travel_ruler",
]


def __getattr__(name: str) -> Any:
    if name not in _HOMES:
        raise AttributeError(f"module 'detentsim.show' has no attribute {name!r}")
    return getattr(import_module(_HOMES[name]), name)


def __dir__() -> list[str]:
    return [*__all__]
