"""A build: every input as typed beside its SI value, read from a file, changed in code, saved in place.

Uses the sub-rooms of `knife`; every room above takes it. It holds no results and computes no mechanics.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING

from detentsim.knife.checks.bands import assumed_names, bands
from detentsim.knife.checks.consistency import checked, missing
from detentsim.knife.checks.problems import BuildError, Problem
from detentsim.knife.file.changing import changed, without_tolerance
from detentsim.knife.file.document import Document
from detentsim.knife.file.reading import Contents, read_contents
from detentsim.knife.file.saving import save_document
from detentsim.knife.file.text import read_text
from detentsim.knife.table.lookup import Lookup
from detentsim.knife.table.parts import Parts
from detentsim.knife.table.summary import summary_line, summary_table
from detentsim.units.errors import InputError
from detentsim.units.wording import shown

if TYPE_CHECKING:
    from collections.abc import Mapping

    from detentsim.knife.checks.tolerance import Tolerance
    from detentsim.knife.record.layout.section import LayoutSection
    from detentsim.knife.table.value import Value
    from detentsim.knife.target.target import Target


@dataclass(frozen=True, eq=False, repr=False)
class Build(Parts, Lookup):
    """One knife as its maker describes it; from `Build.read`, `Build.loads`, `demo` or `Build.change`.

    Parts (``build.bar.thickness``) and dotted names (``build["bar.thickness"]``) give the same `Value`.

    Attributes
    ----------
    values : mapping of str to Value
        By dotted name; an optional input that is absent has no entry.
    source : str
        File it was read from, or the name given to `loads`.
    demo : bool
        True for the packaged demo and builds changed from it.
    target : tuple of Target
        Wanted results.

    Examples
    --------
    >>> import detentsim as ds
    >>> build = ds.demo().change({"bar.bend": "2.4 mm"})
    >>> build["bar.bend"].text, build.si("bar.bend")
    ('2.4 mm', 0.0024)
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
            Required sections; a missing one is reported together with every other problem.

        Returns
        -------
        Build
            Checked.

        Raises
        ------
        BuildError
            With every problem, each at its line.
        """
        build = cls.loads(read_text(path), str(path), needs)
        return replace(build, _path=Path(path))

    @classmethod
    def loads(cls, text: str, source: str = "text", needs: tuple[str, ...] = ()) -> Build:
        """Read a build from TOML text.

        Parameters
        ----------
        text : str
            Content of a build file.
        source : str
            Its name in messages.
        needs : tuple of str
            Required sections.

        Returns
        -------
        Build
            Checked.

        Raises
        ------
        BuildError
            With every problem, each at its line.
        """
        document = Document(text)
        contents = read_contents(document, source)
        values = checked(contents, document, source, needs)
        return cls(values, source, False, contents.target, contents, document)

    def require(self, *sections: str) -> None:
        """Raise unless some sections are present and complete.

        Parameters
        ----------
        *sections : str
            Section names such as ``"opener"``.

        Raises
        ------
        BuildError
            Naming every missing section with an example of each key it needs.
        """
        if lacking := missing(self._contents, sections):
            raise BuildError(Problem(self.source, None, key, text) for key, text in lacking)

    def has(self, section: str) -> bool:
        """Return whether any input of a section was given; defaults do not count.

        Parameters
        ----------
        section : str
            Such as ``"stop"``.
        """
        return any(name.startswith(section + ".") for name in self._contents.given)

    def change(self, changes: Mapping[str, object]) -> Build:
        """Return a build with some inputs changed.

        Parameters
        ----------
        changes : mapping of str to text, number, quantity, Value or None
            By dotted name; None removes an optional input or a target. A target is as in the file, a truth or a band:
            ``{"target.drag_force": {"at_most": "2 N"}}``.

        Returns
        -------
        Build
            Checked like a file; this one stays as it is.

        Raises
        ------
        InputError
            With every problem, one line each.
        """
        return self._changed(changes, fitting=True)

    def trial(self, changes: Mapping[str, object]) -> Build:
        """Return a build as `change` does, without the check that sizes fit together.

        Parameters
        ----------
        changes : mapping of str to text, number, quantity or None
            As for `change`.

        Returns
        -------
        Build
            To read numbers from; the caller marks sizes that do not fit (`detentsim.knife.checks.fits`).

        Raises
        ------
        InputError
            With every other problem, one line each.
        """
        return self._changed(changes, fitting=False)

    def without_tolerance(self, *names: str) -> Build:
        """Return a build without the file's own tolerances on some inputs.

        Parameters
        ----------
        *names : str
            Dotted names of inputs; one without a tolerance is passed over.
        """
        contents = without_tolerance(self._contents, names)
        return replace(self, _contents=contents, _document=self._document.without("tolerance", names))

    def _changed(self, changes: Mapping[str, object], fitting: bool) -> Build:
        contents, edits = changed(replace(self._contents, target=self.target), changes)
        values = checked(contents, Document(), "", (), fitting)  # the fault is the change's: it names no file, no line
        aims, document = contents.target, self._document.edited(edits)
        return replace(self, values=values, target=aims, _contents=contents, _document=document)

    def save(self, path: str | Path | None = None) -> Path:
        """Write the build file; order, comments and unchanged lines stay.

        Parameters
        ----------
        path : str or Path, optional
            File to write or replace; by default its own, keeping comments edited there since it was read.

        Returns
        -------
        Path
            The file written, replaced whole or not at all.

        Raises
        ------
        InputError
            When it has no file and no path is given, inputs in its file have changed since it was read,
            or the file cannot be written.
        """
        return save_document(self._document, self.source, self._path, path)

    @property
    def path(self) -> Path | None:
        """File it was read from, or was changed from; None where there is none."""
        return self._path

    @property
    def text(self) -> str:
        """The build file's text with every change in place."""
        return self._document.text()

    @property
    def name(self) -> str:
        """Name given by the maker, else the source."""
        return self.word("name") or self.source

    @property
    def layout(self) -> LayoutSection | None:
        """The tang in plan and the ball's place on the bar; None without a section ``[layout]``."""
        return self._contents.layout

    @property
    def tolerance(self) -> Mapping[str, Tolerance]:
        """Tolerances given in the file, by dotted name of the input."""
        return MappingProxyType(dict(self._contents.tolerance))

    @property
    def assumed(self) -> tuple[str, ...]:
        """Dotted names of inputs at a packaged default that has a band."""
        return assumed_names(self.values)

    def bands(self, calibration: float | None = None) -> dict[str, tuple[float, float]]:
        """Return the lowest and highest value of each uncertain input.

        Parameters
        ----------
        calibration : float, optional
            Stiffness ratio that follows from `bar.measured` or `bar.stiffness`; with one of them given,
            `bar.calibration` gets a band about it.

        Returns
        -------
        dict of str to tuple of float
            SI values by dotted name. `dimple.overclose` is a length at the ball [m] even if given as an angle.
        """
        return bands(self.values, self._contents.tolerance, calibration)

    def __repr__(self) -> str:
        """Return one short line."""
        return summary_line(self.name, self.values, len(self._contents.given))

    def _repr_html_(self) -> str:
        """Return a small HTML table of the given inputs, one row for each section."""
        return summary_table(self.name, self.values, self._contents.given)


def need_build(value: object) -> Build:
    """Return a build unchanged and refuse anything else, such as the path of its file.

    Parameters
    ----------
    value : object
        Argument given for a build.

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
