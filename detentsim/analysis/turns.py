"""A build under its knobs: what a turn of one does to the feel, held against where it started.

A turn is answered at once, with what costs little; what takes longer (does it fly open, the slower targets) waits until
the knob rests.
"""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from itertools import count
from operator import index
from pathlib import Path
from types import MappingProxyType

import numpy as np
import numpy.typing as npt

from detentsim.build.files import read_text
from detentsim.build.model import Build, need_build
from detentsim.build.outcomes import RESULTS
from detentsim.build.problems import BuildError
from detentsim.build.record import assemble, plain
from detentsim.build.target import Verdict, judge
from detentsim.mechanics.motion import MOTION_NAMES
from detentsim.mechanics.response import Response, respond
from detentsim.mechanics.strength import LIMIT_NAMES
from detentsim.shop.units import InputError
from detentsim.shop.wording import shown

from .band import forces
from .compare import FLOOR, hand_steps, steps_between
from .knobs import Knob, changes, knobs, no_rim
from .numbers import Results, in_unit, single
from .picture import Picture, picture

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
FELT_BY_HAND = ("breakout_force", "drag_force", "draw_torque")
"""Results that a hand feels as a force."""
_NEEDED = (*AT_ONCE, "breakout_force_angle")
# Angles of the curve: so many to the end of what is shown, and so many on to lock-up.
NEAR, FAR = 161, 13
# How far short of a mark [deg].
SHORT = 1e-6

Values = npt.NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Look:
    """What a build under its knobs does.

    Attributes
    ----------
    build : Build or None
        None where the sizes do not make a knife; `unfit` then says why, and the rest is empty.
    unfit : str
    results : dict of str to float or None
        In their units; truths as 1 and 0.
    flags : tuple of str
    angle, opening, closing : array, shape (n,)
        Blade angle [deg], the finger's push to open, and the pull shut, at the opener [N].
    picture : Picture or None
        Ball and dimple at rest.
    verdicts : tuple of Verdict
        Against the build's target, of the results known so far.
    idle : tuple of str
        Knobs that were turned and do nothing here, by name.
    dropped : tuple of str
        Inputs and tolerances of the start that have no place in this build, by name.
    settled : bool
        Whether what takes longer is known too.
    """

    build: Build | None
    unfit: str
    results: Results = field(default_factory=dict)
    flags: tuple[str, ...] = ()
    angle: Values = field(default_factory=lambda: np.empty(0))
    opening: Values = field(default_factory=lambda: np.empty(0))
    closing: Values = field(default_factory=lambda: np.empty(0))
    picture: Picture | None = None
    verdicts: tuple[Verdict, ...] = ()
    idle: tuple[str, ...] = ()
    dropped: tuple[str, ...] = ()
    settled: bool = False


