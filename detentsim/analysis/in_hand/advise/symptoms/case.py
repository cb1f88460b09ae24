"""A symptom as a result, and a build with the results from which its symptoms are read."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from detentsim.analysis.one_build.motion.opening import launch_threshold
from detentsim.analysis.results import Results, single
from detentsim.knife.model import Build, need_build
from detentsim.knife.record.fields import assemble
from detentsim.knife.record.record import plain
from detentsim.knife.target.target import FELT, Target, ends
from detentsim.knife.target.words import wanted_words
from detentsim.mechanics.names import ALL_NAMES
from detentsim.mechanics.path import at_blade_angle
from detentsim.mechanics.response import Response, respond

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from detentsim.analysis.in_hand.advise.aims import Aim
    from detentsim.mechanics.record import Array, Record

# Torque that draws a quiet blade onto its stop [N*mm].
QUIET = 5.0

# Breakout over drag under which a blade feels dragged rather than held.
LIVELY = 4.0

# A dip between two crests of the feel that a hand notices, over the lower crest; half a tenth.
CLICK = FELT / 2

# An angle that an eye sees on a closed blade, the step toward an angle of nothing [deg].
SEEN = 0.1

# What handling rounds off an edge in its first weeks [m].
WORN = 0.02e-3


@dataclass(frozen=True)
class Symptom:
    """One symptom of one build.

    Attributes
    ----------
    name : str
    present : bool
        False too where the build does not tell.
    says : callable
        Gives `words`; some take more to work out than whether the symptom is there.
    aims : tuple of Aim
        Aims that end the symptom; empty where no result measures it.
    known : bool
        Whether the build tells if it is present; where not, the sentence names what is needed.
    """

    name: str
    present: bool
    says: Callable[[], str] = field(repr=False, compare=False)
    aims: tuple[Aim, ...]
    known: bool = True

    @cached_property
    def words(self) -> str:
        """One sentence with this build's numbers."""
        return self.says()


class Case:
    """Build with the results that its symptoms are read from."""

    def __init__(self, build: Build) -> None:
        self.numbers = plain(need_build(build))
        self.target = build.target
        self.units = build.units
        self.response: Response = respond(assemble(self.numbers), ALL_NAMES)
        self.record: Record = self.response.load.record
        self.results: Results = single(self.response.results)

    def value(self, name: str) -> float:
        """A result in its unit, NaN where there is none; truths as 0 and 1.

        Parameters
        ----------
        name : str
        """
        value = self.results[name]
        return math.nan if value is None else value

    def wanted(self, name: str) -> tuple[float, float]:
        """Band that the build's target gives a result, in its unit; infinite where it is open.

        Parameters
        ----------
        name : str
        """
        low, high = -math.inf, math.inf
        for target in self.target:
            if target.name == name and target.truth is None:
                least, most = ends(target, self.value(name))
                low, high = (low if least is None else least), (high if most is None else most)
        return (low, high) if low <= high else (-math.inf, math.inf)

    def said(self, value: float, unit: str) -> str:
        """A number with its unit, as the build's units have it.

        Parameters
        ----------
        value : float
            In `unit`.
        unit : str
        """
        return self.units.two_digits(value, unit)

    def force(self, value: float | None) -> str:
        """A force in the build's units; `none` where there is none.

        Parameters
        ----------
        value : float or None
            [N].
        """
        return "none" if value is None or math.isnan(value) else self.said(value, "N")

    def size(self, millimetres: float) -> str:
        """A length as the bench sets it: to hundredths of a millimetre, or tenths of a thou.

        Parameters
        ----------
        millimetres : float
            [mm].
        """
        return f"{millimetres:.2f} mm" if self.units.length == "mm" else self.units.size(millimetres)

    def typed(self, name: str) -> str:
        """The build's target on a result, as typed; a wanted change as the band that meets it.

        Parameters
        ----------
        name : str
        """
        low, high = self.wanted(name)
        band = Target(name, low if low > -math.inf else None, high if high < math.inf else None)
        own = next((target for target in self.target if target.name == name and target.change is None), band)
        return wanted_words(own, self.units)

    def flag(self, name: str) -> bool:
        """Whether a flag is raised.

        Parameters
        ----------
        name : str
        """
        return bool(self.response.flags[name])

    def with_record(self, **fields: float) -> Results:
        """Static results with some fields of the record changed."""
        changed = self.record._replace(**{name: np.asarray(value) for name, value in fields.items()})
        return single(respond(changed).results)

    def with_numbers(self, numbers: Mapping[str, float]) -> Results:
        """Static results with some plain numbers changed.

        Parameters
        ----------
        numbers : mapping of str to float
            By dotted name [SI].
        """
        return single(respond(assemble(self.numbers | dict(numbers))).results)

    @cached_property
    def crests(self) -> tuple[tuple[float, float], ...]:
        """Crests of the opening torque that a hand tells apart: blade angle [deg] and torque [N*mm]."""
        return crests_of(self.response)

    @cached_property
    def launch(self) -> float | None:
        """Lightest breakout that flies open [N]; None where none does, or the blade's inertia is unknown."""
        known = np.isfinite(self.record.blade_inertia) and np.isfinite(self.value("breakout_force"))
        return launch_threshold(self.record) if known else None


def crests_of(response: Response) -> tuple[tuple[float, float], ...]:
    """Crests of one design's opening torque that a hand tells apart: blade angle [deg] and torque [N*mm].

    Parameters
    ----------
    response : Response
        With breakout's torque, and the angle of its force.
    """
    if not np.isfinite(response.results["breakout_torque"]):
        return ()
    rest = response.rest
    table = at_blade_angle.opening_table(response.load, rest.phi, rest.slip)
    single = (rest.slip, response.results["breakout_force_angle"])
    angle = np.union1d(at_blade_angle.angles(table), np.array(single))
    angle = angle[np.isfinite(angle) & (angle >= rest.angle)]
    torque = at_blade_angle.torque_at(table, angle, opening=True, above=False).torque * 1e3
    torque[torque < 1e-9 * np.max(torque)] = 0  # rounding
    return told_apart(np.degrees(angle), torque)


def told_apart(angle: Array, torque: Array) -> tuple[tuple[float, float], ...]:
    """Peaks of a curve between which it dips by more than `CLICK` of the lower one, each at the middle of its top.

    Their prominence over their height, as `scipy.signal.find_peaks` has it, which takes as long to load as advice takes
    to compute.

    >>> told_apart(np.arange(5.0), np.array([0.0, 3.0, 2.0, 4.0, 0.0]))
    ((1.0, 3.0), (3.0, 4.0))
    >>> told_apart(np.arange(5.0), np.array([0.0, 3.0, 2.9, 4.0, 0.0]))
    ((3.0, 4.0),)
    """
    padded = np.concatenate([[0.0], torque, [0.0]])
    begins = np.flatnonzero(np.diff(padded, prepend=np.nan) != 0)  # of runs of one value
    level = padded[begins]
    crests = 1 + np.flatnonzero((level[1:-1] > level[:-2]) & (level[1:-1] > level[2:]))
    middles = (begins[crests] + begins[crests + 1] - 1) // 2
    return tuple(
        (float(angle[at - 1]), float(level[i]))
        for i, at in zip(crests, middles, strict=True)
        if level[i] - max(_base(level[i::-1]), _base(level[i:])) > CLICK * level[i]
    )


def _base(side: Array) -> float:
    """Least of a curve from a crest, its first value, to where it is higher than the crest, or to its end."""
    higher = np.flatnonzero(side > side[0])
    return float(np.min(side[: higher[0]] if higher.size else side))
