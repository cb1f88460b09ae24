"""Shop errors: range of each input's error, and a quasi-random (Sobol) sample of them.

The sample is the same for every design, so that their yields compare.
"""

from __future__ import annotations

import math
from functools import cache
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from detentsim.analysis.in_hand.advise.moves.move import NEAR, Columns
from detentsim.analysis.results import number
from detentsim.knife.table.schema import INPUTS
from detentsim.knife.table.values import limits

if TYPE_CHECKING:
    from detentsim.knife.model import Build
    from detentsim.knife.record.inputs import Plain

POINTS = 256

"""Points of the sample: a power of two, so that the Sobol sequence stays balanced."""

BY_HAND = ("bar.bend", "ball.protrusion", "bar.relief_thickness", "tang.face_gap")
"""Errors that come last, so that the even first dimensions of the sample go to what moves the feel most."""

Offsets = dict[str, npt.NDArray[np.float64]]


def errors(build: Build, numbers: Plain) -> dict[str, tuple[float, float]]:
    """Error of each input below and above its value [SI].

    Parameters
    ----------
    build : Build
    numbers : dict
        Its plain numbers.

    Returns
    -------
    dict of str to (low, high)
        Low at most 0, high at least 0: the maker's tolerances or the packaged bands, and for what has neither how
        near a careful bench comes (`moves.NEAR`).
    """
    drilled: dict[str, object] = {"dimple.rim_feed": "0.1 mm", "dimple.loose_ball_height": None}
    if build.word("dimple.rim_drill") == "none":
        drilled["dimple.rim_drill"] = "13 mm"
    elif build["dimple.rim_feed"] is not None and "dimple.rim_feed" in build.tolerance:
        drilled = {}
    with_rim = build.trial(drilled)
    spans: dict[str, tuple[float, float]] = {}
    by_hand: dict[str, tuple[float, float]] = {}
    for name, (low, high) in with_rim.bands(number(numbers, "bar.calibration")).items():
        own = _own(with_rim, numbers, name)
        if name in numbers and math.isfinite(own) and low < high:
            among = by_hand if name in BY_HAND else spans
            among[name] = (min(low - own, 0.0), max(high - own, 0.0))
    for name, near in NEAR.items():
        if name not in spans and math.isfinite(number(numbers, name)):
            spans[name] = by_hand.get(name, (-near, near))
    return spans


def _own(build: Build, numbers: Plain, name: str) -> float:
    """Nominal value that a band is about; over-close always as a length at the ball [m]."""
    if name == "dimple.overclose":
        angle = number(numbers, "dimple.overclose_angle")
        return number(numbers, name) + angle * number(numbers, "tang.pivot_to_ball")
    return build.si(name) if name == "dimple.rim_feed" else number(numbers, name)


@cache
def _even(dimensions: int) -> npt.NDArray[np.float64]:
    """Scrambled Sobol points in the unit cube, shape (POINTS, dimensions)."""
    from scipy.stats import qmc

    return np.asarray(qmc.Sobol(dimensions, scramble=True, rng=np.random.default_rng(1)).random(POINTS))


def offsets(spans: dict[str, tuple[float, float]], count: int = POINTS) -> Offsets:
    """Offset of each input at every error point, shape (1, count) [SI].

    Parameters
    ----------
    spans : dict of str to (low, high)
        As `errors` gives them.
    count : int
        The first so many points.
    """
    points = _even(max(len(spans), 1))[:count]
    return {name: (low + (high - low) * points[:, i])[None] for i, (name, (low, high)) in enumerate(spans.items())}


def missed(columns: Columns, numbers: Plain, added: Offsets) -> Columns:
    """Designs with every error point added, clipped to the limits of the inputs; shape (n, points) [SI].

    Parameters
    ----------
    columns : dict of str to array
        Inputs that differ between the designs, shape (n,) [SI].
    numbers : dict
        Plain numbers that they share.
    added : dict of str to array
        As `offsets` gives it.
    """
    spread = {name: values[:, None] for name, values in columns.items()}
    for name, offset in added.items():
        value = spread.get(name, np.asarray(numbers.get(name, math.nan), float)) + offset
        if name != "dimple.overclose":
            kind = "length" if "length" in INPUTS[name].kinds else INPUTS[name].kinds[0]
            low, high = limits(INPUTS[name], kind)
            value = np.clip(value, low, high)
        spread[name] = value
    return spread
