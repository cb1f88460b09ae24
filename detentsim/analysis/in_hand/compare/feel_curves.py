"""Feel curves of builds and of measured knives in one form, with the results that each kind has.

Uses `readings` for measured runs; `compare` sets the curves side by side.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from detentsim.analysis.hand_steps import Opening
from detentsim.analysis.in_hand.compare.quantities import DRAG, UNITS, UNREAD
from detentsim.analysis.in_hand.compare.readings import RunValues, Smooth, read_run, smooth
from detentsim.analysis.one_build.curve.curve import Curve, curve
from detentsim.analysis.one_build.curve.rows import opening_of
from detentsim.knife.outcomes import RESULTS
from detentsim.knife.target.target import FELT
from detentsim.mechanics.motion.pivot import lever
from detentsim.units.systems import METRIC, UnitSystem

if TYPE_CHECKING:
    from collections.abc import Sequence

    from detentsim.knife.measured.measured import Measured
    from detentsim.knife.measured.table import Run
    from detentsim.knife.model import Build
    from detentsim.mechanics.record import Array, Record


NO_LEVER = "needs the opener's lever: compare with a build of the knife"


@dataclass(frozen=True, eq=False)
class FeelCurve:
    """Feel curve of one item of a comparison.

    Attributes
    ----------
    name : str
    kind : str
        ``build`` or ``measured``.
    source : str
    angle, force : array
        Blade angle, never falling [deg], and force at the opener [N]; of several runs their mean line.
    values : dict of str to float or None
        By the names of `UNITS`; of several runs the mean of what each run shows.
    scatter : dict of str to float
        Standard deviation over the runs, where there are several.
    unsure : float
        Standard error of the breakout by the gauge's noise [N].
    missed : float
        How far the breakout may lie above the value read, since it lay between two readings [N].
    why : dict of str to str
        Reason why a value is missing.
    runs : tuple of (angle, force)
        Readings as measured [deg], [N]; none for a build.
    count : int
        Runs that the values are means of; 1 for a build.
    noise : float or None
        Standard deviation of a single reading [N]; None for a build.
    notes : tuple of str
        Sentences on its uncertainty.
    curve : Curve or None
        The build's own.
    """

    name: str
    kind: str
    source: str
    angle: Array
    force: Array
    values: dict[str, float | None]
    scatter: dict[str, float]
    why: dict[str, str]
    runs: tuple[tuple[Array, Array], ...] = ()
    count: int = 1
    noise: float | None = None
    unsure: float = 0.0
    missed: float = 0.0
    notes: tuple[str, ...] = ()
    curve: Curve | None = None

    @property
    def most_breakout(self) -> float | None:
        """How high the breakout may be, where the readings leave more than half a hand-step open [N]; maybe inf."""
        force = self.values["breakout_force"]
        return force + self.missed if force is not None and self.missed > FELT / 2 * force else None

    @cached_property
    def opening(self) -> Opening:
        """Its opening, to measure how far another is from it."""
        if self.curve is not None:
            return opening_of(self.curve.response)
        return Opening(self.angle, self.force, self.values["breakout_force_angle"], self.values["let_go_angle"])

    def at(self, angle: Array) -> Array:
        """Force at given angles by linear interpolation [N]; NaN outside the curve's own.

        Parameters
        ----------
        angle : array
            [deg].

        Returns
        -------
        array
        """
        if not self.angle.size:
            return np.full_like(angle, np.nan)
        return np.interp(angle, self.angle, self.force, left=np.nan, right=np.nan)


def feel_of_build(build: Build, name: str) -> FeelCurve:
    """Feel curve of a build, as the model gives it.

    Parameters
    ----------
    build : Build
    name : str

    Returns
    -------
    FeelCurve
    """
    c = curve(build)
    known = np.isfinite(c.columns[3])
    # past an angle without a lever nothing is compared
    last = int(np.argmin(np.append(known, False)))
    angle, force = c.columns[0, :last], c.columns[3, :last]
    values = {one: c.results[one] for one in UNITS if one in RESULTS}
    values[DRAG] = _drag(angle, force, values["let_go_angle"])
    why = {one: c.why(one if one in RESULTS else "drag_force") for one, value in values.items() if value is None}
    return FeelCurve(name, "build", build.source, angle, force, _ordered(values), {}, why, curve=c)


def _drag(angle: Array, force: Array, let_go: float | None) -> float | None:
    """Mean force from let-go to twice its angle from rest [N]."""
    if let_go is None or not angle.size or angle[-1] <= let_go:
        return None
    grid = np.linspace(let_go, min(2 * let_go - float(angle[0]), float(angle[-1])), 201)
    return float(np.mean(np.interp(grid, angle, force)))


def _ordered(values: dict[str, float | None]) -> dict[str, float | None]:
    return {name: values.get(name) for name in UNITS}


def feel_of_measured(
    measured: Measured,
    name: str,
    record: Record | None = None,
    opener: float | None = None,
    units: UnitSystem = METRIC,
) -> FeelCurve:
    """Feel curve of a measured knife: each run smoothed and read by itself, then averaged.

    Work needs the opener's lever arm, so it is given only with a build of the knife; it counts
    from the first reading on, without what the drag takes. A pull at another radius than the opener's is converted by
    its torque about the pivot: it pulls in the direction that the finger pushes in.

    Parameters
    ----------
    measured : Measured
    name : str
    record : Record, optional
        Of the build whose opener it was measured at.
    opener : float, optional
        Distance from the pivot that the forces are given at [m]; by default that build's opener.
    units : UnitSystem
        Of the notes.

    Returns
    -------
    FeelCurve
    """
    opener = float(record.opener_radius) if opener is None and record is not None else opener
    raw = tuple((np.degrees(run.angle), run.force * _at_opener(run, opener)) for run in measured.runs)
    lines = [smooth(*pair) for pair in raw]
    reads = [read_run(line, pair) for line, pair in zip(lines, raw, strict=True)]
    works = [_work(line, read, record) for line, read in zip(lines, reads, strict=True)]
    columns: dict[str, list[float | None]] = {
        "breakout_force": [read.breakout_force for read in reads],
        "breakout_force_angle": [read.breakout_force_angle for read in reads],
        "let_go_angle": [read.let_go_angle for read in reads],
        "breakout_energy": works,
        DRAG: [read.drag for read in reads],
    }
    known = {one: [value for value in column if value is not None] for one, column in columns.items()}
    values: dict[str, float | None] = {one: float(np.mean(sample)) if sample else None for one, sample in known.items()}
    scatter = {one: float(np.std(sample, ddof=1)) for one, sample in known.items() if len(sample) > 1}
    why = dict.fromkeys((one for one in UNITS if one not in columns), UNREAD)
    unread = next((read.why for read in reads if read.why), "")
    why |= {one: unread or NO_LEVER for one, sample in known.items() if not sample}
    angle, force = _mean_line(lines)
    noise = float(np.median([line.noise for line in lines]))
    notes = [*_notes(measured, lines, reads, units), *_pull_notes(measured, reads, opener, units)]
    missed = float(np.mean([read.missed for read in reads]))
    shown = angle, force, _ordered(values), scatter, why
    return FeelCurve(name, "measured", measured.source, *shown, raw, len(raw), noise, noise, missed, tuple(notes))


def _at_opener(run: Run, opener: float | None) -> float:
    """Force at the opener over that of a run's pull, by equal torque; 1 where either radius is unknown."""
    return 1.0 if opener is None or np.isnan(run.radius) else run.radius / opener


