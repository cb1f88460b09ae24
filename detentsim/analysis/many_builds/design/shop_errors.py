"""Shop errors of a design, drawn from the same distributions and at the same points as those of a batch.

They are the same for every design, so that the shares inside can be compared.
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from detentsim.analysis.in_hand.advise.moves.move import Columns
from detentsim.analysis.many_builds.design.choices import FREE
from detentsim.knife.record.doubts import Doubt, doubts
from detentsim.knife.record.drawing import FEW, REPLICATES, spread_points
from detentsim.knife.table.schema import INPUTS
from detentsim.knife.table.values import limits

if TYPE_CHECKING:
    from detentsim.knife.model import Build
    from detentsim.knife.record.inputs import Plain

Offsets = dict[str, npt.NDArray[np.float64]]


def errors(build: Build, numbers: Plain) -> tuple[Doubt, ...]:
    """Distributions of the errors about a design.

    Parameters
    ----------
    build : Build
    numbers : dict
        Its plain numbers.

    Returns
    -------
    tuple of Doubt
        As `doubts` gives them for the build with a second drill, so that a design that has one finds its feed in doubt;
        each moved so that its likeliest value is 0 [SI].
    """
    drilled: dict[str, object] = {"dimple.rim_feed": "0.1 mm", "dimple.loose_ball_height": None}
    if build.word("dimple.rim_drill") == "none":
        drilled["dimple.rim_drill"] = "13 mm"
    elif build["dimple.rim_feed"] is not None and "dimple.rim_feed" in build.tolerance:
        drilled = {}
    return tuple(_about_zero(doubt) for doubt in doubts(build.trial(drilled), numbers) if math.isfinite(doubt.middle))


def _about_zero(doubt: Doubt) -> Doubt:
    """The distribution less its middle; what a design chooses is cut by `missed`, where the chosen size is known."""
    low, high, lowest, highest = (end - doubt.middle for end in (doubt.low, doubt.high, doubt.lowest, doubt.highest))
    cut = (-math.inf, math.inf) if doubt.name in FREE else (lowest, highest)
    return replace(doubt, middle=0.0, low=low, high=high, lowest=cut[0], highest=cut[1])


def offsets(spread: tuple[Doubt, ...], count: int) -> Offsets:
    """Offset of each input at every error point, shape (1, count) [SI].

    Parameters
    ----------
    spread : tuple of Doubt
        As `errors` gives them.
    count : int
        The first so many points. One of the batch's Sobol' sequences comes whole before the next, since points of
        one sequence fill the space more evenly than as many points of several.
    """
    points = spread_points(len(spread), FEW)
    whole = np.concatenate([points[i::REPLICATES] for i in range(REPLICATES)])[:count]
    return {doubt.name: doubt.at(whole[:, i])[None] for i, doubt in enumerate(spread)}


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
