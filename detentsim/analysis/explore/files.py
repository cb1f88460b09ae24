"""Files under which a session saves its builds: checked names, and names that are free.

Knows builds and paths, not knobs.
"""

from __future__ import annotations

import os
from itertools import count
from pathlib import Path
from typing import TYPE_CHECKING

from detentsim.knife.file.text import read_text
from detentsim.units.errors import InputError
from detentsim.units.wording import shown

if TYPE_CHECKING:
    from detentsim.knife.model import Build


class BuildFiles:
    """Files of one session; those that it has written itself may be replaced.

    Parameters
    ----------
    first : Build
        The build as it started, beside whose file others are saved.
    """

    def __init__(self, first: Build) -> None:
        self._first = first
        self._saved: dict[Path, str] = {}

    def save(self, build: Build, path: str | Path) -> Path:
        """Write a build.

        Parameters
        ----------
        build : Build
        path : str or Path

        Returns
        -------
        Path

        Raises
        ------
        InputError
            As `check`, or where the file cannot be written.
        """
        written = build.save(self.check(path))
        self._saved[Path(os.path.realpath(written))] = read_text(written)
        return written

    def check(self, path: str | Path) -> Path:
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
            raise InputError("file", str(path), f"names no file; give one, such as {self.free().name}")
        if os.path.lexists(named) and not self._own(named):
            text = f"{shown(str(path), 80)} is there already; give another name, such as {self.free().name}"
            raise InputError("file", str(path), text)
        if not named.parent.is_dir():
            text = f"{shown(str(path), 80)} is in a folder that does not exist; give a name such as {self.free().name}"
            raise InputError("file", str(path), text)
        return named

    def _own(self, path: Path) -> bool:
        """Whether a file is unchanged since it was saved from this session."""
        saved = self._saved.get(Path(os.path.realpath(path)))
        try:
            return saved is not None and read_text(path) == saved
        except InputError:
            return False

    def free(self) -> Path:
        """Name beside the build's own file that no file has yet."""
        own = self._first.path or Path("demo.toml" if self._first.demo else "build.toml")
        tries = (own.with_name(f"{own.stem}-turned{'' if i == 1 else f'-{i}'}.toml") for i in count(1))
        return next(name for name in tries if not os.path.lexists(name))
