"""Sections of a build as frozen records, made from ``inputs.csv``: ``build.bar.thickness``.

Base class of `Build`. A new input needs no line here; a new section needs one.
"""

from __future__ import annotations

from dataclasses import field, make_dataclass
from typing import TYPE_CHECKING, Any, overload

from detentsim.knife.table.schema import SECTIONS, section_inputs

if TYPE_CHECKING:
    from collections.abc import Mapping

    from detentsim.knife.table.value import Value


class Part:
    """Inputs of one section by key, a dot in it as an underscore: a `Value` each, or None where it is absent."""

    if TYPE_CHECKING:

        def __getattr__(self, key: str) -> Value | None: ...

    def __reduce__(self) -> tuple[Any, ...]:
        """Return how to make it again: a type that no module names is pickled by its section."""
        return _made, (type(self).__name__.lower(), *vars(self).values())


def _made(section: str, *values: Value | None) -> Part:
    return PARTS[section](*values)


def _part(section: str) -> type[Part]:
    keys = [i.key.replace(".", "_") for i in section_inputs(section)]
    fields = [(key, "Value | None", field(default=None)) for key in keys]
    return make_dataclass(section.capitalize(), fields, bases=(Part,), frozen=True)


PARTS: dict[str, type[Part]] = {section: _part(section) for section in SECTIONS}
"""Record type of each section."""


class Section:
    """Attribute of a build that gives the inputs of the section it is named after."""

    def __init__(self, doc: str) -> None:
        self.__doc__ = doc

    def __set_name__(self, owner: type, name: str) -> None:
        """Take the section's name from the attribute."""
        self.name = name

    @overload
    def __get__(self, build: None, owner: type) -> Section: ...
    @overload
    def __get__(self, build: Parts, owner: type) -> Part: ...
    def __get__(self, build: Parts | None, owner: type) -> Part | Section:
        """Return the section's inputs; of the class itself, this attribute."""
        if build is None:
            return self
        return PARTS[self.name](*(build.values.get(i.name) for i in section_inputs(self.name)))


class Parts:
    """The sections of a build, made from its values by dotted name."""

    values: Mapping[str, Value]

    bar = Section("The lock bar.")
    ball = Section("The detent ball and its hole in the bar.")
    dimple = Section("The drilled dimple in the tang.")
    tang = Section("The blade's tang under the ball.")
    stop = Section("The closed stop.")
    blade = Section("Mass, balance, inertia and shape of the blade.")
    pivot = Section("Friction and clearance of the pivot, washers included.")
    opener = Section("Place and direction of the finger's push.")
    friction = Section("Friction coefficients of ball on tang.")
    contact = Section("How ball and rim touch.")
    grip = Section("A push on the bar while the blade is opened.")
    finger = Section("The finger in motion.")
    attitude = Section("Attitude of the knife in motion.")
    overtravel = Section("Stop that limits the bar's outward travel.")
    clip = Section("The pocket clip.")
