"""Fitted build: the likeliest of the weighted knives, with the ranges of what varies as tolerances."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from detentsim.analysis.in_hand.fit.sampled.weighted import quantiles
from detentsim.knife.file.edits import edit
from detentsim.knife.model import Build
from detentsim.knife.record.fields import MEASURED
from detentsim.knife.table.schema import INPUTS
from detentsim.knife.table.value import as_text
from detentsim.units.systems import INCH, METRIC, OUNCES

if TYPE_CHECKING:
    from collections.abc import Mapping

    from detentsim.knife.measured.readings import Readings
    from detentsim.mechanics.record import Array

HELD = 0.95
"""Share of the knives that a tolerance holds, as those of a build file do."""

DIGITS = 4
"""Digits of a size that are written."""

NOTHING = 1e-6
"""Part of a size's half range below which it is written as none."""


def fitted_build(
    build: Build, likeliest: Mapping[str, float], values: Mapping[str, Array], weights: Array, readings: Readings
) -> Build:
    """Build of the likeliest knife, with the ranges of what varies as tolerances.

    Parameters
    ----------
    build : Build
        The drawing.
    likeliest : mapping of str to float
        Inputs of the knife of greatest posterior density [SI]; over-close a length at the ball. Medians of each input
        by itself would make a knife that reads otherwise: where the dimple sits too far in or too far out, say, their
        middle sits right.
    values : mapping of str to array, shape (n,)
        Inputs of each knife [SI].
    weights : array, shape (n,)
    readings : Readings
        For the note in the file.

    Returns
    -------
    Build
        The drawing itself where nothing was read. Each tolerance is half the range that holds 95 % of the weight; what
        ties two inputs to each other is not kept, so a batch of it scatters more than the fit.
    """
    if not (readings.taken or readings.saw) or not values:
        return build
    middles, halves = {}, {}
    for name, array in values.items():
        low, high = quantiles(array, weights, [(1 - HELD) / 2, (1 + HELD) / 2])
        kind = INPUTS[name].size_kind
        half = float(high - low) / 2
        middle = 0.0 if abs(likeliest[name]) < NOTHING * half else likeliest[name]
        middles[name], halves[name] = _rounded(middle, kind), _rounded(half, kind)
    gone = {name: None for name in MEASURED if "bar.calibration" in middles and build[name] is not None}
    changed = build.change({**gone, **middles}).without_tolerance(*middles)
    fitted = Build.loads(_with_tolerances(changed.text, halves, readings), build.source)
    return _in_units_of(build, replace(fitted, target=build.target))


def _in_units_of(build: Build, fitted: Build) -> Build:
    """Fitted build whose reports are in the drawing's units, whatever its ranges are written in."""
    named = {METRIC: "metric", INCH: "inch", OUNCES: "inch"}.get(build.units)
    return fitted if named is None or fitted.units == build.units else fitted.change({"units": named})


def _rounded(si: float, kind: str) -> str | float:
    """Return a value as typed in a build file: a text with its unit, or a number of a ratio."""
    text = as_text(float(f"{si:.{DIGITS}g}"), kind)
    number, _, unit = text.partition(" ")
    short = float(np.format_float_positional(float(number), DIGITS, fractional=False))
    return f"{short:.{DIGITS}g} {unit}" if unit else short


def _with_tolerances(text: str, halves: Mapping[str, str | float], readings: Readings) -> str:
    for name, half in halves.items():
        text = edit(text, f"tolerance.{name}.plus_minus", half)
    names = [reading.what for reading in readings.taken] + [sighting.what for sighting in readings.saw]
    note = f"fitted to {', '.join(names)}"
    for name in halves:
        line = rf"^(\s*{re.escape(name)}\.plus_minus = [^#\n]*?)[ \t]*$"
        text = re.sub(line, rf"\1  # {note}", text, count=1, flags=re.MULTILINE)
    return text
