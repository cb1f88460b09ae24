"""Figures, reports and documents of results; computes nothing.

Comes in: results of ``analysis``.
Leaves: axes, text, documents. A figure may be given axes, returns them, and never shows or saves.
Must not know: formulas. Names load when first used, so that importing the package loads no plotting library.
Read first: ``theme/style``, then the room of the result.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from detentsim.show.explorer.notebook import explore as explore
    from detentsim.show.in_hand.advise.map import decision as decision
    from detentsim.show.in_hand.advise.page import decision_figure as decision_figure
    from detentsim.show.in_hand.compare.overlays import hand_steps as hand_steps
    from detentsim.show.in_hand.compare.overlays import overlay as overlay
    from detentsim.show.in_hand.compare.page import compare_figure as compare_figure
    from detentsim.show.in_hand.fit.page import fit_figure as fit_figure
    from detentsim.show.in_hand.fit.panels import fitted_curve as fitted_curve
    from detentsim.show.in_hand.fit.panels import input_ranges as input_ranges
    from detentsim.show.in_hand.report.page import report_page as report_page
    from detentsim.show.in_hand.sheet.page import sheet_figure as sheet_figure
    from detentsim.show.many_builds.batch.page import batch_figure as batch_figure
    from detentsim.show.many_builds.batch.panels import force_range as force_range
    from detentsim.show.many_builds.batch.panels import index_bars as index_bars
    from detentsim.show.many_builds.batch.panels import knife_dots as knife_dots
    from detentsim.show.many_builds.design.plot import design_figure as design_figure
    from detentsim.show.many_builds.design.plot import proposals as proposals
    from detentsim.show.many_builds.sweep.lines.families import family as family
    from detentsim.show.many_builds.sweep.lines.lines import lines as lines
    from detentsim.show.many_builds.sweep.maps.maps import design_map as design_map
    from detentsim.show.many_builds.sweep.maps.panels import panels as panels
    from detentsim.show.many_builds.sweep.page import sweep_figure as sweep_figure
    from detentsim.show.one_build.feel_curve.dimple import dimple as dimple
    from detentsim.show.one_build.feel_curve.lines import curve as curve
    from detentsim.show.one_build.feel_curve.page import curve_figure as curve_figure
    from detentsim.show.one_build.layout.map import places_map as places_map
    from detentsim.show.one_build.layout.page import layout_figure as layout_figure
    from detentsim.show.one_build.layout.plan import tang_plan as tang_plan
    from detentsim.show.one_build.limits.bar import bar_side as bar_side
    from detentsim.show.one_build.limits.gauges import gauges as gauges
    from detentsim.show.one_build.limits.page import limits_figure as limits_figure
    from detentsim.show.one_build.limits.ruler import travel_ruler as travel_ruler
    from detentsim.show.one_build.limits.stress import bar_moment as bar_moment
    from detentsim.show.one_build.limits.stress import bar_stress as bar_stress
    from detentsim.show.one_build.motion.attitudes import attitudes as attitudes
    from detentsim.show.one_build.motion.page import motion_figure as motion_figure
    from detentsim.show.one_build.motion.speed_and_energy import energy as energy
    from detentsim.show.one_build.motion.speed_and_energy import speed as speed
    from detentsim.show.one_build.motion.staying import attitude_ring as attitude_ring
    from detentsim.show.one_build.motion.staying import staying_gauge as staying_gauge
    from detentsim.show.one_build.motion.staying import what_opens as what_opens
    from detentsim.show.one_build.motion.strip import blade_strip as blade_strip
    from detentsim.show.one_build.wear.page import wear_history as wear_history
    from detentsim.show.one_build.wear.page import worn_curves as worn_curves
    from detentsim.show.one_build.wear.page import worn_figure as worn_figure
    from detentsim.show.theme.saving import save_figure as save_figure

_NAMES = {
    "explorer.notebook": "explore",
    "in_hand.advise.map": "decision",
    "in_hand.advise.page": "decision_figure",
    "in_hand.compare.overlays": "hand_steps overlay",
    "in_hand.compare.page": "compare_figure",
    "in_hand.fit.page": "fit_figure",
    "in_hand.fit.panels": "fitted_curve input_ranges",
    "in_hand.report.page": "report_page",
    "in_hand.sheet.page": "sheet_figure",
    "many_builds.batch.page": "batch_figure",
    "many_builds.batch.panels": "force_range index_bars knife_dots",
    "many_builds.design.plot": "design_figure proposals",
    "many_builds.sweep.lines.families": "family",
    "many_builds.sweep.lines.lines": "lines",
    "many_builds.sweep.maps.maps": "design_map",
    "many_builds.sweep.maps.panels": "panels",
    "many_builds.sweep.page": "sweep_figure",
    "one_build.feel_curve.dimple": "dimple",
    "one_build.feel_curve.lines": "curve",
    "one_build.feel_curve.page": "curve_figure",
    "one_build.layout.map": "places_map",
    "one_build.layout.page": "layout_figure",
    "one_build.layout.plan": "tang_plan",
    "one_build.limits.bar": "bar_side",
    "one_build.limits.gauges": "gauges",
    "one_build.limits.page": "limits_figure",
    "one_build.limits.ruler": "travel_ruler",
    "one_build.limits.stress": "bar_moment bar_stress",
    "one_build.motion.attitudes": "attitudes",
    "one_build.motion.page": "motion_figure",
    "one_build.motion.speed_and_energy": "energy speed",
    "one_build.motion.staying": "attitude_ring staying_gauge what_opens",
    "one_build.motion.strip": "blade_strip",
    "one_build.wear.page": "wear_history worn_curves worn_figure",
    "theme.saving": "save_figure",
}

_HOMES = {name: f"{__name__}.{home}" for home, names in _NAMES.items() for name in names.split()}

if not TYPE_CHECKING:  # a type checker reads the imports above instead
    __all__ = sorted(_HOMES)


def __getattr__(name: str) -> Any:
    if name not in _HOMES:
        raise AttributeError(f"module 'detentsim.show' has no attribute {name!r}")
    return getattr(import_module(_HOMES[name]), name)


def __dir__() -> list[str]:
    return sorted(_HOMES)
