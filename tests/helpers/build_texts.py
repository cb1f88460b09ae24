"""Texts of build files: their problems, and one line replaced."""

import pytest

from detentsim.knife.checks.problems import BuildError
from detentsim.knife.model import Build
from detentsim.units.errors import InputError
from helpers.garden import garden


def told(text, needs=()):
    """Return the problems of a text, checked to be plain single lines."""
    with pytest.raises(BuildError) as caught:
        Build.loads(text, "garden.toml", needs)
    lines = str(caught.value).split("\n")
    assert len(lines) == len(caught.value.problems)
    assert all(line.startswith("garden.toml:") and len(line) < 500 and line.isprintable() for line in lines)
    return lines


def refused(changes, build=None):
    """Return what a change is refused with, by key."""
    with pytest.raises(InputError) as caught:
        (build or garden()).change(changes)
    assert isinstance(caught.value, BuildError)
    lines = str(caught.value).split("\n")
    assert all(line.isprintable() and len(line) < 400 for line in lines)
    return {p.key: p.message for p in caught.value.problems}
