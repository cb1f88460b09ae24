"""Exploring session: a build with knobs, solved at each turn and compared with its start.

A turn is answered at once, with what costs little; what takes longer (does it fly open, the slower targets) waits until
the knob rests.
"""

from __future__ import annotations

import os
from dataclasses import replace
from itertools import count
from operator import index
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING

from detentsim.analysis.explore.changes import changes, no_rim
from detentsim.analysis.explore.knobs import Knob, knobs
from detentsim.analysis.explore.look import Look, settle, solve_look
from detentsim.knife.checks.problems import BuildError
from detentsim.knife.file.text import read_text
from detentsim.knife.model import Build, need_build
from detentsim.knife.record.record import plain
from detentsim.units.errors import InputError
from detentsim.units.wording import shown

if TYPE_CHECKING:
    from collections.abc import Mapping


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
        self._numbers = plain(self.first)
        self.knobs = knobs(self.first, self._numbers)
        self._places = {knob.name: knob.start for knob in self.knobs}
        self._past: list[dict[str, int]] = []
        self._turning = ""  # the knob that is being turned: all of it is undone at once
        self._saved: dict[Path, str] = {}
        self.start = self.now = settle(solve_look(self.first, None), None)

    @property
    def places(self) -> Mapping[str, int]:
        """Which stop each knob stands at, by name."""
        return MappingProxyType(self._places)

    @property
    def turned(self) -> dict[str, tuple[str, str]]:
        """Knobs away from their start, by name: starting and present setting."""
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
            raise InputError("explore", None, f"no knife can have these sizes: {self.now.unfit}")
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
        """Solve the costly results too."""
        self.now = settle(self.now, self.start)
        return self.now

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
        written = self.build.save(self.check_name(path))
        self._saved[Path(os.path.realpath(written))] = read_text(written)
        return written

    def check_name(self, path: str | Path) -> Path:
        """Check a file name under which the build is to be saved.

        Parameters
        ----------
        path : str or Path

        Returns
        -------
        Path

        Raises
        ------
        InputError
            Where it is empty, its folder does not exist, or another file already has this name.
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
        """Whether a file is unchanged since it was saved from this session."""
        saved = self._saved.get(Path(os.path.realpath(path)))
        try:
            return saved is not None and read_text(path) == saved
        except InputError:
            return False

    def free_name(self) -> Path:
        """Name beside the build's own file that no file has yet."""
        own = self.first.path or Path("demo.toml" if self.first.demo else "build.toml")
        tries = (own.with_name(f"{own.stem}-turned{'' if i == 1 else f'-{i}'}.toml") for i in count(1))
        return next(name for name in tries if not os.path.lexists(name))

    def _in_short(self, error: InputError) -> str:
        """Error message in the knobs' terms, without the file name."""
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
            look = solve_look(build, self.start)
        except InputError as error:
            return Look(None, self._in_short(error))
        gone = [name for name, new in changed.items() if new is None and self.first[name] is not None]
        dropped = (*gone, *(f"tolerance.{name}" for name in loose))
        idle = ("dimple.rim_feed",) if "dimple.rim_feed" in away and no_rim(self.first, changed) else ()
        return replace(look, dropped=dropped, idle=idle)


def _changed(build: Build, changed: Mapping[str, object]) -> tuple[Build, tuple[str, ...]]:
    """Changed build, and the tolerances dropped because they no longer contain the new value."""
    try:
        return build.change(changed), ()
    except BuildError as error:
        loose = tuple(p.key.removeprefix("tolerance.") for p in error.problems if p.key.startswith("tolerance."))
        if len(loose) < len(error.problems):
            raise
    return build.without_tolerance(*loose).change(changed), loose