class Turns:
    """A build with its knobs, where each stands, and the way back.

    Parameters
    ----------
    build : Build
        With the sections bar, ball, dimple, tang and opener.

    Attributes
    ----------
    knobs : tuple of Knob
    start, now : Look

    Raises
    ------
    BuildError
        Where a section is missing.
    InputError
        Where it is no build at all.

    Examples
    --------
    >>> from detentsim.build.model import demo
    >>> turns = Turns(demo())
    >>> turns.turn("bar.bend", 0).flags
    ('hangs_loose',)
    >>> turns.undo() is turns.start
    True
    """

    def __init__(self, build: Build) -> None:
        self.first = need_build(build)
        self._numbers = plain(self.first)
        self.knobs = knobs(self.first, self._numbers)
        self._places = {knob.name: knob.start for knob in self.knobs}
        self._past: list[dict[str, int]] = []
        self._turning = ""  # the knob that is being turned: all of it is undone at once
        self._saved: dict[Path, str] = {}
        self.start = self.now = _settled(_solved(self.first, None), None)

    @property
    def places(self) -> Mapping[str, int]:
        """Which stop each knob stands at, by name."""
        return MappingProxyType(self._places)

    @property
    def turned(self) -> dict[str, tuple[str, str]]:
        """Knobs away from their start, by name: what they stood at and what they stand at."""
        away = (knob for knob in self.knobs if self._places[knob.name] != knob.start)
        return {knob.name: (knob.stops[knob.start].text, knob.stops[self._places[knob.name]].text) for knob in away}

    @property
    def build(self) -> Build:
        """The build as turned.

        Raises
        ------
        InputError
            Where the sizes do not make a knife.
        """
        if self.now.build is None:
            raise InputError("explore", None, f"these sizes make no knife: {self.now.unfit}")
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
        found = next((knob for knob in self.knobs if knob.name == name), None)
        if found is None:
            names = ", ".join(knob.name for knob in self.knobs)
            raise InputError("knob", name, f"{shown(name)} is none of this build's knobs; they are {names}")
        return found

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
            What the build does there.

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
        return self._turned()

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
        """Find what takes longer too."""
        self.now = _settled(self.now, self.start)
        return self.now

    def save(self, path: str | Path) -> Path:
        """Write the build file as turned, with everything else in it as it was.

        Parameters
        ----------
        path : str or Path
            Where to; only what was saved from these knobs is written over.

        Returns
        -------
        Path

        Raises
        ------
        InputError
            Where the sizes make no knife, the name is taken or none, or it cannot be written.
        """
        written = self.build.save(self.check_name(path))
        self._saved[Path(os.path.realpath(written))] = read_text(written)
        return written

    def check_name(self, path: str | Path) -> Path:
        """A name that the build may be saved under.

        Parameters
        ----------
        path : str or Path

        Returns
        -------
        Path

        Raises
        ------
        InputError
            Where it names no file, lies in no folder, or is there already and is not as it was saved from these knobs.
        """
        named = Path(os.path.expanduser(str(path).strip()))  # a home that nobody has stays as typed
        if not str(path).strip():
            raise InputError("file", str(path), f"names no file; give one, such as {self.free_name().name}")
        if os.path.lexists(named) and not self._own(named):
            text = f"{shown(str(path), 80)} is there already; give another name, such as {self.free_name().name}"
            raise InputError("file", str(path), text)
        if not named.parent.is_dir():
            text = (
                f"{shown(str(path), 80)} lies in no folder that there is; give a name such as {self.free_name().name}"
            )
            raise InputError("file", str(path), text)
        return named

    def _own(self, path: Path) -> bool:
        """Whether a file is as it was saved from these knobs."""
        saved = self._saved.get(Path(os.path.realpath(path)))
        try:
            return saved is not None and read_text(path) == saved
        except InputError:
            return False

    def free_name(self) -> Path:
        """A name beside the build's own file that is not taken."""
        own = self.first.path or Path("demo.toml" if self.first.demo else "build.toml")
        tries = (own.with_name(f"{own.stem}-turned{'' if i == 1 else f'-{i}'}.toml") for i in count(1))
        return next(name for name in tries if not os.path.lexists(name))

    def _in_short(self, error: InputError) -> str:
        """What is wrong, in the knobs' own words and without the file it would stand in."""
        text = "; ".join(line.strip(" :") for line in str(error).splitlines())
        for knob in self.knobs:
            text = text.replace(f"{knob.name}: ", f"{knob.label} ").replace(knob.name, knob.label)
        return text

    def _turned(self) -> Look:
        self.now = self._look()
        return self.now

    def _look(self) -> Look:
        away = {k.name: k.stops[self._places[k.name]] for k in self.knobs if self._places[k.name] != k.start}
        if not away:
            return self.start
        changed = changes(self.first, self._numbers, away)
        try:
            build, loose = _changed(self.first, changed)
            found = _solved(build, self.start)
        except InputError as error:
            return Look(None, self._in_short(error))
        gone = [name for name, new in changed.items() if new is None and self.first[name] is not None]
        dropped = (*gone, *(f"tolerance.{name}" for name in loose))
        idle = ("dimple.rim_feed",) if "dimple.rim_feed" in away and no_rim(self.first, changed) else ()
        return replace(found, dropped=dropped, idle=idle)


