"""One build fresh and worn in: edge radii after use, and the results with them.

Asks the kernel for all stages at once; ``edges`` gives the radii. ``allowance`` says what to do about it.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from detentsim.analysis.missing import why_missing
from detentsim.analysis.one_build.curve.rows import rows
from detentsim.analysis.one_build.summary import Summary, summary
from detentsim.analysis.one_build.wear.allowance import OILED, direction, felt, fresh_wanted, moved, what_to_do
from detentsim.analysis.one_build.wear.edges import SETTLES, EdgeWear, read_edges
from detentsim.analysis.one_build.wear.passes import UPPER
from detentsim.analysis.one_build.wear.stages import (
    CHANGED,
    Edge,
    Stage,
    radii_after,
    solved_with,
    stage_radii,
    with_radii,
)
from detentsim.analysis.one_build.wear.worn_records import worn_already
from detentsim.analysis.results import in_unit, raised
from detentsim.knife.model import Build, need_build
from detentsim.knife.outcomes import FLAGS, RESULTS
from detentsim.knife.record.fields import assemble
from detentsim.knife.record.record import plain
from detentsim.knife.table.schema import suggestion
from detentsim.knife.table.summary import notebook_table
from detentsim.mechanics.contact.coining.wearing import WEAR
from detentsim.mechanics.names import NO_PUSH
from detentsim.mechanics.response import respond
from detentsim.units.errors import InputError
from detentsim.units.whole import whole_number
from detentsim.units.wording import shown

if TYPE_CHECKING:
    from detentsim.knife.record.inputs import Plain
    from detentsim.mechanics.record import Array
    from detentsim.mechanics.response import Response

SHOWN = ("breakout_force", "draw_torque", "seat_depth", "rest_angle", "let_go_angle", "drag_force")
"""Results that are set side by side."""

MOST = 1_000_000
"""Most openings that are asked for."""

MM, MPA = 1e-3, 1e6


@dataclass(frozen=True, eq=False, repr=False)
class WornIn:
    """One build fresh and worn in.

    Attributes
    ----------
    build : Build
    openings : int
    untold : str or None
        Why no wear-in is told; None where it is.
    edges : tuple of Edge
        Those that carry the ball on its way out.
    stages : tuple of Stage
        Fresh, after the first openings, worn in, then after the openings, oiled and dry, least and most; fresh alone
        where no wear-in is told.
    """

    build: Build
    openings: int
    untold: str | None
    edges: tuple[Edge, ...]
    stages: tuple[Stage, ...]
    numbers: Plain
    wear: tuple[EdgeWear, ...]

    def __getitem__(self, name: str) -> Stage:
        """Return a stage by its name.

        Raises
        ------
        InputError
            Where there is no such stage.
        """
        for stage in self.stages:
            if stage.name == name:
                return stage
        names = ", ".join(f'"{stage.name}"' for stage in self.stages)
        raise InputError("stage", name, f'{shown(name)} is no stage of use; give "worn in", or another of {names}')

    def change(self, name: str, stage: str) -> float | None:
        """Change of a result from fresh to a stage, over its fresh value [-]; None where either is missing or 0.

        Parameters
        ----------
        name, stage : str

        Raises
        ------
        InputError
            Where there is no such stage, or no such result of it.
        """
        if name not in SHOWN:
            hint = suggestion(str(name), SHOWN) or f"; there are {', '.join(SHOWN)}"
            raise InputError("change", name, f"{shown(name)} is no result of a stage{hint}")
        before, after = self["fresh"].results[name], self[stage].results[name]
        return None if not before or after is None else after / before - 1

    @cached_property
    def summary(self) -> Summary:
        """Verdict on the build as it is, fresh."""
        return summary(self.build)

    @property
    def moves(self) -> tuple[float, float] | None:
        """Least and greatest change of breakout that is likely, oiled [-]; None where there is no breakout."""
        if self.untold is not None:
            return None
        changes = [self.change("breakout_force", name) for name in OILED]
        told = [one for one in changes if one is not None]
        return (min(told), max(told)) if len(told) == len(changes) else None

    @property
    def direction(self) -> str:
        """Which way breakout goes: ``heavier``, ``lighter``, ``either``, ``hardly``; ``lost`` or ``untold``."""
        return direction(self.moves) if self.untold is None else "untold"

    @property
    def fresh_wanted(self) -> tuple[float, float] | None:
        """Least and greatest fresh breakout that is inside the build's target worn in [N]; None without one."""
        return fresh_wanted(self)

    @cached_property
    def polished(self) -> WornIn | None:
        """The build with the dimple's edge rounded beforehand as far as it wears in.

        None where no hand feels the wear-in, or where that would not halve it.
        """
        if self.moves is None or not felt(self.moves) or all(edge.name != UPPER for edge in self.edges):
            return None
        settled = with_radii(self.numbers, _radii(self["worn in"]))[CHANGED[0]]
        edge = f"{float(settled) / MM:.3f} mm"  # as it is told
        other = worn_in(self.build.change({CHANGED[0]: edge}), self.openings)
        most = max(map(abs, self.moves))
        return other if other.moves is not None and max(map(abs, other.moves)) <= most / 2 else None

    @property
    def moved(self) -> str:
        """What wearing in is likely to do to breakout, in one sentence."""
        if self.untold is not None:
            return f"No wear-in computed: {self.untold}."
        if self.moves is None:
            lost = {flag for stage in self.stages for flag in stage.flags if flag in NO_PUSH}
            return f"Worn in, it may have no breakout: {' '.join(FLAGS[flag] for flag in sorted(lost))}"
        return moved(self)

    @property
    def advice(self) -> str:
        """What wearing in does and what to do about it, in one to four sentences."""
        return self.moved if self.moves is None else f"{self.moved} {what_to_do(self)}"

    @cached_property
    def curves(self) -> dict[str, Array]:
        """Columns of the feel curve, as `Curve.columns`, fresh and worn in."""
        start = self.build.si("attitude.close_from")
        told = [stage for stage in self.stages if stage.name in ("fresh", "worn in")]
        return {stage.name: rows(solved_with(self.numbers, _radii(stage)), start)[0] for stage in told}

    @cached_property
    def history(self) -> dict[str, Array]:
        """Breakout force by openings [N]: ``openings`` (n,), and of ``oiled`` and ``dry`` the least and most, (2, n).

        Empty where no wear-in is told. From one opening on; the edges settle within the first hundred.
        """
        if self.untold is not None:
            return {}
        count = np.unique(np.round(np.geomspace(1, max(self.openings, SETTLES), 17)))
        own = _radii(self.stages[0])
        radii = np.array([[radii_after(self.wear, own, count, k) for k in pair] for pair in WEAR.values()])
        found = solved_with(self.numbers, radii)
        return {"openings": count} | dict(zip(WEAR, found.results["breakout_force"], strict=True))

    def build_at(self, stage: str) -> Build:
        """Build with the edges of a stage, all else as it is.

        A radius tells no more than how round an edge is: that use has given it the ball's shape across the path, which
        spreads the load, is no part of the build.

        Parameters
        ----------
        stage : str
        """
        radii = with_radii(self.numbers, _radii(self[stage]))
        worn: dict[str, object] = {name: f"{float(radii[name]) / MM!r} mm" for name in CHANGED}
        if self.build["dimple.loose_ball_height"] is not None:  # of the fresh dimple: its feed stays
            feed = float(np.asarray(self.numbers["dimple.rim_feed"])) / MM
            worn |= {"dimple.loose_ball_height": None, "dimple.rim_feed": f"{feed!r} mm"}
        return self.build.change(worn)

    def __repr__(self) -> str:
        return f"<WornIn of {self.build.name!r}: {self.advice}>"

    def _repr_html_(self) -> str:
        """Return a small table for a notebook: results at each stage of use."""
        told = [(stage.name, *(self._told(*result) for result in stage.results.items())) for stage in self.stages]
        return notebook_table(f"{self.build.name}: {self.advice}", [("", *SHOWN), *told])

    def _told(self, name: str, value: float | None) -> str:
        return "-" if value is None else self.build.units.two_digits(value, RESULTS[name].unit)


