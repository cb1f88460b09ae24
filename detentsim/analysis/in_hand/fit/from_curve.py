"""Readings from a measured curve of force against blade angle: breakout, let-go and work to break out."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from detentsim.analysis.in_hand.compare.feel_curves import feel_of_measured
from detentsim.knife.measured.readings import Reading
from detentsim.knife.measured.tools import tool
from detentsim.knife.record.record import record

if TYPE_CHECKING:
    from detentsim.analysis.in_hand.compare.feel_curves import FeelCurve
    from detentsim.knife.measured.measured import Measured
    from detentsim.knife.model import Build

WORK_ERROR = 0.05
"""Standard error of the work under a measured curve, as a part of it. Judgement, no source."""


def curve_readings(build: Build, measured: Measured) -> tuple[Reading, ...]:
    """Readings that a measured curve stands for.

    Parameters
    ----------
    build : Build
        Gives the opener.
    measured : Measured

    Returns
    -------
    tuple of Reading
        What the curve does not show is left out. The error is that of the tool, of the scatter between runs, or what
        the breakout may be missed by between two readings, whichever is greatest.
    """
    feel = feel_of_measured(measured, measured.name, record(build))
    found = {name: feel.values[name] for name in ("breakout_force", "let_go_angle", "breakout_energy")}
    return tuple(
        Reading(name, value, _error(feel, name, value), feel.count)
        for name, value in found.items()
        if value is not None
    )


def _error(feel: FeelCurve, name: str, value: float) -> float:
    usual = tool(name)
    errors = [WORK_ERROR * value if usual is None else usual.error(value)]
    errors.append(feel.scatter.get(name, 0.0) / math.sqrt(feel.count))
    if name == "breakout_force":
        errors += [feel.unsure, feel.missed if math.isfinite(feel.missed) else value]
    return max(errors)
