"""Limits of a build: how much of its strength each part uses (bar, tang, ball and clip)."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any

import numpy as np

from detentsim.analysis.missing import why_missing
from detentsim.analysis.one_build.limits.along_bar import Side, read_side
from detentsim.analysis.one_build.limits.behind_bar import BehindBar, read_stop
from detentsim.analysis.one_build.limits.bending import Bending, read_bending
from detentsim.analysis.one_build.limits.clip import ClipLoad, clip_spring, read_clip
from detentsim.analysis.one_build.limits.contact import FlatContact, PressFit, read_contact, read_press_fit
from detentsim.analysis.one_build.limits.fatigue import Fatigue, read_fatigue
from detentsim.analysis.one_build.limits.margins import Limit, margins
from detentsim.analysis.one_build.limits.service import Service, read_service
from detentsim.analysis.results import Named, Results, number, raised, single
from detentsim.knife.model import Build, need_build
from detentsim.knife.outcomes import FLAGS
from detentsim.knife.record.fields import assemble
from detentsim.knife.record.record import plain
from detentsim.knife.table.summary import notebook_table
from detentsim.knife.target.verdict import judge_known
from detentsim.mechanics.bar import bending
from detentsim.mechanics.names import LIMIT_NAMES, RESULT_NAMES
from detentsim.mechanics.response import Response, respond
from detentsim.shop.materials import find_material
from detentsim.units.convert import to_si
from detentsim.units.errors import InputError
from detentsim.units.quantities import quantity
from detentsim.units.wording import shown

if TYPE_CHECKING:
    from collections.abc import Iterable

    from detentsim.knife.record.inputs import Plain
    from detentsim.knife.target.verdict import Verdict


@dataclass(frozen=True, eq=False, repr=False)
class Limits(Named):
    """Limits of one build. Results are attributes: quantities, or None where there is none.

    Attributes
    ----------
    build : Build
    results : dict of str to float or None
        By result name, in the unit of `detentsim.knife.outcomes.RESULTS`.
    flags : tuple of str
        Names of the build's warnings and remarks.
    limits : tuple of Limit
        Each limit with what is asked, what is borne and one sentence.
    bending : Bending
        How the bend comes in.
    service : Service
        Loads on the bar by unlocking and a hard push.
    fatigue : Fatigue or None
        None where the bar's material has no published endurance.
    contact : FlatContact
        The ball on the flat.
    hold : PressFit
        The ball in its hole.
    clip : ClipLoad or None
        None where there is no clip.
    """

    build: Build
    results: Results
    flags: tuple[str, ...]
    limits: tuple[Limit, ...]
    bending: Bending
    service: Service
    fatigue: Fatigue | None
    contact: FlatContact
    hold: PressFit
    clip: ClipLoad | None
    response: Response

    @property
    def within(self) -> bool:
        """Whether no limit is passed; an unknown one counts as kept."""
        return all(limit.holds is not False for limit in self.limits)

    @property
    def passed(self) -> tuple[Limit, ...]:
        """Limits that are passed."""
        return tuple(limit for limit in self.limits if limit.holds is False)

    @property
    def unknown(self) -> tuple[Limit, ...]:
        """Limits of which nobody can tell whether they hold."""
        return tuple(limit for limit in self.limits if limit.holds is None)

    @property
    def first(self) -> Limit | None:
        """Limit with the highest use; None where none has a number."""
        known = [limit for limit in self.limits if limit.use is not None]
        return max(known, key=lambda limit: limit.use or 0.0, default=None)

    @cached_property
    def side(self) -> Side:
        """Section, moment and stress along the bar, for drawing."""
        unlock = (self.service.unlock or 0.0) / 1e3
        return read_side(self.response.load.record, unlock, self.service.stop)

    @cached_property
    def verdicts(self) -> tuple[Verdict, ...]:
        """Verdicts on the build's targets for limit results."""
        return judge_known(self.build, dict(self.results))

    def bend_from_push(self, travel: object) -> Any:
        """Bend left after the tip of the flat bar is pushed by a given amount and released.

        Parameters
        ----------
        travel : str or quantity
            From flat, such as ``"12 mm"``.

        Returns
        -------
        quantity
            [mm]; independent of the bar's own bend. What the tip travels after the root has folded stays in full.

        Raises
        ------
        InputError
            For what is no length, or a negative one.
        """
        pushed = to_si(travel, "length", "push", "12 mm")
        if pushed < 0:
            text = f'{shown(travel)} is outward; give how far inward from flat, such as "12 mm"'
            raise InputError("push", travel, text)
        left = bending.bend_from_push(self.response.load.record, pushed)
        return quantity(float(left) * 1e3, "mm")

    def _why(self, name: str) -> str:
        if name in ("push_for_bend", "springback") and self.bending.push is None:
            return _NO_PUSH[self.bending.way]
        return why_missing(name, self.flags)

    def __repr__(self) -> str:
        state = "within all limits" if self.within else "past " + " and ".join(limit.full_name for limit in self.passed)
        return f"<Limits of {self.build.name!r}: {state}>"

    def _repr_html_(self) -> str:
        """Return a small table for a notebook."""
        rows = [(f"{limit.part} {limit.called}", _STATES[limit.holds], limit.words) for limit in self.limits]
        return notebook_table(self.build.name, [*rows, *((flag, "", FLAGS[flag]) for flag in self.flags)])


