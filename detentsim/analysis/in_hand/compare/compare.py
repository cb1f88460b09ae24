"""Compares feel curves of builds and measured knives: differences of the results and distances in hand-steps.

`feel_curves` brings both kinds into one form, `hand_steps` holds the measure; figures and reports draw `Comparison`.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from html import escape
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from detentsim.analysis.hand_steps import Distance, distance, steps_between
from detentsim.analysis.in_hand.compare.differences import CLEAR, Difference, difference
from detentsim.analysis.in_hand.compare.feel_curves import FeelCurve, feel_of_build, feel_of_measured
from detentsim.analysis.in_hand.compare.quantities import UNITS
from detentsim.knife.measured.measured import Measured
from detentsim.knife.model import Build
from detentsim.knife.target.target import FELT, Target
from detentsim.knife.target.verdict import Verdict, judge
from detentsim.units.errors import InputError
from detentsim.units.numbers import two_digits
from detentsim.units.systems import METRIC, UnitSystem
from detentsim.units.wording import shorten, shown

if TYPE_CHECKING:
    from collections.abc import Sequence

    from detentsim.mechanics.record import Array, Record


MOST = 8
"""Items that a comparison takes."""

NEAR_STEP, FAR_STEP = 0.05, 1.0
"""Spacing of the common angles out of the dimple and past it [deg]."""


@dataclass(frozen=True, eq=False, repr=False)
class Comparison:
    """Feel curves side by side.

    Attributes
    ----------
    items : tuple of FeelCurve
        In the order given; differences are counted from the first.
    target : FeelCurve or None
        The wanted feel.
    shown_in : UnitSystem or None
        Units to show it in; None for those of the first build, or metric where there is none.
    """

    items: tuple[FeelCurve, ...]
    target: FeelCurve | None = None
    shown_in: UnitSystem | None = None

    @property
    def units(self) -> UnitSystem:
        """Units of report and figure."""
        builds = (feel.curve.build for feel in (*self.items, self.target) if feel is not None and feel.curve)
        return self.shown_in or next((build.units for build in builds), METRIC)

    @property
    def first(self) -> FeelCurve:
        """Item that the others are compared with."""
        return self.items[0]

    @cached_property
    def angle(self) -> Array:
        """Common angles, fine out of the dimple and coarse past it [deg]."""
        feels = [feel for feel in (*self.items, self.target) if feel is not None and feel.angle.size]
        if not feels:
            return np.zeros(0)
        low, high = min(feel.angle[0] for feel in feels), max(feel.angle[-1] for feel in feels)
        last = max((feel.values["let_go_angle"] or 0.0 for feel in feels), default=0.0)
        near = min(max(2 * last, 1.0), high)
        marks = [feel.values[name] for feel in feels for name in ("breakout_force_angle", "let_go_angle")]
        marks += [float(feel.angle[0]) for feel in feels]
        known = [mark for mark in marks if mark is not None and low <= mark <= high]
        fine, coarse = np.arange(low, near, NEAR_STEP), np.arange(near, high, FAR_STEP)
        return np.unique(np.round(np.concatenate([fine, coarse, [high], known]), 9))

    @cached_property
    def forces(self) -> Array:
        """Force of each item at the common angles, NaN where it has none; shape (items, angles) [N]."""
        return np.stack([feel.at(self.angle) for feel in self.items])

    @cached_property
    def distances(self) -> tuple[Distance, ...]:
        """Distance of each item to the first."""
        return tuple(distance(self.first.opening, feel.opening) for feel in self.items)

    @cached_property
    def to_target(self) -> tuple[Distance, ...]:
        """Distance of each item to the target curve; empty without one."""
        if self.target is None:
            return ()
        return tuple(distance(self.target.opening, feel.opening) for feel in self.items)

    @property
    def reference(self) -> FeelCurve:
        """Item that `steps` are counted from: the target where there is one, else the first item."""
        return self.first if self.target is None else self.target

    @cached_property
    def steps(self) -> Array:
        """Hand-steps from the reference to each item over the angles that count, NaN elsewhere; as `forces`."""
        spans = self.distances if self.target is None else self.to_target
        base = self.reference.at(self.angle)
        rows = [
            np.where((self.angle >= d.start) & (self.angle <= d.end), steps_between(base, force), np.nan)
            for d, force in zip(spans, self.forces, strict=True)
        ]
        return np.stack(rows)

    @cached_property
    def step_band(self) -> tuple[Array, Array, Array]:
        """Angle of the target curve, and the forces one hand-step below and above it [deg], [N]."""
        feel = self.reference
        return feel.angle, feel.force / (1 + FELT), feel.force * (1 + FELT)

    @cached_property
    def differences(self) -> tuple[dict[str, Difference], ...]:
        """Differences of each item to the first, by result; those that both have."""
        return tuple({name: d for name in UNITS if (d := difference(self.first, i, name))} for i in self.items)

    @cached_property
    def breakout_steps(self) -> tuple[float | None, ...]:
        """Hand-steps from the first item's breakout force to each one's; positive is heavier."""
        own = self.first.values["breakout_force"]
        forces = (feel.values["breakout_force"] for feel in self.items)
        return tuple(None if own is None or f is None else float(steps_between(own, f)) for f in forces)

    @property
    def bands(self) -> tuple[Target, ...]:
        """Bands of the first build that has a target; a change is counted from that build."""
        return () if self._holder is None or self._holder.curve is None else self._holder.curve.build.target

    @cached_property
    def _holder(self) -> FeelCurve | None:
        return next((f for f in self.items if f.curve is not None and f.curve.build.target), None)

    @cached_property
    def verdicts(self) -> tuple[tuple[Verdict, ...], ...]:
        """Verdicts on `bands` for each item, of the results that it has."""
        return tuple(_judged(self.bands, feel, self._holder, self.units) for feel in self.items)

    @cached_property
    def contradictions(self) -> tuple[str, ...]:
        """Sentences on bands that the target curve itself breaks."""
        if self.target is None or self._holder is None:
            return ()
        open_by = {"breakout_force": CLEAR * self.target.unsure + self.target.missed}
        judged = _judged(self.bands, self.target, self._holder, self.units)
        missed = [v for v in judged if v.met is False and abs(v.short_by or 0.0) >= open_by.get(v.name, 0.0)]
        name = self._holder.name
        return tuple(f"The target curve breaks {name}'s own [target]: {v.text}. Meet one or the other." for v in missed)

    def _repr_html_(self) -> str:
        """Return a small table for a notebook."""
        heads = "".join(f"<th>{escape(feel.name)}</th>" for feel in self.items)
        rows = [
            (f"{name} [{unit}]", ["-" if (v := feel.values[name]) is None else two_digits(v) for feel in self.items])
            for name, unit in UNITS.items()
        ]
        rows.append(
            ("hand-steps from the first", ["-" if d.steps is None else f"{d.steps:.1f}" for d in self.distances])
        )
        cells = "".join(f"<tr><th>{r}</th>{''.join(f'<td>{one}</td>' for one in row)}</tr>" for r, row in rows)
        return f"<table><tr><th></th>{heads}</tr>{cells}</table>"

    def __repr__(self) -> str:
        others = ", ".join(
            f"{feel.name!r} {'no distance' if d.steps is None else f'{d.steps:.1f} steps'}"
            for feel, d in list(zip(self.items, self.distances, strict=True))[1:]
        )
        return f"<Comparison with {self.first.name!r}: {others or 'nothing else'}>"


def _judged(bands: Sequence[Target], feel: FeelCurve, base: FeelCurve | None, units: UnitSystem) -> tuple[Verdict, ...]:
    """Verdicts on the results that an item has."""
    results: dict[str, float | bool | None] = dict(feel.values) if feel.curve is None else dict(feel.curve.results)
    if feel.curve is not None and feel.curve.falls_shut is not None:
        results["falls_shut"] = feel.curve.falls_shut.falls
    start = {} if base is None or base is feel or base.curve is None else dict(base.curve.results)
    known = [band for band in bands if results.get(band.name) is not None]
    return judge([band for band in known if band.change is None or start], results, start, units)


def compare(
    *items: Build | Measured,
    target: Build | Measured | None = None,
    names: Sequence[str] | None = None,
    shown_in: UnitSystem | None = None,
) -> Comparison:
    """Set feel curves side by side.

    Parameters
    ----------
    *items : Build or Measured
        Two at least, or one beside a target. Differences are counted from the first. The first build's opener gives
        the lever for the work of measured curves.
    target : Build or Measured, optional
        The wanted feel.
    names : sequence of str, optional
        Names of the items.
    shown_in : UnitSystem, optional
        Units of report, figure and notes, such as ``build.units``; by default those of the first build, or
        metric where there is none.

    Returns
    -------
    Comparison

    Raises
    ------
    InputError
        Where there are too few or too many items, or one is neither.
    BuildError
        Where a build lacks a section.

    Examples
    --------
    >>> from detentsim.knife.packaged import demo
    >>> c = compare(demo(), demo().change({"bar.bend": "1.4 mm"}), names=["now", "bent out"])
    >>> print(f"{c.differences[1]['breakout_force'].change:.1f} N, {c.distances[1].steps:.0f} steps")
    -5.1 N, 5 steps
    """
    _check(items, target, names, shown_in)
    called = _names(items) if names is None else [shorten(name, 80) for name in names]
    built = {i: feel_of_build(one, called[i]) for i, one in enumerate(items) if isinstance(one, Build)}
    wanted = feel_of_build(target, "target") if isinstance(target, Build) else None
    curves = (feel.curve for feel in (*built.values(), wanted) if feel is not None)
    record = next((one.response.load.record for one in curves if one is not None), None)
    opener = _opener(record, [*items, target])
    units = shown_in or next((one.units for one in (*items, target) if isinstance(one, Build)), METRIC)
    feels = tuple(
        built[i] if isinstance(one, Build) else feel_of_measured(one, called[i], record, opener, units)
        for i, one in enumerate(items)
    )
    if isinstance(target, Measured):
        wanted = feel_of_measured(target, "target", record, opener, units)
    return Comparison(feels, wanted, shown_in)


def _opener(record: Record | None, items: Sequence[object]) -> float | None:
    """Distance from the pivot that forces are compared at [m]: the first build's opener, else the first gauge's."""
    if record is not None:
        return float(record.opener_radius)
    runs = (run for item in items if isinstance(item, Measured) for run in item.runs)
    return next((run.radius for run in runs if not np.isnan(run.radius)), None)


def _check(items: Sequence[object], target: object, names: Sequence[str] | None, shown_in: object) -> None:
    """Raise where the items cannot be compared."""
    for field, one in [*(("compare", one) for one in items), *([("target", target)] if target is not None else [])]:
        if not isinstance(one, Build | Measured):
            text = f"{shown(one)} is no build and no measured curve; read one with ds.Build.read or ds.Measured.read"
            raise InputError(field, one, text)
    if len(items) < (2 if target is None else 1):
        least = "two items at least" if target is None else "one item at least beside a target"
        raise InputError("compare", len(items), f"needs {least}, such as a build and a measured curve")
    if len(items) > MOST:
        raise InputError("compare", len(items), f"has {len(items)} items; give {MOST} at most")
    if not isinstance(shown_in, UnitSystem | None):
        text = f"{shown(shown_in)} is no system of units; give one such as build.units"
        raise InputError("shown_in", shown_in, text)
    if names is not None and (isinstance(names, str) or len(names) != len(items)):
        raise InputError("names", names, f"must name each of the {len(items)} items, such as names=['now', 'bent']")


def _names(items: Sequence[Build | Measured]) -> list[str]:
    """Names of the items; equal ones get the file name or a number."""
    names = [shorten(one.name, 80) for one in items]
    files = [Path(one.source).stem for one in items]
    apart = {name for name in names if len({file for file, n in zip(files, names, strict=True) if n == name}) > 1}
    told = [f"{n} ({file})" if n in apart and file else n for n, file in zip(names, files, strict=True)]
    return [f"{name} {told[:i].count(name) + 1}" if name in told[:i] else name for i, name in enumerate(told)]
