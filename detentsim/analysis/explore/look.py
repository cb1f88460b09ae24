"""Results, curve and verdicts of a build at one setting of its knobs.

`session` asks for one at each turn of a knob.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from detentsim.analysis.explore.riding import greatest_force, path_of, riding
from detentsim.analysis.one_build.curve.band import forces
from detentsim.analysis.one_build.curve.picture import Picture, picture
from detentsim.analysis.one_build.curve.rows import opening_of
from detentsim.analysis.results import Results, in_unit, raised, single
from detentsim.analysis.share_inside import share_inside
from detentsim.knife.record.drawing import FEW
from detentsim.knife.record.fields import assemble
from detentsim.knife.record.record import plain
from detentsim.knife.target.verdict import Verdict, judge_known
from detentsim.mechanics.names import LIMIT_NAMES, MOTION_NAMES
from detentsim.mechanics.response import Response, respond

if TYPE_CHECKING:
    from detentsim.analysis.explore.riding import Riding
    from detentsim.analysis.hand_steps import Opening
    from detentsim.knife.model import Build
    from detentsim.mechanics.path.at_blade_angle import TorqueTable
    from detentsim.mechanics.record import Array

AT_ONCE = (
    "breakout_force",
    "drag_force",
    "draw_torque",
    "let_go_angle",
    "contact_angle",
    "seat_depth",
    "carry_g",
)
"""Results of every turn."""

AT_REST = ("opens_fully", "falls_shut")
"""Results that wait until the knob rests."""

_NEEDED = (*AT_ONCE, "breakout_force_angle", "breakout_torque")

QUICK = 32
"""Knives of a batch that are solved as soon as there is a moment; the rest wait until the knob rests."""

# Numbers of angles of the curve: up to the end of what is shown, and from there to lock-up.
NEAR, FAR = 161, 13

# Offset before a mark [deg].
SHORT = 1e-6


@dataclass(frozen=True, eq=False)
class Look:
    """Results, curve and verdicts of a build at one setting.

    Attributes
    ----------
    build : Build or None
        None where the sizes do not go together; `unfit` then says why, and the rest is empty.
    unfit : str
        Empty where they do.
    results : dict of str to float or None
        In the units of `detentsim.knife.outcomes.RESULTS`; truths as 1 and 0.
    flags : tuple of str
    angle, opening, closing : array, shape (n,)
        Blade angle [deg], the finger's push to open, and the pull shut, at the opener [N].
    picture : Picture or None
        Ball and dimple at rest.
    verdicts : tuple of Verdict
        Against the build's target, of the results known so far.
    idle : tuple of str
        Knobs that were turned without effect on this build, by name.
    dropped : tuple of str
        Inputs and tolerances of the starting build that this one cannot keep, by name.
    settled : bool
        Whether the costly results are there too.
    share : float or None
        Share of a batch that is inside the target, 0 to 1; None where nothing is wanted or nothing is uncertain.
    share_of : int
        Knives behind the share; 0 where it is not known yet.
    response : Response or None
        Of the kernel.
    """

    build: Build | None
    unfit: str
    results: Results = field(default_factory=dict)
    flags: tuple[str, ...] = ()
    angle: Array = field(default_factory=lambda: np.empty(0))
    opening: Array = field(default_factory=lambda: np.empty(0))
    closing: Array = field(default_factory=lambda: np.empty(0))
    picture: Picture | None = None
    verdicts: tuple[Verdict, ...] = ()
    idle: tuple[str, ...] = ()
    dropped: tuple[str, ...] = ()
    settled: bool = False
    share: float | None = None
    share_of: int = 0
    response: Response | None = None

    @cached_property
    def path(self) -> TorqueTable | None:
        """Path of the opening blade, from which a blade angle gives the ball's place."""
        return None if self.response is None else path_of(self.response)

    @cached_property
    def way(self) -> Opening | None:
        """Its opening, to measure how far it is from another; None without a build."""
        return None if self.response is None else opening_of(self.response)

    @cached_property
    def greatest_force(self) -> float:
        """Upper bound of the tang's force on the ball while it opens [N]; 0 without a build."""
        return 0.0 if self.response is None else greatest_force(self.response)

    def riding(self, angle: float) -> Riding | None:
        """Compute ball and forces at one blade angle in opening; None without a build.

        Parameters
        ----------
        angle : float
            Blade angle [deg]; below rest, or of a ball that locks, rest counts.
        """
        if self.response is None or self.picture is None or self.path is None:
            return None
        return riding(self.response, self.path, self.picture, angle)