def worn_in(build: Build, openings: int = 10_000) -> WornIn:
    """Compute the results of a build fresh, after its first openings, worn in, and after many openings.

    Parameters
    ----------
    build : Build
        With the sections bar, ball, dimple, tang and opener.
    openings : int
        Openings and closings after which wear is told, 1 to 1,000,000.

    Returns
    -------
    WornIn

    Raises
    ------
    BuildError
        Where a section is missing.
    InputError
        Where it is no build, or the openings are no whole number within their range.

    Examples
    --------
    >>> from detentsim.knife.packaged import demo
    >>> worn = worn_in(demo())
    >>> [stage.name for stage in worn.stages][:3]
    ['fresh', 'first openings', 'worn in']
    """
    numbers = plain(need_build(build))
    count = whole_number("openings", openings, (1, MOST), 10_000)
    fresh = respond(assemble(numbers))
    flags = raised(fresh.flags)
    dead = any(flag in flags for flag in NO_PUSH)
    edges = () if dead or worn_already(build) else read_edges(fresh)
    none = worn_already(build) or "no edge of the dimple carries the ball"
    untold = why_missing("breakout_force", flags) if dead else None if edges else none
    own = np.array([fresh.load.record.edge_radius, fresh.load.record.inner_edge_radius], float)
    radii = {"fresh": own} if untold else stage_radii(edges, own, count)
    found = solved_with(numbers, np.stack(list(radii.values())))
    stages = tuple(_stage(name, radii[name], found, i) for i, name in enumerate(radii))
    return WornIn(build, count, untold, tuple(map(_told, edges)), stages, numbers, edges)


def _radii(stage: Stage) -> Array:
    return np.array([stage.edge_radius, stage.inner_edge_radius]) * MM


def _stage(name: str, radii: Array, found: Response, i: int) -> Stage:
    values = {shown: float(in_unit(shown, found.results[shown][i])) for shown in SHOWN}
    results = {shown: value if np.isfinite(value) else None for shown, value in values.items()}
    flags = raised({flag: hit[i] for flag, hit in found.flags.items()})
    return Stage(name, float(radii[0]) / MM, float(radii[1]) / MM, results, flags)


def _told(edge: EdgeWear) -> Edge:
    lengths = (edge.fresh / MM, edge.coined / MM, edge.settled / MM)
    pressure = edge.pressure / MPA if np.isfinite(edge.pressure) else None
    return Edge(edge.name, float(np.degrees(edge.wedge)), *lengths, pressure, *(part / MPA for part in edge.borne))
