"""Exploring session: a build with knobs, solved at each turn and compared with its start.

A turn is answered at once, with what costs little. What takes longer waits until the knob rests, and comes piece by
piece: does it fly open, the slower targets, the share of a whole batch, where each knob meets the target.
"""

from __future__ import annotations

import math
from dataclasses import replace
from operator import index
from types import MappingProxyType
from typing import TYPE_CHECKING

from detentsim.analysis.explore.changes import changed_build, changes, no_rim
from detentsim.analysis.explore.files import BuildFiles
from detentsim.analysis.explore.knobs import Knob, knobs
from detentsim.analysis.explore.look import Look, solve_look, with_costly_results, with_next_results
from detentsim.analysis.explore.meeting import meeting_stops
from detentsim.analysis.one_build.summary import Summary, summary
from detentsim.knife.model import Build, need_build
from detentsim.knife.record.record import plain
from detentsim.units.errors import InputError
from detentsim.units.wording import shown

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

    from detentsim.analysis.explore.riding import Riding
    from detentsim.analysis.explore.stops import KnobStop


class Session:
    """A build with its knobs, their settings, and undo.

    Parameters
    ----------
    build : Build
        With the sections bar, ball, dimple, tang and opener.

    Attributes
    ----------
    knobs : tuple of Knob
    start, now : Look
    numbers : dict
        Plain numbers of the starting build [SI].
    files : BuildFiles
        Under which builds are saved.
    angle : float
        Where the blade stands [deg]; 0 closed.

    Raises
    ------
    BuildError
        Where a section is missing.
    InputError
        Where it is no build at all.

    Examples
    --------
    >>> from detentsim.knife.packaged import demo
    >>> session = Session(demo())
    >>> session.turn("bar.bend", 0).flags
    ('hangs_loose',)
    >>> session.undo() is session.start
    True
    """

    def __init__(self, build: Build) -> None:
        self.first = need_build(build)
        self.numbers = plain(self.first)
        self.knobs = knobs(self.first, self.numbers)
        self._places = {knob.name: knob.start for knob in self.knobs}
        self._past: list[dict[str, int]] = []
        self._turning = ""  # the knob that is being turned: all of it is undone at once
        self._met: dict[str, tuple[bool, ...]] = {}
        self.files, self.angle = BuildFiles(self.first), 0.0
        self.start = self.now = with_costly_results(solve_look(self.first, None), None)

    @property
    def places(self) -> Mapping[str, int]:
        """Which stop each knob stands at, by name."""
        return MappingProxyType(self._places)

    @property
    def met(self) -> Mapping[str, tuple[bool, ...]]:
        """Which stops of each knob are inside the target, by name; a knob not yet looked at, or no target: absent."""
        return MappingProxyType(self._met)

    @property
    def riding(self) -> Riding | None:
        """Ball and forces where the blade stands; None where the sizes do not make a knife."""
        return self.now.riding(self.angle)

    @property
    def summary(self) -> Summary | None:
        """Verdict on the present setting, limits among it; None where the sizes do not make a knife."""
        return None if self.now.build is None else summary(self.now.build)

    @property
    def turned(self) -> dict[str, tuple[str, str]]:
        """Knobs away from their start, by name: starting and present setting."""
        return {name: (self.knob(name).stops[self.knob(name).start].text, stop.text) for name, stop in self._away()}

    @property
    def build(self) -> Build:
        """The build as turned.

        Raises
        ------
        InputError
            Where the sizes do not make a knife.
        """
        if self.now.build is None:
            raise InputError(
                "explore", None, f"no knife can have these sizes: {self.now.unfit}; turn back the last knob"
            )
        return self.now.build

    def knob(self, name: str) -> Knob:
        """One knob.

        Parameters
        ----------
        name : str
            Dotted name of its input.

        Raises
        ------
        InputError
            Where there is no such knob.
        """
        match = next((knob for knob in self.knobs if knob.name == name), None)
        if match is None:
            names = ", ".join(knob.name for knob in self.knobs)
            raise InputError("knob", name, f"{shown(name)} is none of this build's knobs; they are {names}")
        return match

    def turn(self, name: str, stop: int) -> Look:
        """Put one knob to a stop; beyond an end it stays at that end.

        Parameters
        ----------
        name : str
            Dotted name of its input.
        stop : int
            Which of its stops, from 0.

        Returns
        -------
        Look
            Results of the build at this setting.

        Raises
        ------
        InputError
            For another knob, or a stop that is no whole number.
        """
        last = len(self.knob(name).stops) - 1
        try:
            place = min(max(index(stop), 0), last)
        except TypeError:
            text = f"{shown(stop)} is no stop; give a whole number from 0 to {last}, such as {last // 2}"
            raise InputError("stop", stop, text) from None
        if place == self._places[name]:
            return self.now
        if name != self._turning:
            self._past.append(dict(self._places))
        self._turning = name
        self._places[name] = place
        kept = {name: self._met[name]} if name in self._met else {}  # where a knob stands does not move its own marks
        return self._turned(kept)

    def swing(self, angle: float) -> Riding | None:
        """Put the blade to an angle.

        Parameters
        ----------
        angle : float
            [deg]; beyond closed or lock-up it stays there.

        Returns
        -------
        Riding or None
            As `riding`.

        Raises
        ------
        InputError
            Where it is no number.
        """
        end = math.degrees(self.first.si("blade.open_angle"))
        if not math.isfinite(angle):
            text = f"{shown(angle)} is no blade angle; give degrees from 0 to {end:.4g}, such as 3"
            raise InputError("angle", angle, text)
        self.angle = min(max(float(angle), 0.0), end)
        return self.riding

    def undo(self) -> Look:
        """Take back the last knob's turn, or the last way back to the start."""
        self._turning = ""
        if self._past:
            self._places = self._past.pop()
        return self._turned()

    def to_start(self) -> Look:
        """Put every knob back to where the build started; it can be undone."""
        self._turning = ""
        if self.turned:
            self._past.append(dict(self._places))
            self._places = {knob.name: knob.start for knob in self.knobs}
        return self._turned()

    def settle(self) -> Look:
        """Solve the costly results too, and the share of a whole batch."""
        while self._refine_look():
            pass
        return self.now

    def refine(self) -> bool:
        """Solve the next piece of the costly work; false where nothing was left.

        A quick share of the batch inside comes first, then the costly results, then the share of a whole batch, then
        the stops of each knob that are inside.
        """
        return self._refine_look() or self._look_along()

    def rest(self) -> None:
        """Solve all of the costly work."""
        while self.refine():
            pass

    def _refine_look(self) -> bool:
        """Add a piece to the present results, or to the start's; false where nothing was left."""
        for look in (self.now, self.start):
            more = with_next_results(look, self.start)
            if more is not look:
                self.start, self.now = (more if one is look else one for one in (self.start, self.now))
                return True
        return False

    def _look_along(self) -> bool:
        """Look at the next knob's stops for those inside the target; false where none is left."""
        left = [knob for knob in self.knobs if knob.name not in self._met] if self.first.target else []
        for knob in left[:1]:
            away = dict(self._away())
            self._met[knob.name] = meeting_stops(self.first, self.numbers, knob, away, self.start.results)
        return bool(left)

    def save(self, path: str | Path) -> Path:
        """Write the build file as turned, with everything else in it as it was.

        Parameters
        ----------
        path : str or Path
            File; an existing one is replaced only if this session saved it and it has not changed since.

        Returns
        -------
        Path

        Raises
        ------
        InputError
            Where the sizes do not go together, the name is taken or empty, or the file cannot be written.
        """
        return self.files.save(self.build, path)

    def _in_short(self, error: InputError) -> str:
        """Error message in the knobs' terms, without the file name."""
        text = "; ".join(line.strip(" :") for line in str(error).splitlines())
        for knob in self.knobs:
            text = text.replace(f"{knob.name}: ", f"{knob.label} ").replace(knob.name, knob.label)
        return text

    def _away(self) -> list[tuple[str, KnobStop]]:
        """Knobs away from their start, with their present stops."""
        away = (knob for knob in self.knobs if self._places[knob.name] != knob.start)
        return [(knob.name, knob.stops[self._places[knob.name]]) for knob in away]

    def _turned(self, met: dict[str, tuple[bool, ...]] | None = None) -> Look:
        self.now, self._met = self._look(), met or {}
        return self.now

    def _look(self) -> Look:
        away = dict(self._away())
        if not away:
            return self.start
        changed = changes(self.first, self.numbers, away)
        try:
            build, loose = changed_build(self.first, changed)
            look = solve_look(build, self.start)
        except InputError as error:
            return Look(None, self._in_short(error))
        gone = [name for name, new in changed.items() if new is None and self.first[name] is not None]
        dropped = (*gone, *(f"tolerance.{name}" for name in loose))
        idle = ("dimple.rim_feed",) if "dimple.rim_feed" in away and no_rim(self.first, changed) else ()
        return replace(look, dropped=dropped, idle=idle)