def solve_look(build: Build, start: Look | None) -> Look:
    """Solve the results and the curve that are shown at every turn.

    Parameters
    ----------
    build : Build
    start : Look or None
        Setting from which wanted changes count; None for the starting build itself.

    Returns
    -------
    Look
        Not settled.
    """
    slow = {*LIMIT_NAMES, *MOTION_NAMES} - set(AT_ONCE)
    names = [target.name for target in build.target if target.name not in slow]
    response = respond(assemble(plain(build)), (*_NEEDED, *names))
    angle = _angles(response, float(np.degrees(build.si("blade.open_angle"))))
    opening, closing = forces(response, angle)
    flags = raised(response.flags)
    results = single(response.results)
    judged, drawing = _judged(build, results, start), picture(response)
    return Look(build, "", results, flags, angle, opening, closing, drawing, judged, response=response)


def with_costly_results(look: Look, start: Look | None) -> Look:
    """Add the costly results to a look.

    Parameters
    ----------
    look : Look
    start : Look or None
        Setting from which wanted changes count; None for the starting build itself.

    Returns
    -------
    Look
        The same object where it is settled already or has no build.
    """
    if look.settled or look.build is None:
        return look
    slow = [target.name for target in look.build.target if target.name not in look.results]
    results = look.results | single(respond(assemble(plain(look.build)), (*AT_REST, *slow)).results)
    return replace(look, results=results, verdicts=_judged(look.build, results, start), settled=True)


def _with_share(look: Look, start: Look | None, count: int = FEW) -> Look:
    """Add the share of a batch that is inside the target."""
    if look.share_of >= count or look.build is None:
        return look
    base = look.results if start is None else start.results
    return replace(look, share=share_inside(look.build, look.build.target, base, count), share_of=count)


def with_next_results(look: Look, start: Look) -> Look:
    """Add the next missing piece: a quick share, then the costly results, then the share of a whole batch.

    Parameters
    ----------
    look : Look
    start : Look
        Setting from which wanted changes count.

    Returns
    -------
    Look
        The same object where nothing is left.
    """
    if look.settled or look.share_of >= QUICK:
        return _with_share(look, start) if look.settled else with_costly_results(look, start)
    return _with_share(look, start, QUICK)


def _judged(build: Build, results: Results, start: Look | None) -> tuple[Verdict, ...]:
    """Verdicts on the known results; wanted changes count from the start."""
    base = results if start is None else start.results
    return judge_known(build, results, base)


def _angles(response: Response, end: float) -> Array:
    """Blade angles of the curve, dense up to twice the let-go, with breakout and let-go among them [deg]."""
    rest = float(np.degrees(response.rest.angle))
    marks = [in_unit(n, response.results[n]) for n in ("breakout_force_angle", "let_go_angle")]
    known = [float(mark) for mark in marks if np.isfinite(mark)]
    near = min(2 * max([*known, rest, 2.0]), end)
    # a mark may be where the ball snaps: the force just short of it belongs to the curve too
    marked = [*known, *(mark - SHORT for mark in known)]
    angle = np.concatenate([np.linspace(rest, near, NEAR), np.linspace(near, end, FAR)[1:], marked])
    return np.unique(angle[angle >= rest])
