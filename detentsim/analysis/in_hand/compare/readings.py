"""Reads a measured run: breakout and its angle, let-go, drag past it, and the gauge's noise.

Takes plain arrays in degrees and newtons, without a build; `feel_curves` makes a feel curve of it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt
from numpy.lib.stride_tricks import sliding_window_view

if TYPE_CHECKING:
    from detentsim.mechanics.record import Array

WINDOWS = (5, 7, 9, 13, 17, 25, 35, 49, 69, 99)
"""Window widths of the local parabola, in readings."""

AGREE = 1.25
"""Standard errors within which a wider window must agree with all narrower ones."""

MOST_POINTS = 2000
"""Most readings of a run; of more, neighbours are averaged first."""

STANDS_OUT = 4.0
"""Least height of a breakout over the drag, in standard deviations of the noise."""

FLANK, NEARLY = 0.3, 0.05
"""Shares of the breakout over drag that bound the last part of the falling flank."""

COARSE = 0.08
"""Share of the breakout by which neighbouring readings about it may differ and still bound it (by simulation)."""

FLANK_READINGS = 4
"""Least readings of the falling flank that a line is fitted to."""

AT_FIRST = 0.02
"""Share of the angle to the end of the flank within which a breakout stands at the first angle."""

SETTLED = 3
"""Least readings past let-go for the drag."""


@dataclass(frozen=True, eq=False)
class Smooth:
    """A smoothed run.

    Attributes
    ----------
    angle, force : array
        [deg], [N].
    noise : float
        Standard deviation of a single reading about the curve [N].
    widest : int
        Most readings that one smoothed value rests on; 1 where nothing was smoothed.
    width : array of int
        Readings that each smoothed value rests on.
    """

    angle: Array
    force: Array
    noise: float
    widest: int
    width: npt.NDArray[np.int64]


@dataclass(frozen=True)
class RunValues:
    """Values read from one run; None where a value cannot be read.

    Attributes
    ----------
    breakout_force, breakout_force_angle, let_go_angle : float or None
        [N], [deg], [deg].
    drag : float or None
        Mean force from let-go to twice its angle [N].
    missed : float
        How far the breakout may lie above the highest reading, since it lay between two of them [N].
    why : str
        Reason why a value is missing; empty where none is.
    behind : float or None
        What the readings behind lead back to at the breakout's angle, where that is the first one [N].
    """

    breakout_force: float | None
    breakout_force_angle: float | None
    let_go_angle: float | None
    drag: float | None
    missed: float
    why: str
    behind: float | None = None


def noise_of(angle: Array, force: Array) -> float:
    """Standard deviation of single readings about their curve [N], from each one's distance to its neighbours' line.

    Pseudo-residuals of Gasser, Sroka and Jennen-Steinmetz (Biometrika 73, 1986, 625) for uneven spacing; the median of
    their sizes times 1.4826 in place of the mean square, so that a breakout's few sharp steps do not count as noise.

    Parameters
    ----------
    angle, force : array
        In the order of the angles.

    Returns
    -------
    float

    Examples
    --------
    >>> x = np.linspace(0, 10, 4001)
    >>> f"{noise_of(x, np.exp(-x) + np.random.default_rng(1).normal(0, 0.2, x.size)):.2f}"
    '0.20'
    """
    left, right = np.diff(angle)[:-1], np.diff(angle)[1:]
    known = left + right > 0
    u, v = right[known] / (left + right)[known], left[known] / (left + right)[known]
    off = u * force[:-2][known] + v * force[2:][known] - force[1:-1][known]
    return float(1.4826 * np.median(np.abs(off) / np.sqrt(u**2 + v**2 + 1))) if off.size else 0.0


def local_fit(angle: Array, force: Array, count: int) -> tuple[Array, Array]:
    """Value of a parabola fitted to the nearest readings, at each reading, and its standard error per unit of noise.

    On even spacing this is the filter of Savitzky and Golay (Anal. Chem. 36, 1964, 1627); fitted here to the angles as
    they are, since nobody swings a blade evenly.

    Parameters
    ----------
    angle, force : array
    count : int
        Readings of a fit, odd; at the ends it lies to one side.

    Returns
    -------
    tuple of array
    """
    first = np.clip(np.arange(angle.size) - count // 2, 0, angle.size - count)
    x = sliding_window_view(angle, count)[first] - angle[:, None]
    reach = np.abs(x).max(axis=1, keepdims=True)
    share = x / np.where(reach > 0, reach, 1.0)
    powers = np.stack([np.ones_like(share), share, share * share], axis=-1)
    # the value at 0 is the first coefficient; pinv because several readings may share an angle
    normal = np.linalg.pinv(np.swapaxes(powers, 1, 2) @ powers, hermitian=True)[:, 0]
    weights = np.einsum("ij,ikj->ik", normal, powers)
    error = np.sqrt(np.sum(weights**2, axis=1))
    return np.sum(weights * sliding_window_view(force, count)[first], axis=1), error


def smooth(angle: Array, force: Array) -> Smooth:
    """Smooth a run by local parabolas of adaptive width (intersection of confidence intervals).

    A feel curve has corners (breakout, the hand-over from one edge to the other, let-go) that one smoothness for
    the whole curve would round off: at equal noise left on the flank a filter of fixed width takes 13 % off the
    demo's breakout and a smoothing spline 4 %, this 2 %. Each reading gets a local parabola as wide as the noise
    allows: widened until it disagrees with a narrower one by more than the noise explains (intersection of
    confidence intervals: Goldenshluger and Nemirovski, Math. Methods Statist. 6, 1997, 135). On the flat that is
    wide, at a corner narrow, without noise nothing changes.

    Parameters
    ----------
    angle, force : array
        Of one run, in the order of the angles [deg], [N].

    Returns
    -------
    Smooth

    Examples
    --------
    >>> x = np.linspace(0, 10, 200)
    >>> smooth(x, 5 - 0.5 * x).widest
    1
    """
    x, y = _thinned(angle, force)
    noise = noise_of(x, y)
    if noise <= 1e-9 * np.abs(y).max():
        return Smooth(x, y, noise, 1, np.ones(x.size, int))
    smoothed, widest = y.copy(), np.ones(x.size, int)
    low, high, agree = y - AGREE * noise, y + AGREE * noise, np.ones(x.size, bool)
    for count in (count for count in WINDOWS if count <= x.size):
        value, error = local_fit(x, y, count)
        low, high = np.maximum(low, value - AGREE * noise * error), np.minimum(high, value + AGREE * noise * error)
        agree &= low <= high
        smoothed, widest = np.where(agree, value, smoothed), np.where(agree, count, widest)
    return Smooth(x, smoothed, noise, int(widest.max()), widest)


def _thinned(angle: Array, force: Array) -> tuple[Array, Array]:
    """Neighbours averaged where there are far more readings than a curve needs."""
    block = -(-angle.size // MOST_POINTS)
    if block == 1:
        return angle, force
    starts = np.arange(0, angle.size, block)
    counts = np.diff(np.append(starts, angle.size))
    return np.add.reduceat(angle, starts) / counts, np.add.reduceat(force, starts) / counts


def read_run(run: Smooth, raw: tuple[Array, Array] | None = None) -> RunValues:
    """Breakout, let-go and drag of a run.

    Breakout is the highest smoothed force. Let-go is where the last of the falling flank, a parabola that rises
    backward from the drag, meets the level drag behind it: fitted together by least squares to the readings from
    where three tenths of the breakout over drag are left to twice the angle where a twentieth is.

    Parameters
    ----------
    run : Smooth
    raw : tuple of array, optional
        Readings that let-go is fitted to; the smoothed ones by default.

    Returns
    -------
    RunValues
    """
    x, y = run.angle, run.force
    top = int(np.argmax(y))
    floor = float(y[top:].min())
    over = float(y[top]) - floor
    if over <= max(STANDS_OUT * run.noise, 1e-9) or float(y[top]) <= 0:
        return RunValues(None, None, None, None, 0.0, "no breakout stands out over the drag and the gauge's noise")
    breakout = float(y[top]), float(x[top])
    nearly = top + int(np.argmax(y[top:] <= floor + NEARLY * over))
    flank = top + int(np.flatnonzero(y[top : nearly + 1] >= floor + FLANK * over)[-1])
    readings = (x, y) if raw is None else raw
    missed = _missed(readings, float(y[top]), float(x[top]), int(run.width[top]))
    let_go, drag = _let_go(*readings, float(x[flank]), x[0] + 2 * (float(x[nearly]) - x[0]))
    why = "" if let_go is not None else "the readings end before the force settles on a drag"
    behind = _behind(run, top) if breakout[1] - x[0] <= AT_FIRST * (float(x[nearly]) - x[0]) else None
    return RunValues(*breakout, let_go, drag, missed, why, behind)


def _behind(run: Smooth, top: int) -> float | None:
    """Force that a line through the readings past the highest one leads back to at its angle [N]; None of too few."""
    past = np.flatnonzero(run.angle > run.angle[top])[: max(FLANK_READINGS, int(run.width[top]))]
    if past.size < FLANK_READINGS:
        return None
    return float(np.polyfit(run.angle[past] - run.angle[top], run.force[past], 1)[-1])


def _missed(readings: tuple[Array, Array], force: float, at: float, width: int) -> float:
    """How far the breakout may lie above the highest force read [N]; infinite where the readings do not bound it.

    A peak is a corner: a steep rise, then a flank. Where the force changes by more than `COARSE` of itself from one
    reading to the next, on either side, or no reading lies before the highest one, a corner of any height fits between
    them. Elsewhere it lay after the reading before the highest one (with smoothing, before the window of that value),
    and is hardly higher than the flank drawn back to there, by a straight line or a parabola.
    """
    x, y = readings
    top = int(np.searchsorted(x, at, side="right")) - 1
    before = top - max(width // 2, 1)
    near = np.abs(np.diff(y[max(top - 2, 0) : top + 3]))
    if top == 0 or float(np.median(near)) > COARSE * force:
        return np.inf
    off, flank = x[top:] - x[max(before, 0)], y[top:]
    count = max(FLANK_READINGS, width)
    if off.size < count or np.unique(off[:count]).size < FLANK_READINGS:
        return np.inf
    drawn = [float(np.polyfit(off[:count], flank[:count], degree)[-1]) - force for degree in (1, 2)]
    return max(*drawn, 0.0)


def _let_go(angle: Array, force: Array, start: float, end: float) -> tuple[float | None, float | None]:
    """Let-go and the drag behind it; None where the readings end too soon."""
    part = (angle >= start) & (angle <= end)
    x, y = angle[part], force[part]
    if x.size < 2 * SETTLED:
        return None, None
    from scipy.optimize import minimize_scalar  # only a measured curve needs it, and it takes long to load

    trials = np.linspace(x[0], x[-1], 81)[1:-1]
    misses = [_miss(at, x, y) for at in trials]
    best, step = float(trials[int(np.argmin(misses))]), float(trials[1] - trials[0])
    at = float(minimize_scalar(_miss, bounds=(best - step, best + step), args=(x, y), method="bounded").x)
    behind = (angle >= at) & (angle <= angle[0] + 2 * (at - angle[0]))
    # a flank that still falls where the readings end has its best corner at the end
    if np.count_nonzero(behind) < SETTLED or angle[-1] - at < 0.1 * (at - start):
        return None, None
    return at, float(np.mean(force[behind]))


def _miss(at: float, x: Array, y: Array) -> float:
    """Misfit of a flank that ends at an angle and a level drag behind it."""
    from scipy.optimize import nnls  # as there

    back = np.maximum(at - x, 0.0)
    return float(nnls(np.stack([np.ones_like(x), back, back**2], axis=1), y)[1])
