"""Motion of one build: opening by the finger, falling shut under its weight, staying shut when carried."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from html import escape
from typing import TYPE_CHECKING

import numpy as np

from detentsim.analysis.one_build.motion.falling import Hang, by_attitude, pulls_shut, returns_to
from detentsim.analysis.one_build.motion.holding import Holding, holding
from detentsim.analysis.one_build.motion.opening import Budget, Speed, budget, by_speed, launch_threshold
from detentsim.analysis.one_build.summary import Summary, summary
from detentsim.analysis.results import Named, Results, in_unit, raised, single, why_missing
from detentsim.knife.checks.problems import BuildError, Problem
from detentsim.knife.model import Build, need_build
from detentsim.knife.outcomes import FLAGS, RESULTS
from detentsim.knife.record.fields import assemble
from detentsim.knife.record.record import plain
from detentsim.knife.target.verdict import Verdict, judge_known
from detentsim.mechanics.motion import panels, pivot
from detentsim.mechanics.motion.in_motion import with_friction
from detentsim.mechanics.motion.pivot import GRAVITY
from detentsim.mechanics.names import MOTION_NAMES, RESULT_NAMES
from detentsim.mechanics.response import Response, respond

if TYPE_CHECKING:
    from detentsim.mechanics.record import Record

TRUTHS = tuple(name for name in MOTION_NAMES if RESULTS[name].is_truth)


@dataclass(frozen=True)
class Opening:
    """Opening of the blade; forces in N, angles in deg, energies in mJ, None where unknown or not applicable.

    Attributes
    ----------
    stall : str
        Empty where it opens fully; else ``no breakout``, ``finger too weak``, ``finger leaves first``, ``finger stuck``
        or ``coasted out``.
    after : str
        Rest of a stalled blade: ``stays``, ``hangs`` lower, or falls ``shut``; empty where it opens.
    after_at : float or None
        Where it then hangs.
    finger : float or None
        Push of the finger: its effort times what overcomes detent, pivot and weight.
    leaves : float
        Where the finger loses the blade.
    speeds : tuple of Speed
        The verdict over a band of finger speeds, since published data disagree.
    launch : float or None
        Lightest breakout that would still throw this blade fully open.
    """

    stall: str
    after: str
    after_at: float | None
    finger: float | None
    leaves: float
    speeds: tuple[Speed, ...]
    launch: float | None


@dataclass(frozen=True)
class Staying:
    """Retention of the closed blade; torques in N*mm, lengths in mm, None where the blade's mass is unknown.

    Attributes
    ----------
    torque : float or None
        On the blade, that opens it in the worst attitude.
    carry_g, carry_g_slick : float or None
        Own weights it is held against, and the same with half the friction.
    drop : float or None
        Fall of the knife whose dead stop swings the blade out, by an estimate on the safe side.
    pull : float or None
        Greatest torque of the ball alone that pulls the closed blade shut, friction against it.
    biased : bool or None
        Whether, with friction left out, the ball pulls the blade shut all the way from rest to let-go.
    """

    torque: float | None
    carry_g: float | None
    carry_g_slick: float | None
    drop: float | None
    pull: float | None
    biased: bool | None


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
    def holding(self) -> Holding | None:
        """Torques on the blade where it hangs; None where it falls shut or its weight is unknown."""
        hangs = self.results["hang_angle"]
        return holding(self.response, None if hangs is None else float(hangs))

    @cached_property
    def verdicts(self) -> tuple[Verdict, ...]:
        """Verdicts on the build's targets for motion results."""
        return judge_known(self.build, self.results)

    @cached_property
    def summary(self) -> Summary:
        """Verdict on the build in four checks: warnings, limits, target, staying shut."""
        return summary(self.build)

    def why(self, name: str) -> str:
        """Why a result has no value, in plain words."""
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
        rows = "".join(f"<tr><th>{name}</th><td>{escape(self._cell(name))}</td></tr>" for name in self.results)
        flags = "".join(f"<tr><th>{flag}</th><td>{FLAGS[flag]}</td></tr>" for flag in self.flags)
        return f"<table><caption>{escape(self.build.name)}</caption>{rows}{flags}</table>"

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
    values = single({name: response.results[name] for name in MOTION_NAMES})
    results = {name: _read(name, value) for name, value in values.items()}
    whole = response.load.record
    opening = _opening(whole, response, results)
    staying = _staying(whole, response, values)
    return Motion(build, results, flags, opening, by_attitude(whole), staying, response)


def _need_inertia(build: Build, record: Record) -> None:
    """Raise where the blade's inertia is missing or impossible for a rigid body."""
    least = record.blade_mass * record.balance_radius**2
    if record.blade_inertia < least:
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


def _read(name: str, value: float | None) -> float | bool | None:
    return bool(value) if value is not None and name in TRUTHS else value


def _opening(record: Record, response: Response, results: dict[str, float | bool | None]) -> Opening:
    force, angle = float(response.results["breakout_force"]), float(response.results["breakout_force_angle"])
    leaves = float(np.degrees(min(float(panels.finger_leaves(record)), float(record.open_angle))))
    if not (np.isfinite(force) and np.isfinite(angle)):
        return Opening("no breakout", "", None, None, leaves, (), None)
    weight = float(np.nan_to_num(pivot.gravity_torque(record, angle)) / pivot.lever(record, angle))
    finger = float(record.finger_effort) * max(force - weight, 0.0)
    stall, after, at = "", "", None
    if not results["opens_fully"]:
        stopped = float(results["stall_angle"] or 0.0)
        stall = _stall(float(np.degrees(angle)), stopped, leaves)
        after, at = returns_to(record, stopped)
    return Opening(stall, after, at, finger, leaves, by_speed(record), launch_threshold(record))


def _stall(start: float, stopped: float, leaves: float) -> str:
    """Cause of a stall at blade angle `stopped` [deg], in words."""
    if leaves <= start:
        return "finger leaves first"
    if stopped <= start + 1e-6:
        return "finger too weak"
    return "finger stuck" if stopped <= leaves else "coasted out"


def _staying(record: Record, response: Response, values: Results) -> Staying:
    carry = values["carry_g"]
    out = np.isfinite(float(response.results["let_go_angle"]))
    pull, biased = pulls_shut(response) if out else (None, None)
    if carry is None:
        return Staying(None, None, None, None, pull, biased)
    weight = float(record.blade_mass * record.balance_radius) * GRAVITY
    slick = respond(with_friction(record, 0.5), ("carry_g",)).results["carry_g"]
    held = float(in_unit("breakout_torque", (carry - 1) * weight))
    drop = _drop(record, response) if out else None
    return Staying(held, carry, float(slick) if np.isfinite(slick) else None, drop, pull, biased)


def _drop(record: Record, response: Response) -> float:
    """Drop height of the knife [mm] at which a dead stop of the handle swings the blade out of the dimple.

    The handle stops at once while the blade, its balance square to the fall, swings on freely about the pivot: it takes
    `m r_c v` of angular momentum along, and the work to let-go uses its energy up.
    """
    results = response.results
    riding = results["riding_force"]
    way = results["let_go_angle"] - results["rest_angle"]
    work = float(results["breakout_energy"] + (results["drag_torque"] + pivot.pivot_torque(record, riding)) * way)
    lever = float(record.blade_mass * record.balance_radius)
    return work * float(record.blade_inertia) / (lever**2 * GRAVITY) / 1e-3