def _pull_notes(measured: Measured, reads: Sequence[RunValues], opener: float | None, units: UnitSystem) -> list[str]:
    """Sentences on where the gauge pulled, on a zero that is off, and on a peak of a ball that sticks at rest."""
    notes = []
    radii = sorted({run.radius for run in measured.runs if not np.isnan(run.radius)})
    if opener is not None and any(abs(radius - opener) > 1e-9 for radius in radii):
        where = " and ".join(units.two_digits(radius * 1e3, "mm") for radius in radii)
        notes.append(
            f"Pulled {where} from the pivot; converted by its torque to {units.two_digits(opener * 1e3, 'mm')}."
        )
    if any(read.drag is not None and read.drag < 0 for read in reads):
        notes.append("The force past let-go is below zero: the gauge's zero is off. Give it in a column zero_N.")
    alone = [(read.breakout_force, read.behind) for read in reads if read.breakout_force and read.behind]
    stuck = [(top, behind) for top, behind in alone if top > (1 + FELT) * behind]
    if stuck:
        top, behind = np.mean(stuck, axis=0)
        notes.append(
            f"The highest force, {units.pull(top)}, stands alone at the first angle; what follows leads back to "
            f"{units.pull(behind)}. It holds the ball's friction at rest, or the gauge's own."
        )
    return notes


def _work(line: Smooth, read: RunValues, record: Record | None) -> float | None:
    """Work above the drag from the first reading to let-go [mJ]."""
    if record is None or read.let_go_angle is None or read.drag is None:
        return None
    inner = line.angle < read.let_go_angle
    angle = np.append(line.angle[inner], read.let_go_angle)
    force = np.append(line.force[inner], read.drag)
    arm = lever(record, np.radians(angle))
    if not np.all(np.isfinite(arm)):
        return None
    # the drag is a torque: its force falls where the lever grows
    torque = force * arm - read.drag * arm[-1]
    return float(np.trapezoid(torque, np.radians(angle)) * 1e3)


def _mean_line(lines: Sequence[Smooth]) -> tuple[Array, Array]:
    """Mean of the runs over the angles that all of them reach."""
    if len(lines) == 1:
        return lines[0].angle, lines[0].force
    low, high = max(line.angle[0] for line in lines), min(line.angle[-1] for line in lines)
    if low >= high:
        return np.empty(0), np.empty(0)
    every = np.unique(np.concatenate([[low, high], *(line.angle for line in lines)]))
    angle = every[(every >= low) & (every <= high)]
    return angle, np.mean([np.interp(angle, line.angle, line.force) for line in lines], axis=0)


def _notes(measured: Measured, lines: Sequence[Smooth], reads: Sequence[RunValues], units: UnitSystem) -> list[str]:
    """Sentences on the uncertainty of a measured curve."""
    widest = max(line.widest for line in lines)
    noise = float(np.median([line.noise for line in lines]))
    said = f"A single reading scatters by {units.pull(noise)} about its run"
    notes = [f"{said}; smoothed over up to {widest} readings." if widest > 1 else "Taken as it is, nothing smoothed."]
    missed = [read.missed for read in reads if read.breakout_force and read.missed > FELT / 2 * read.breakout_force]
    if missed:
        bound = max(missed)
        over = f"it may lie up to {units.pull(bound)} above" if np.isfinite(bound) else "it may lie well above"
        notes.append(
            f"Readings stand far apart at the breakout: {over} the highest one, or that one is a slip. "
            "Take more readings there."
        )
    short = sum(bool(read.why) for read in reads)
    if 0 < short < len(reads):
        notes.append(f"{short} of {len(reads)} runs could not be read in full and are left out of those means.")
    if measured.unused:
        notes.append(f"Columns not used: {', '.join(measured.unused)}.")
    return notes
