"""Figures and text of results: takes what the analysis found and draws or words it, and computes nothing.

The figures take results, accept axes and return them; they never show or save. Their names load when first used, so
that importing the package costs no plotting library.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from detentsim.show.drawing import dimple as dimple
    from detentsim.show.families import family as family
    from detentsim.show.families import sweep_figure as sweep_figure
    from detentsim.show.figures import curve as curve
    from detentsim.show.figures import curve_figure as curve_figure
    from detentsim.show.graphs import lines as lines
    from detentsim.show.maps import design_map as design_map
    from detentsim.show.maps import panels as panels

_HOMES = {
    "curve": "detentsim.show.figures",
    "curve_figure": "detentsim.show.figures",
    "design_map": "detentsim.show.maps",
    "dimple": "detentsim.show.drawing",
    "family": "detentsim.show.families",
    "lines": "detentsim.show.graphs",
    "panels": "detentsim.show.maps",
    "sweep_figure": "detentsim.show.families",
}

__all__ = ["curve", "curve_figure", "design_map", "dimple", "family", "lines", "panels", "sweep_figure"]


def __getattr__(name: str) -> Any:
    if name not in _HOMES:
        raise AttributeError(f"module 'detentsim.show' has no attribute {name!r}")
    return getattr(import_module(_HOMES[name]), name)


def __dir__() -> list[str]:
    return [*__all__]
