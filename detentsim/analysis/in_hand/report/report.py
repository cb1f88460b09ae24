"""Report on one build: the answers of every command, each computed once."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from detentsim.analysis.in_hand.report.sources import Sourced, sources
from detentsim.analysis.one_build.curve.curve import Curve, curve
from detentsim.analysis.one_build.layout.layout import Layout
from detentsim.analysis.one_build.motion.motion import Motion, motion
from detentsim.analysis.one_build.wear.worn_in import WornIn, worn_in
from detentsim.knife.model import Build, need_build

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

    from detentsim.analysis.in_hand.advise.proposals import Advice
    from detentsim.analysis.in_hand.fit.fitted import Fit
    from detentsim.analysis.many_builds.batch.findings import Findings
    from detentsim.analysis.one_build.limits.limits import Limits
    from detentsim.analysis.one_build.summary import Summary
    from detentsim.knife.measured.readings import Readings


@dataclass(frozen=True, eq=False, repr=False)
class Report:
    """Everything that one page on a knife tells.

    Attributes
    ----------
    build : Build
    curve : Curve
        Feel, likely ranges, bench steps, limits and verdict.
    motion : Motion or None
        None without a section ``[blade]``.
    layout : Layout or None
        None without a section ``[layout]``, or where its drawing cannot be read.
    wear : WornIn
        Fresh and worn in.
    advice : Advice or None
        For the knife on the bench where there are readings; None without a target, or without the bench's part.
    batch : Findings or None
        None without the bench's part.
    fit : Fit or None
        None without readings.
    sources : tuple of Sourced
        Where the values used come from.
    """

    build: Build
    curve: Curve
    motion: Motion | None
    layout: Layout | None
    wear: WornIn
    advice: Advice | None
    batch: Findings | None
    fit: Fit | None
    sources: tuple[Sourced, ...]

    @property
    def limits(self) -> Limits:
        """Limits of the build."""
        return self.curve.bounds

    @property
    def summary(self) -> Summary:
        """Verdict on the build."""
        return self.curve.summary

    def __repr__(self) -> str:
        return f"<Report on {self.build.name}: {self.summary.words}>"


def report(
    build: Build,
    readings: Readings | Mapping[str, object] | str | Path | None = None,
    count: int | None = None,
    seed: int = 0,
    bench: bool = True,
) -> Report:
    """Answer every question about a build.

    Parameters
    ----------
    build : Build
        With the sections of a curve; ``[blade]``, ``[target]`` and ``[layout]`` add their parts.
    readings : mapping, path or Readings, optional
        Readings of one knife made to it, as for `detentsim.fit`.
    count : int, optional
        Knives to draw for the batch; as many as tell the share to within 0.01 where left out.
    seed : int
        Start of the random draws.
    bench : bool
        Whether to ask what the bench asks: what to change, what a batch comes to, what holds it.

    Returns
    -------
    Report

    Raises
    ------
    BuildError
        Where a section is missing.
    InputError
        Where the readings cannot be read, or the count is wrong.
    """
    c = curve(need_build(build))
    fitted = None if readings is None else _fit(build, readings, seed)
    return Report(
        build,
        c,
        motion(build) if build.has("blade") else None,
        c.layout,
        worn_in(build),
        _advice(build, fitted) if bench and build.target else None,
        _batch(build, count, seed) if bench else None,
        fitted,
        sources(build),
    )


def _fit(build: Build, readings: Readings | Mapping[str, object] | str | Path, seed: int) -> Fit:
    from detentsim.analysis.in_hand.fit.fit import fit

    return fit(build, readings, seed)


def _advice(build: Build, fitted: Fit | None) -> Advice:
    from detentsim.analysis.in_hand.advise.advise import advise

    return advise(build if fitted is None else fitted)


def _batch(build: Build, count: int | None, seed: int) -> Findings:
    from detentsim.analysis.many_builds.batch.batch import batch
    from detentsim.analysis.many_builds.batch.findings import findings, results_of

    return findings(batch(build, count, seed, of=results_of(build)))
