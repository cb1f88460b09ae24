"""Feel curve of one build: torque and finger force over blade angle, and its results.

The first file to read of the room; asks the kernel through `respond`, and `likely` for the ranges.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from html import escape
from itertools import pairwise
from typing import TYPE_CHECKING, Any

import numpy as np
import numpy.typing as npt

from detentsim.analysis.one_build.curve.band import CurveBand, band
from detentsim.analysis.one_build.curve.bench import BenchSteps, bench
from detentsim.analysis.one_build.curve.falling_shut import FallsShut, falls_shut
from detentsim.analysis.one_build.curve.likely import Likely, likely
from detentsim.analysis.one_build.curve.picture import Picture, picture
from detentsim.analysis.one_build.curve.rim_feed import RimFeed, rim_feed
from detentsim.analysis.one_build.limits.limits import Limits, limits
from detentsim.analysis.one_build.summary import Summary, checked, judged_by, wanted_results
from detentsim.analysis.results import Named, Results, raised, single, why_missing
from detentsim.knife.model import Build, need_build
from detentsim.knife.outcomes import FLAGS, RESULTS
from detentsim.knife.record.fields import assemble
from detentsim.knife.record.record import plain
from detentsim.knife.table.typed_units import text_in
from detentsim.knife.target.verdict import Verdict, judge
from detentsim.mechanics.motion import standing
from detentsim.mechanics.motion.pivot import finger_force
from detentsim.mechanics.names import RESULT_NAMES
from detentsim.mechanics.path import at_blade_angle
from detentsim.mechanics.record import last_axis
from detentsim.mechanics.response import Response, respond
from detentsim.units.quantities import quantity

if TYPE_CHECKING:
    from detentsim.knife.record.inputs import Plain

COLUMNS = ("blade_angle_deg", "opening_torque_Nmm", "closing_torque_Nmm", "opening_force_N")

# Two rows stand for one angle where the limits from either side differ by more than this share of the largest.
JUMP = 1e-9

# Farthest apart that rows stand [rad].
ROW_STEP = np.radians(2.0)

Columns = npt.NDArray[np.float64]


@dataclass(frozen=True, eq=False, repr=False)
class Curve(Named):
    """Feel curve and results of one build. Results are attributes: quantities, or None where there is none.

    Attributes
    ----------
    build : Build
    results : dict of str to float or None
        By result name, in the unit of `detentsim.knife.outcomes.RESULTS`.
    flags : tuple of str
        Raised flags.
    assumed : tuple of str
        Inputs that stand at a packaged default with a band.
    columns : array, shape (4, n)
        Blade angle [deg], opening torque, closing torque [N*mm] (the ball's alone), opening force [N].
    likely : Likely
        Likely ranges.
    falls_shut : FallsShut or None
        None where the blade's mass is unknown.
    """

    build: Build
    results: Results
    flags: tuple[str, ...]
    assumed: tuple[str, ...]
    columns: Columns
    likely: Likely
    falls_shut: FallsShut | None
    numbers: Plain
    response: Response

    @property
    def blade_angle(self) -> Any:
        """Blade angle from rest, never decreasing; a jump stands as two rows of one angle [quantity, deg]."""
        return quantity(self.columns[0], "deg")

    @property
    def opening_torque(self) -> Any:
        """Torque of the ball against opening [quantity, N*mm]."""
        return quantity(self.columns[1], "N*mm")

    @property
    def closing_torque(self) -> Any:
        """Torque of the ball on a closing blade, pulling in where positive [quantity, N*mm]."""
        return quantity(self.columns[2], "N*mm")

    @property
    def opening_force(self) -> Any:
        """Finger force at the opener; NaN where the lever is too short [quantity, N]."""
        return quantity(self.columns[3], "N")

    @cached_property
    def picture(self) -> Picture:
        """Ball and dimple at rest, for drawing."""
        return picture(self.response)

    @cached_property
    def band(self) -> CurveBand:
        """Forces at the opener over blade angle with their likely band, for drawing."""
        angle = np.unique(np.concatenate([self.columns[0], np.arange(self.columns[0][0], 12.0, 0.1)]))
        return band(self.response, self.likely.designs, angle)

    @cached_property
    def stopped_short(self) -> bool:
        """Whether the over-travel stop meets the bar before the ball is out of its dimple."""
        return "stopped_short" in self.flags

    @cached_property
    def rim_feed(self) -> RimFeed | None:
        """Breakout over the rim drill's feed; None without a rim drill."""
        return rim_feed(self.numbers)

    @cached_property
    def bench(self) -> BenchSteps:
        """Steps at the bench."""
        return bench(self.build, self.numbers, self.results, self.in_words("breakout_force"), self.bounds)

    @cached_property
    def bounds(self) -> Limits:
        """Limits of the build."""
        return limits(self.build)

    @cached_property
    def summary(self) -> Summary:
        """Verdict on the build: warnings, limits, target, staying shut."""
        return checked(self.build, self.numbers, self.response, self.bounds)

    @cached_property
    def verdicts(self) -> tuple[Verdict, ...]:
        """Verdicts on the build's target."""
        return judge(self.build.target, wanted_results(self.build, self.response), units=self.build.units)

    @cached_property
    def assumptions(self) -> dict[str, tuple[str, str, str]]:
        """Assumed inputs: value, and lowest and highest of its band, as text."""
        bands = self.build.bands(float(np.asarray(self.numbers["bar.calibration"])))
        ranges = {}
        for name in self.assumed:
            value = self.build.values[name]
            kind = "length" if name == "dimple.overclose" else value.kind
            low, high = (text_in(self.build.units, end, kind) for end in bands[name])
            ranges[name] = (value.text, low, high)
        return ranges

    def why(self, name: str) -> str:
        """Reason in words why a result has no value.

        Parameters
        ----------
        name : str
        """
        return why_missing(name, self.flags)

    def in_words(self, name: str) -> str:
        """A result with two significant digits and its likely range, in the units of the build.

        Parameters
        ----------
        name : str
        """
        value, unit, units = self.results[name], RESULTS[name].unit, self.build.units
        if value is None:
            return f"none: {self.why(name)}"
        likely = "" if name not in self.likely.ranges else units.between(*self.likely.ranges[name], unit)
        number = units.two(value, unit)
        return f"{number} (likely {likely})" if " to " in likely else number

    def __repr__(self) -> str:
        flags = f", flags {' '.join(self.flags)}" if self.flags else ""
        return f"<Curve of {self.build.name!r}: breakout {self.in_words('breakout_force')}{flags}>"

    def _repr_html_(self) -> str:
        """Return a small table for a notebook."""
        rows = "".join(f"<tr><th>{name}</th><td>{escape(self.in_words(name))}</td></tr>" for name in self.results)
        flags = "".join(f"<tr><th>{flag}</th><td>{FLAGS[flag]}</td></tr>" for flag in self.flags)
        return f"<table><caption>{escape(self.build.name)}</caption>{rows}{flags}</table>"


def curve(build: Build) -> Curve:
    """Compute the feel curve of a build.

    Parameters
    ----------
    build : Build
        With the sections bar, ball, dimple, tang and opener.

    Returns
    -------
    Curve

    Raises
    ------
    BuildError
        Where a section is missing.
    InputError
        Where it is no build at all.

    Examples
    --------
    >>> from detentsim.knife.packaged import demo
    >>> c = curve(demo())
    >>> c.flags
    ()
    >>> f"{c.breakout_force:~P}".endswith(" N")
    True
    """
    numbers = plain(need_build(build))
    response = respond(assemble(numbers), (*judged_by(build), "hang_angle"))
    results = single({name: response.results[name] for name in RESULT_NAMES})
    flags = raised(response.flags)
    start = np.degrees(build.si("attitude.close_from"))
    columns, surplus = _columns(response, build.si("attitude.close_from"))
    down = float(np.degrees(response.load.record.down_angle))
    shut = falls_shut(columns[0], surplus, float(start), down, float(np.degrees(response.results["hang_angle"])))
    spread = likely(build, numbers, results, flags)
    return Curve(build, results, flags, build.assumed, columns, spread, shut, numbers, response)


def _columns(response: Response, start: float) -> tuple[Columns, Columns]:
    """The four columns of one design, and its surplus torque for shutting [N*mm]; `start` gets a row [rad]."""
    solved, rest = response.load, response.rest
    opening = at_blade_angle.opening_table(solved, rest.phi, rest.slip)
    closing = at_blade_angle.closing_table(solved, rest.phi)
    theta = _angles(response, opening, closing, start)
    sides = [_side(response, opening, closing, theta, above) for above in (False, True)]
    sides[0][:, 0] = theta[0], rest.start, rest.start, _first_force(response), sides[0][4, 0]
    rows = np.stack(sides, axis=-1)
    scale = [np.nanmax(np.abs(part), initial=1e-12) for part in (rows[1:3], rows[3])]
    torque, force = (np.abs(part[..., 1] - part[..., 0]) for part in (rows[1:3], rows[3]))
    jumps = np.any(torque > JUMP * scale[0], axis=0) | (force > JUMP * scale[1])
    keep = np.stack([np.ones_like(jumps), jumps], axis=-1).ravel()
    table = rows.reshape(5, -1)[:, keep] * np.array([180 / np.pi, 1e3, 1e3, 1.0, 1e3])[:, None]
    table = _with_static(response, table)
    return table[:4], table[4]


def _with_static(response: Response, table: Columns) -> Columns:
    """The rows with one more behind the first, where static friction on a rigid bar holds more than sliding does.

    A bar that gives sideways reaches the stick limit along its curve; on a rigid one it stands at the resting angle.
    """
    rest, record = response.rest, response.load.record
    gives = bool(response.flags["locks_solid"]) or float(response.load.spring.twist_give) > 0
    if gives or not float(rest.stick) > float(rest.at.opening) * (1 + JUMP):
        return table
    row = table[:, 0].copy()
    row[[1, 3]] = float(rest.stick) * 1e3, float(finger_force(record, rest.slip, rest.stick, rest.at.push))
    return np.insert(table, 1, row, axis=1)


def _first_force(response: Response) -> float:
    """Finger force that is in balance on the resting blade [N]; 0 where the stop carries the blade."""
    rest, record = response.rest, response.load.record
    return float(finger_force(record, rest.angle, np.maximum(rest.start, 0), rest.at.push))


def _angles(
    response: Response, opening: at_blade_angle.TorqueTable, closing: at_blade_angle.TorqueTable, start: float
) -> Columns:
    """Blade angles of the rows: the points of both paths, and even steps where they lie far apart [rad]."""
    low, high = float(response.rest.angle), float(response.load.record.open_angle)
    single = [float(angle) for angle in (response.rest.slip, response.results["breakout_force_angle"])]
    points = np.concatenate([at_blade_angle.angles(opening), at_blade_angle.angles(closing), [*single, low, high]])
    points = np.unique(np.clip(points[np.isfinite(points)], low, high))
    points = points[np.concatenate([[True], np.diff(points) > 1e-9])]
    even = [np.arange(left, right, ROW_STEP)[1:] for left, right in pairwise(points) if right - left > ROW_STEP]
    return np.union1d(points, np.concatenate([*even, [np.clip(start, low, high)]]))


def _side(
    response: Response,
    opening: at_blade_angle.TorqueTable,
    closing: at_blade_angle.TorqueTable,
    theta: Columns,
    above: bool,
) -> Columns:
    """The five columns as limits from one side: angle, torques, finger force, surplus for shutting [SI]."""
    solved = response.load
    record = last_axis(solved.record)
    shut = at_blade_angle.torque_at(closing, theta, opening=False, above=above)
    surplus = standing.closing_surplus(record, theta, shut.torque - shut.face_drag, shut.push)
    if bool(response.flags["locks_solid"]):
        blank = np.full_like(theta, np.nan)
        return np.stack([theta, blank, shut.torque, blank, surplus])
    out = at_blade_angle.torque_at(opening, theta, opening=True, above=above)
    force = finger_force(record, theta, out.torque + out.face_drag, out.push)
    return np.stack([theta, out.torque, shut.torque, force, surplus])
