"""Feel curve of one build: torque and finger force over blade angle, and its results.

The first file to read of the room; asks the kernel through `respond`, and `likely` for the ranges.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np

from detentsim.analysis.one_build.checks import wanted_results
from detentsim.analysis.one_build.curve.band import CurveBand, band
from detentsim.analysis.one_build.curve.bench import BenchSteps, bench
from detentsim.analysis.one_build.curve.falling_shut import FallsShut, falls_shut
from detentsim.analysis.one_build.curve.likely import Likely, likely
from detentsim.analysis.one_build.curve.picture import Picture, picture
from detentsim.analysis.one_build.curve.rim_feed import RimFeed, rim_feed
from detentsim.analysis.one_build.curve.rows import rows
from detentsim.analysis.one_build.layout.layout import Layout, laid_out
from detentsim.analysis.one_build.limits.limits import Limits, limits
from detentsim.analysis.one_build.motion.holding import MetBurr, met_burr
from detentsim.analysis.one_build.summary import Summary, checked, judged_by
from detentsim.analysis.results import Named, Results, raised, single
from detentsim.knife.model import Build, need_build
from detentsim.knife.outcomes import FLAGS, RESULTS
from detentsim.knife.record.fields import assemble
from detentsim.knife.record.record import plain
from detentsim.knife.table.summary import notebook_table
from detentsim.knife.table.typed_units import range_in, text_in
from detentsim.knife.target.verdict import Verdict, judge
from detentsim.mechanics.names import RESULT_NAMES
from detentsim.mechanics.response import Response, respond
from detentsim.units.errors import InputError
from detentsim.units.quantities import quantity

if TYPE_CHECKING:
    from detentsim.knife.record.inputs import Plain
    from detentsim.mechanics.record import Array

COLUMNS = ("blade_angle_deg", "opening_torque_Nmm", "closing_torque_Nmm", "opening_force_N")


class Assumption(NamedTuple):
    """An input that the build does not give, as text in the units of the build.

    Attributes
    ----------
    value : str
    low, high : str
        Ends of its band.
    band : str
        The band in words.
    """

    value: str
    low: str
    high: str
    band: str


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
    falls_shut : FallsShut or None
        None where the blade's mass is unknown.
    """

    build: Build
    results: Results
    flags: tuple[str, ...]
    assumed: tuple[str, ...]
    columns: Array
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
    def likely(self) -> Likely:
        """Likely ranges; worked out when first asked for, since the knives behind them cost more than the curve."""
        return likely(self.build, self.numbers, self.results, self.flags)

    @cached_property
    def picture(self) -> Picture:
        """Ball and dimple at rest, for drawing."""
        return picture(self.response)

    @cached_property
    def band(self) -> CurveBand:
        """Forces at the opener over blade angle with their likely band, for drawing."""
        angle = np.unique(np.concatenate([self.columns[0], np.arange(self.columns[0][0], 12.0, 0.1)]))
        return band(self.response, self.likely, angle)

    @cached_property
    def rim_feed(self) -> RimFeed | None:
        """Breakout over the rim drill's feed; None without a rim drill."""
        return rim_feed(self.numbers)

    @cached_property
    def layout(self) -> Layout | None:
        """The ball's path on the tang; None without a layout, or where its drawing cannot be read (see `summary`)."""
        try:
            return None if self.build.layout is None else laid_out(self.build, self.numbers, self.response)
        except InputError:
            return None

    @cached_property
    def burr(self) -> MetBurr | None:
        """Burr that the closing ball climbs; None without one."""
        return met_burr(self.response)

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
    def assumptions(self) -> dict[str, Assumption]:
        """Assumed inputs: value and band, as text in the units of the build."""
        bands = self.build.bands(float(np.asarray(self.numbers["bar.calibration"])))
        ranges = {}
        for name in self.assumed:
            value = self.build.values[name]
            kind = "length" if name == "dimple.overclose" else value.kind
            said = value.text if math.isnan(value.si) else text_in(self.build.units, value.si, kind)
            low, high = (text_in(self.build.units, end, kind) for end in bands[name])
            ranges[name] = Assumption(said, low, high, range_in(self.build.units, *bands[name], kind))
        return ranges

    def in_words(self, name: str) -> str:
        """A result with two significant digits and its likely range, in the units of the build.

        It is said to be as drawn where it lies outside that range.

        Parameters
        ----------
        name : str

        Raises
        ------
        InputError
            For a name that is no result of a curve.
        """
        value, unit, units = self._value("in_words", name), RESULTS[name].unit, self.build.units
        if value is None:
            return f"none: {self.why(name)}"
        likely = "" if name not in self.likely.ranges else units.between(*self.likely.ranges[name], unit)
        number = units.two_digits(value, unit) + (" as drawn" if self.is_unlikely(name) else "")
        return f"{number} (likely {likely})" if " to " in likely else number

    def is_unlikely(self, name: str) -> bool:
        """Whether a result lies outside its likely range, in the digits that a report shows.

        Parameters
        ----------
        name : str

        Raises
        ------
        InputError
            For a name that is no result of a curve.
        """
        value, unit = self._value("is_unlikely", name), RESULTS[name].unit
        if value is None or name not in self.likely.ranges:
            return False
        low, high = self.likely.ranges[name]
        said, first, last = (self.build.units.two_digits(one, unit) for one in (value, low, high))
        return not low <= value <= high and first != last and said not in (first, last)

    def __repr__(self) -> str:
        flags = f", flags {' '.join(self.flags)}" if self.flags else ""
        return f"<Curve of {self.build.name!r}: breakout {self.in_words('breakout_force')}{flags}>"

    def _repr_html_(self) -> str:
        """Return a small table for a notebook."""
        rows = [(name, self.in_words(name)) for name in self.results]
        return notebook_table(self.build.name, [*rows, *((flag, FLAGS[flag]) for flag in self.flags)])


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
    columns, surplus = rows(response, build.si("attitude.close_from"))
    down = float(np.degrees(response.load.record.down_angle))
    shut = falls_shut(columns[0], surplus, float(start), down, float(np.degrees(response.results["hang_angle"])))
    return Curve(build, results, flags, build.assumed, columns, shut, numbers, response)
