"""A build: every input as typed beside its SI value, read from a file, changed in code, saved in place.

Stands on the whole build room and is what everything above takes. It holds no results and computes no
mechanics.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace
from html import escape
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING

from detentsim.knife.checks.bands import assumed_names, bands
from detentsim.knife.checks.consistency import checked, missing
from detentsim.knife.checks.problems import BuildError, Problem
from detentsim.knife.file.document import Document
from detentsim.knife.file.reading import Contents, changed, read_contents
from detentsim.knife.file.text import read_text, write_text
from detentsim.knife.table.parts import Parts
from detentsim.knife.table.schema import INPUTS, SECTIONS, section_inputs, unknown_input
from detentsim.units.errors import InputError
from detentsim.units.wording import shown

if TYPE_CHECKING:
    from collections.abc import Mapping

    from detentsim.knife.table.values import Value
    from detentsim.knife.target.target import Target


@dataclass(frozen=True, eq=False, repr=False)
class Build(Parts):
    """One knife as its maker describes it.

    Make one with `Build.read`, `Build.loads` or `demo`, and a changed one with `Build.change`. Parts
    (``build.bar.thickness``) and dotted names (``build["bar.thickness"]``) give the same `Value`.

    Attributes
    ----------
    values : mapping of str to Value
        By dotted name; what is optional and absent is not in it.
    source : str
        File it was read from, or what `loads` was told.
    demo : bool
        True for the packaged demo and what is changed from it.
    target : tuple of Target
        Wanted results.
    """

    values: Mapping[str, Value]
    source: str
    demo: bool = False
    target: tuple[Target, ...] = ()
    _contents: Contents = field(default_factory=Contents)
    _document: Document = field(default_factory=Document)
    _path: Path | None = None

    @classmethod
    def read(cls, path: str | Path, needs: tuple[str, ...] = ()) -> Build:
        """Read a build file.

        Parameters
        ----------
        path : str or Path
            TOML file.
        needs : tuple of str
            Sections that must be there; a missing one is told together with everything else.

        Returns
        -------
        Build
            Checked.

        Raises
        ------
        BuildError
            With everything that is wrong, each at its line.
        """
        build = cls.loads(read_text(path), str(path), needs)
        return replace(build, _path=Path(path))

    @classmethod
    def loads(cls, text: str, source: str = "text", needs: tuple[str, ...] = ()) -> Build:
        """Read a build from TOML text.

        Parameters
        ----------
        text : str
            What a build file would hold.
        source : str
            What to call it in messages.
        needs : tuple of str
            Sections that must be there.

        Returns
        -------
        Build
            Checked.

        Raises
        ------
        BuildError
            With everything that is wrong, each at its line.
        """
        document = Document(text)
        contents = read_contents(document, source)
        values = checked(contents, document, source, needs)
        return cls(values, source, False, contents.target, contents, document)

    def require(self, *sections: str) -> None:
        """Ask that some sections are there and complete.

        Parameters
        ----------
        *sections : str
            Section names such as ``"opener"``.

        Raises
        ------
        BuildError
            Naming every missing section with an example of each key it needs.
        """
        found = missing(self._contents, sections)
        if found:
            raise BuildError(Problem(self.source, None, key, text) for key, text in found)

    def has(self, section: str) -> bool:
        """Tell whether the maker gave anything in a section.

        Parameters
        ----------
        section : str
            Such as ``"stop"``.

        Returns
        -------
        bool
            Defaults do not count.
        """
        return any(name.startswith(section + ".") for name in self._contents.given)

    def change(self, changes: Mapping[str, object]) -> Build:
        """Return a build with some inputs changed.

        Parameters
        ----------
        changes : mapping of str to text, number, quantity or None
            By dotted name; None takes an optional input out, back to its default.

        Returns
        -------
        Build
            Checked like a file; this one stays as it is.

        Raises
        ------
        InputError
            With everything that is wrong, one line each.
        """
        return self._changed(changes, fitting=True)

    def trial(self, changes: Mapping[str, object]) -> Build:
        """Return a build as `change` does, but let pass sizes that do not fit together.

        Parameters
        ----------
        changes : mapping of str to text, number, quantity or None
            As for `change`.

        Returns
        -------
        Build
            To read numbers from; what does not fit (`detentsim.knife.checks.fits`) is for the caller to mark.

        Raises
        ------
        InputError
            With everything else that is wrong, one line each.
        """
        return self._changed(changes, fitting=False)

    def without_tolerance(self, *names: str) -> Build:
        """Return a build without the file's own tolerances on some inputs.

        Parameters
        ----------
        *names : str
            Dotted names of inputs; one without a tolerance is passed over.

        Returns
        -------
        Build
            This one stays as it is.
        """
        kept = {name: value for name, value in self._contents.tolerance.items() if name not in names}
        gone = dict.fromkeys(leaf for name in names for leaf in self._document.leaves(f"tolerance.{name}"))
        contents = replace(self._contents, tolerance=kept)
        return replace(self, _contents=contents, _document=self._document.edited(gone))

    def _changed(self, changes: Mapping[str, object], fitting: bool) -> Build:
        contents, edits = changed(self._contents, changes)
        # the fault is in the change, so no file and no line of it is named
        values = checked(contents, Document(), "", (), fitting)
        return replace(self, values=values, _contents=contents, _document=self._document.edited(edits))

    def save(self, path: str | Path | None = None) -> Path:
        """Write the build file, touching only what was changed.

        Parameters
        ----------
        path : str or Path, optional
            Where to, whatever stands there; by default the file it was read from, unless its inputs
            were changed since by someone else.

        Returns
        -------
        Path
            The file written, replaced whole or not at all.

        Raises
        ------
        InputError
            When it came from no file and no path is given, or the file cannot be written.
        """
        if path is not None:
            write_text(Path(path), self.text)
            return Path(path)
        if self._path is None:
            raise InputError("path", path, 'this build came from no file; name one to save, such as "mine.toml"')
        write_text(self._path, self._document.onto(_standing(self._path), self.source))
        return self._path

    @property
    def path(self) -> Path | None:
        """The file it was read from, changed or not; None where it came from none."""
        return self._path

    @property
    def text(self) -> str:
        """The build file's text with every change in place."""
        return self._document.text()

    def __getitem__(self, name: str) -> Value | None:
        """Return an input by dotted name; None when it is optional and absent."""
        if name not in INPUTS:
            raise InputError(shown(name).strip('"'), name, unknown_input(name))
        return self.values.get(name)

    def si(self, name: str, default: float = math.nan) -> float:
        """Return an input's SI value.

        Parameters
        ----------
        name : str
            Dotted name.
        default : float
            What to return when it is absent or a word.

        Returns
        -------
        float
            SI value, or `default`.
        """
        value = self[name]
        return default if value is None or math.isnan(value.si) else value.si

    def word(self, name: str) -> str:
        """Return an input's text, such as a choice or a material.

        Parameters
        ----------
        name : str
            Dotted name.

        Returns
        -------
        str
            Empty when absent.
        """
        value = self[name]
        return "" if value is None else value.text

    @property
    def name(self) -> str:
        """What the maker calls it, or its source."""
        return self.word("name") or self.source

    @property
    def hand(self) -> str:
        """``right`` or ``left``."""
        return self.word("hand")

    @property
    def tolerance(self) -> Mapping[str, object]:
        """The file's own tolerances by dotted name, as `detentsim.knife.checks.tolerance.Tolerance`."""
        return MappingProxyType(dict(self._contents.tolerance))

    @property
    def assumed(self) -> tuple[str, ...]:
        """Dotted names that stand at a packaged default which has a band."""
        return assumed_names(self.values)

    def bands(self, calibration: float | None = None) -> dict[str, tuple[float, float]]:
        """Return how far each uncertain input may lie.

        Parameters
        ----------
        calibration : float, optional
            The ratio that `bar.measured` or `bar.stiffness` comes to; only then, and only with one of
            them given, is `bar.calibration` banded about it.

        Returns
        -------
        dict of str to tuple of float
            Lowest and highest SI value by dotted name. `dimple.overclose` is always a length at the
            ball [m], whatever it was given as.
        """
        return bands(self.values, self._contents.tolerance, calibration)

    def __repr__(self) -> str:
        """Return one short line."""
        texts = [f"{n} {self.values[n].text}" for n in ("bar.bend", "ball.diameter") if n in self.values]
        return f"<Build {', '.join([repr(self.name), *texts, f'{len(self._contents.given)} inputs given'])}>"

    def _repr_html_(self) -> str:
        """Return a small table for a notebook: what was given, a row a section."""
        rows = "".join(self._row(section) for section in SECTIONS)
        return f"<table><caption>{escape(self.name)[:200]}</caption>{rows}</table>"

    def _row(self, section: str) -> str:
        given = [i for i in section_inputs(section) if i.name in self._contents.given]
        cells = "; ".join(f"{i.key} {escape(self.values[i.name].text)[:40]}" for i in given)
        return f"<tr><th>{section}</th><td>{cells}</td></tr>" if cells else ""

    def _ipython_key_completions_(self) -> list[str]:
        return list(INPUTS)


def need_build(value: object) -> Build:
    """Return a build as it is; a path in its place is an easy slip.

    Parameters
    ----------
    value : object
        What a caller gave for a build.

    Returns
    -------
    Build

    Raises
    ------
    InputError
        When it is anything else.
    """
    if isinstance(value, Build):
        return value
    raise InputError("build", value, f'{shown(value)} is no build; read one with ds.Build.read("mine.toml")')


def _standing(path: Path) -> str | None:
    """Return the text that stands in a file now, or None when it is gone."""
    return read_text(path) if path.exists() else None