_NO_PUSH = {
    "flat": "the bar is flat",
    "edge": "the bar is bent over an edge",
    "push": "the root folds before it takes that bend",
    "along": "no curve leaves that bend",
}


_STATES = {True: "holds", False: "exceeded", None: "not known"}


def limits(build: Build, beside: Iterable[str] = ()) -> Limits:
    """Compute how near each part of a build is to its limit.

    Parameters
    ----------
    build : Build
        With the sections bar, ball, dimple, tang and opener; `overtravel` and `clip` where the knife has them.
    beside : iterable of str
        Other results that its response is to hold.

    Returns
    -------
    Limits

    Raises
    ------
    BuildError
        Where a section is missing.
    InputError
        Where it is no build at all.

    Examples
    --------
    >>> from detentsim.knife.packaged import demo
    >>> bar = limits(demo())
    >>> bar.within, bar.first.part
    (True, 'bar')
    """
    numbers = plain(need_build(build))
    response = respond(assemble(numbers), (*RESULT_NAMES, *LIMIT_NAMES, *beside))
    record = response.load.record
    results = {name: value for name, value in single(response.results).items() if name in LIMIT_NAMES}
    flags = raised(response.flags)
    metal = find_material(build.word("bar.material"), "bar", "bar.material")
    ball = find_material(build.word("ball.material"), "ball", "ball.material")
    stop = _stop(build, numbers, response)
    clip = _clip(build, numbers, stop)
    bending, service = read_bending(record, metal), read_service(response, stop)
    fatigue = read_fatigue(record, results["lockup_force"] or 0.0, metal)
    contact, hold = read_contact(response.load, ball), read_press_fit(build, numbers, response.load)
    all_limits = margins(record, results, bending, service, fatigue, contact, hold, clip, build.units)
    return Limits(build, results, flags, all_limits, bending, service, fatigue, contact, hold, clip, response)


def _stop(build: Build, numbers: Plain, response: Response) -> BehindBar | None:
    """Stop or clip behind the bar under over-travel; None where there is neither."""
    record = response.load.record
    if build["overtravel.gap"] is not None:
        stiffness = number(numbers, "overtravel.stiffness")
        give = 0.0 if np.isnan(stiffness) else 1 / stiffness
        return read_stop(numbers, record, "stop", give, 0.0, judged=True)
    if build["clip.gap"] is not None:
        stiff, rest = clip_spring(build, numbers)
        return read_stop(numbers, record, "clip", 1 / stiff, rest, judged=build.values["overtravel.push"].given)
    return None


def _clip(build: Build, numbers: Plain, stop: BehindBar | None) -> ClipLoad | None:
    if not build.has("clip"):
        return None
    reaction = stop.reaction if stop is not None and stop.kind == "clip" else 0.0
    return read_clip(build, numbers, reaction)