def _changed(build: Build, changed: Mapping[str, object]) -> tuple[Build, tuple[str, ...]]:
    """A changed build, and which tolerances had to go: they fit what the maker gave, and a knob goes elsewhere."""
    try:
        return build.change(changed), ()
    except BuildError as error:
        loose = tuple(p.key.removeprefix("tolerance.") for p in error.problems if p.key.startswith("tolerance."))
        if len(loose) < len(error.problems):
            raise
    return build.without_tolerance(*loose).change(changed), loose


def _solved(build: Build, start: Look | None) -> Look:
    """What a build does, as far as it costs little."""
    slow = {*LIMIT_NAMES, *MOTION_NAMES} - set(AT_ONCE)
    names = [target.name for target in build.target if target.name not in slow]
    response = respond(assemble(plain(build)), (*_NEEDED, *names))
    angle = _angles(response, float(np.degrees(build.si("blade.open_angle"))))
    opening, closing = forces(response, angle)
    flags = tuple(name for name, raised in response.flags.items() if bool(raised))
    results = single(response.results)
    judged = _judged(build, results, start)
    return Look(build, "", results, flags, angle, opening, closing, picture(response), judged)


def _settled(look: Look, start: Look | None) -> Look:
    """The same with what takes longer."""
    if look.settled or look.build is None:
        return look
    slow = [target.name for target in look.build.target if target.name not in look.results]
    results = look.results | single(respond(assemble(plain(look.build)), (*AT_REST, *slow)).results)
    return replace(look, results=results, verdicts=_judged(look.build, results, start), settled=True)


def _judged(build: Build, results: Results, start: Look | None) -> tuple[Verdict, ...]:
    """Verdicts on the results known; a change is counted from the start, which has changed by nothing."""
    base = results if start is None else start.results
    return judge([target for target in build.target if target.name in results], results, base)


def _angles(response: Response, end: float) -> Values:
    """Angles of the curve: close together where the feel is made, with its marks among them [deg]."""
    rest = float(np.degrees(response.rest.angle))
    marks = [in_unit(n, response.results[n]) for n in ("breakout_force_angle", "let_go_angle")]
    known = [float(mark) for mark in marks if np.isfinite(mark)]
    near = min(2 * max([*known, rest, 2.0]), end)
    # a mark may be where the ball snaps: the force just short of it belongs to the curve too
    marked = [*known, *(mark - SHORT for mark in known)]
    angle = np.concatenate([np.linspace(rest, near, NEAR), np.linspace(near, end, FAR)[1:], marked])
    return np.unique(angle[angle >= rest])


def felt_change(name: str, look: Look, start: Look) -> float | None:
    """By how many hand-steps one result has changed; positive is heavier.

    Parameters
    ----------
    name : str
        One of `FELT_BY_HAND`; a torque is felt as a force at the opener.
    look, start : Look

    Returns
    -------
    float or None
        None where either has none, or they pull opposite ways.
    """
    own, now = start.results.get(name), look.results.get(name)
    if own is None or now is None or own * now < 0 or look.build is None:
        return None
    arm = 1.0 if RESULTS[name].unit == "N" else 1e3 * look.build.si("opener.radius")
    return float(steps_between(abs(own) / arm, abs(now) / arm)) if max(abs(own), abs(now)) / arm > FLOOR else 0.0


def felt_apart(look: Look, start: Look) -> float | None:
    """How many hand-steps the whole way out of the dimple lies from where it started.

    Parameters
    ----------
    look, start : Look

    Returns
    -------
    float or None
        By `detentsim.analysis.compare.hand_steps`; None where there is nothing to compare.
    """
    marks = [[one.results.get(n) for n in ("breakout_force_angle", "let_go_angle")] for one in (look, start)]
    if any(mark is None for pair in marks for mark in pair):
        return None
    low = max(min(float(pair[0] or 0) for pair in marks), look.angle[0], start.angle[0])
    high = max(float(pair[1] or 0) for pair in marks)
    angle = np.unique(np.concatenate([look.angle, start.angle, [low, high]]))
    angle = angle[(angle >= low) & (angle <= high)]
    one, other = (np.interp(angle, side.angle, side.opening) for side in (start, look))
    known = np.isfinite(one) & np.isfinite(other)
    return hand_steps(angle[known], one[known], other[known]) if np.count_nonzero(known) > 1 and high > low else None
