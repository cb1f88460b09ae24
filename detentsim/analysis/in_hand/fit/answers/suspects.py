"""Sizes of a drawing that would explain a reading, and how far each would have to differ from the drawing."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from detentsim.analysis.many_builds.sweep.blocks import no_progress
from detentsim.analysis.many_builds.sweep.solving import solve_all
from detentsim.knife.record.drawing import with_values
from detentsim.knife.table.typed_units import text_in, typed_in

if TYPE_CHECKING:
    from detentsim.knife.model import Build
    from detentsim.mechanics.record import Array

SIZES = (
    "bar.bend",
    "bar.thickness",
    "bar.width",
    "bar.relief_thickness",
    "bar.relief_length",
    "bar.ball_from_root",
    "bar.youngs_modulus",
    "ball.diameter",
    "ball.protrusion",
    "dimple.pilot_drill",
    "dimple.rim_drill",
    "dimple.rim_feed",
    "dimple.overclose",
    "tang.pivot_to_ball",
    "tang.face_gap",
    "opener.radius",
    "pivot.friction_torque",
    "blade.mass",
    "blade.balance_radius",
)
"""Inputs that may have been typed or made other than they stand."""

FARTHEST = 2.5
"""Greatest factor by which a size may be off, either way, to be named."""

STEPS = 81
"""Values tried of each, evenly in the logarithm."""

MOST = 3
"""Sizes named."""


class Suspect(NamedTuple):
    """A size that would explain a reading."""

    name: str
    change: float  # by which part it would have to be other [-]
    words: str


def suspects(build: Build, what: str, value: float, middle: float) -> tuple[Suspect, ...]:
    """Sizes that, changed alone, would move a result from its middle to the reading; the least change first.

    Parameters
    ----------
    build : Build
        The drawing.
    what : str
        Result.
    value, middle : float
        What was read, and what the drawing's knives give in the middle, in any one unit.

    Returns
    -------
    tuple of Suspect
        At most `MOST`, none where nothing within `FARTHEST` explains it.
    """
    names = [name for name in SIZES if build[name] is not None and build.si(name, 0.0) > 0]
    names = [name for name in names if build.values[name].kind not in ("choice", "material")]
    scales = np.exp(np.linspace(-math.log(FARTHEST), math.log(FARTHEST), STEPS))
    count = len(names) * STEPS + 1
    values = {name: np.full(count, build.si(name)) for name in names}
    for i, name in enumerate(names):
        values[name][i * STEPS : (i + 1) * STEPS] *= scales
    found = with_values(build, values, count)
    solved = solve_all(found.record, found.excluded, (what,), None, no_progress).results[what]
    wanted = solved[-1] * value / middle if middle > 0 else math.nan
    tried = [
        _reaching(build, name, scales, solved[i * STEPS : (i + 1) * STEPS], wanted) for i, name in enumerate(names)
    ]
    return tuple(sorted((one for one in tried if one is not None), key=lambda one: abs(math.log1p(one.change)))[:MOST])


def _reaching(build: Build, name: str, scales: Array, results: Array, wanted: float) -> Suspect | None:
    """Return the least change of one size at which the result is as wanted."""
    away = results - wanted
    crossing = np.flatnonzero(np.isfinite(away[:-1] + away[1:]) & (away[:-1] * away[1:] <= 0) & (away[:-1] != away[1:]))
    if not crossing.size:
        return None
    parts = away[crossing] / (away[crossing] - away[crossing + 1])
    scale = scales[crossing] + parts * (scales[crossing + 1] - scales[crossing])
    nearest = float(scale[np.argmin(np.abs(np.log(scale)))])
    value = build[name]
    assert value is not None
    kind = "length" if value.kind == "drill" else value.kind
    would = text_in(build.units, float(f"{value.si * nearest:.3g}"), kind)
    return Suspect(name, nearest - 1, f"{name} (it would have to be {would} instead of {typed_in(build, name)})")
