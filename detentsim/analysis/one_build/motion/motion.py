"""Motion of one build: opening by the finger, falling shut under its weight, staying shut when carried."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from detentsim.analysis.missing import why_missing
from detentsim.analysis.one_build.motion.all_round import Span, all_round
from detentsim.analysis.one_build.motion.falling import Hang, by_attitude
from detentsim.analysis.one_build.motion.holding import Holding, MetBurr, holding, met_burr
from detentsim.analysis.one_build.motion.opening import Budget, Opening, budget, opening
from detentsim.analysis.one_build.motion.staying import Staying, staying
from detentsim.analysis.one_build.sizes import too_little_inertia
from detentsim.analysis.one_build.summary import Summary, summary
from detentsim.analysis.results import Named, in_unit, raised, told
from detentsim.knife.checks.problems import BuildError, Problem
from detentsim.knife.model import Build, need_build
from detentsim.knife.outcomes import FLAGS, RESULTS
from detentsim.knife.record.fields import assemble
from detentsim.knife.record.record import plain
from detentsim.knife.table.summary import notebook_table
from detentsim.knife.target.verdict import Verdict, judge_known
from detentsim.mechanics.motion.pivot import GRAVITY
from detentsim.mechanics.names import MOTION_NAMES, RESULT_NAMES
from detentsim.mechanics.response import Response, respond

if TYPE_CHECKING:
    from detentsim.mechanics.record import Record


@dataclass(frozen=True, eq=False, repr=False)
class Motion(Named):
    """Motion of one build. Results are attributes: quantities, truths, or None where there is none.

    Attributes
    ----------
    build : Build
    results : dict of str to float, bool or None
        By result name, in the unit of `detentsim.knife.outcomes.RESULTS`.
    flags : tuple of str
        Names of the flags that apply.
    opening : Opening
        How it is thrown open.
    attitudes : tuple of Hang
        How it falls, the build's own attitude first; empty where the blade's weight is unknown.
    staying : Staying
        Retention of the closed blade.
    """

    build: Build
    results: dict[str, float | bool | None]
    flags: tuple[str, ...]
    opening: Opening
    attitudes: tuple[Hang, ...]
    staying: Staying
    response: Response

    @cached_property
    def budget(self) -> Budget | None:
        """Energy budget over blade angle, for drawing; None where no opening is solved."""
        return budget(self.response.load.record)

    @cached_property
    def all_round(self) -> tuple[Span, ...]:
        """What the let-go blade does with the handle turned every way; empty where its weight is unknown."""
        return all_round(self.response.load.record)

    @cached_property
    def holding(self) -> Holding | None:
        """Torques on the blade where it hangs; None where it falls shut or its weight is unknown."""
        hangs = self.results["hang_angle"]
        return holding(self.response, None if hangs is None else float(hangs))

    @cached_property
    def burr(self) -> MetBurr | None:
        """Burr that the closing ball climbs; None without one."""
        return met_burr(self.response)

    @cached_property
    def verdicts(self) -> tuple[Verdict, ...]:
        """Verdicts on the build's targets for motion results."""
        return judge_known(self.build, self.results)

    @cached_property
    def summary(self) -> Summary:
        """Verdict on the build in four checks: warnings, limits, target, staying shut."""
        return summary(self.build)

    def _why(self, name: str) -> str:
        if name in ("stall_angle", "wrist_energy") and self.results["opens_fully"]:
            return "opens fully"
        if name in ("arrival_speed", "arrival_energy") and self.results["opens_fully"] is False:
            return "stalls before lock-up"
        if name == "hang_angle" and self.results["falls_shut"]:
            return "falls shut"
        if name == "closing_spare" and self.results["falls_shut"]:
            return "it is let go at its stop"
        return why_missing(name, self.flags)

    def __repr__(self) -> str:
        opens = {True: "opens fully", False: self.opening.stall, None: "opening unknown"}[self._truth("opens_fully")]
        falls = {True: "falls shut", False: "does not fall shut", None: "falling unknown"}[self._truth("falls_shut")]
        return f"<Motion of {self.build.name!r}: {opens}, {falls}>"

    def _truth(self, name: str) -> bool | None:
        value = self.results[name]
        return None if value is None else bool(value)

    def _repr_html_(self) -> str:
        """Return a small table for a notebook."""
        rows = [(name, self._cell(name)) for name in self.results]
        return notebook_table(self.build.name, [*rows, *((flag, FLAGS[flag]) for flag in self.flags)])

    def _cell(self, name: str) -> str:
        value = self.results[name]
        if value is None:
            return f"none: {self.why(name)}"
        return ("yes" if value else "no") if isinstance(value, bool) else f"{value:.3g} {RESULTS[name].unit}".rstrip()


def motion(build: Build) -> Motion:
    """Compute the motion of a build.

    Parameters
    ----------
    build : Build
        With the sections bar, ball, dimple, tang, opener and blade; the blade with mass, balance and inertia, or a
        shape or a pendulum's period in their place.

    Returns
    -------
    Motion

    Raises
    ------
    BuildError
        Where a section is missing, or the blade's inertia, or no body has so little.
    InputError
        Where it is no build at all.

    Examples
    --------
    >>> from detentsim.knife.packaged import demo
    >>> m = motion(demo())
    >>> m.opens_fully, m.falls_shut
    (True, True)
    """
    need_build(build).require("blade")
    record = assemble(plain(build))
    _need_inertia(build, record)
    response = respond(record, (*RESULT_NAMES, *MOTION_NAMES))
    flags = raised(response.flags)
    results = {name: told(name, in_unit(name, response.results[name])) for name in MOTION_NAMES}
    falls, held = by_attitude(response.load.record), staying(response, results["carry_g"])
    return Motion(build, results, flags, opening(response, results), falls, held, response)


def _need_inertia(build: Build, record: Record) -> None:
    """Raise where the blade's inertia is missing or impossible for a rigid body."""
    if too_little_inertia(record):
        least = record.blade_mass * record.balance_radius**2
        timed = build["blade.inertia"] is None
        name = "blade.pendulum_period" if timed else "blade.inertia"
        body = f"{build.word('blade.mass')} balancing {build.word('blade.balance_radius')} from the pivot"
        example = (
            f"{2 * np.pi * np.sqrt(record.balance_radius / GRAVITY):.3g} s" if timed else f"{least * 1e6:.3g} kg*mm**2"
        )
        text = f"{build.word(name)} is too little for {body}; no such body turns with less than {example}"
        raise BuildError([Problem(build.source, None, name, text)])
    if np.isfinite(record.blade_inertia):
        return
    lacking = [name for name in ("mass", "balance_radius") if not np.isfinite(getattr(record, _FIELDS[name]))]
    if build["blade.pendulum_period"] is not None and lacking:
        text = f"needs blade.{lacking[0]} beside it; write {_WRITE[lacking[0]]}"
        raise BuildError([Problem(build.source, None, "blade.pendulum_period", text)])
    text = (
        'is missing (the blade\'s moment of inertia about the pivot); write inertia = "40 kg*mm**2", or '
        'pendulum_period = "0.42 s" beside mass and balance_radius, or length, root_width, tip_width and thickness'
    )
    raise BuildError([Problem(build.source, None, "blade.inertia", text)])


_FIELDS = {"mass": "blade_mass", "balance_radius": "balance_radius"}

_WRITE = {"mass": 'mass = "24 gram"', "balance_radius": 'balance_radius = "34 mm"'}
