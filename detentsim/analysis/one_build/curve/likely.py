"""Likely range of each result, from the bands of inputs that nobody can measure.

Each banded input is moved alone, a few steps across its band, all designs in one call of the kernel. What it
does up and down is squared and added up over the inputs: the range that most knives made to the description
fall in, if the bands hold and the inputs miss independently.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from detentsim.analysis.one_build.curve.intervals import added_up
from detentsim.analysis.results import Results, in_unit
from detentsim.knife.record.fields import assemble
from detentsim.mechanics.response import Response, respond

if TYPE_CHECKING:
    from detentsim.knife.model import Build
    from detentsim.knife.record.inputs import Plain

# Steps across a band: its ends alone would miss a crest between them (a rim feed has one).
STEPS = np.array([0.0, 0.25, 0.5, 0.75, 1.0])


@dataclass(frozen=True, eq=False)
class Likely:
    """Likely ranges of one build's results, in the results' own units.

    Attributes
    ----------
    ranges : dict of str to (low, high)
        By result name; absent where the build itself has no value.
    matters : dict of str to str
        Input that moves the result most; absent where none moves it.
    shifts : dict of str to dict of str to (low, high)
        By result name and input: the result across that input's band alone.
    may : tuple of str
        Flags that the build does not raise, but some point of a band does.
    designs : Response or None
        The moved designs, shape (inputs, steps); None without bands.
    """

    ranges: dict[str, tuple[float, float]]
    matters: dict[str, str]
    shifts: dict[str, dict[str, tuple[float, float]]]
    may: tuple[str, ...]
    designs: Response | None


def change_plain(numbers: Plain, name: str, values: np.ndarray) -> Plain:
    """Plain numbers with one input replaced; over-close as a length at the ball takes the angle's place.

    Parameters
    ----------
    numbers : dict
    name : str
        Dotted name of the input.
    values : array
        [SI].
    """
    changed = dict(numbers) | {name: values}
    if name == "dimple.overclose":
        changed["dimple.overclose_angle"] = 0.0
    return changed


def spread_designs(numbers: Plain, bands: dict[str, tuple[float, float]]) -> Response:
    """Designs with one banded input at a time moved across its band, shape (inputs, steps).

    Parameters
    ----------
    numbers : dict
        Plain numbers of the build.
    bands : dict of str to (low, high)
        [SI].
    """
    names = list(bands)
    shape = (len(names), STEPS.size)
    changed: Plain = dict(numbers)
    for row, (name, (low, high)) in enumerate(bands.items()):
        one = change_plain(numbers, name, low + (high - low) * STEPS)
        for key in {name} | ({"dimple.overclose_angle"} if name == "dimple.overclose" else set()):
            grid = np.array(np.broadcast_to(np.asarray(changed[key], float), shape))
            grid[row] = one[key]
            changed[key] = grid
    return respond(assemble(changed))


def likely(build: Build, numbers: Plain, results: Results, flags: tuple[str, ...]) -> Likely:
    """Likely range of every result.

    Parameters
    ----------
    build : Build
    numbers : dict
        The build's plain numbers.
    results : dict
        The build's own results, in their units.
    flags : tuple of str
        Flags the build raises.

    Returns
    -------
    Likely
    """
    bands = build.bands(float(np.asarray(numbers["bar.calibration"])))
    bands = {name: band for name, band in bands.items() if band[0] < band[1] and name in numbers}
    if not bands:
        return Likely({}, {}, {}, (), None)
    designs = spread_designs(numbers, bands)
    shifts = {name: _shifts(name, base, list(bands), designs) for name, base in results.items() if base is not None}
    ranges = {name: _combine(results[name], list(moved.values())) for name, moved in shifts.items()}
    matters = {name: _most(moved) for name, moved in shifts.items()}
    # a ball that floats at rest raises no other flag, whatever the bands
    may = tuple(flag for flag, raised in designs.flags.items() if bool(np.any(raised)) and flag not in flags)
    may = () if "floats" in flags else may
    return Likely(ranges, {name: most for name, most in matters.items() if most}, shifts, may, designs)


def _shifts(name: str, base: float, inputs: list[str], designs: Response) -> dict[str, tuple[float, float]]:
    """Lowest and highest value of a result across each input's band, the build's own value included."""
    values = in_unit(name, designs.results[name])
    values = np.where(np.isfinite(values), values, base)
    low, high = np.minimum(values.min(axis=-1), base), np.maximum(values.max(axis=-1), base)
    return {key: (float(low[i]), float(high[i])) for i, key in enumerate(inputs)}


def _combine(base: float | None, moved: list[tuple[float, float]]) -> tuple[float, float]:
    middle, ends = np.asarray(base or 0.0, float), np.array(moved)
    low, high = added_up(middle, middle - ends[:, 0], ends[:, 1] - middle)
    return float(low), float(high)


def _most(moved: dict[str, tuple[float, float]]) -> str:
    best = max(moved, key=lambda name: moved[name][1] - moved[name][0])
    low, high = moved[best]
    return best if high - low > 1e-9 * max(abs(low), abs(high)) else ""
