"""Which inputs of a build vary, and how: its tolerances and packaged bands, or those given instead."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from detentsim.knife.checks.problems import BuildError, Problem
from detentsim.knife.checks.tolerance import Tolerance, parse_tolerance, tolerance_problems
from detentsim.knife.record.doubts import Doubt, doubts
from detentsim.knife.record.record import plain
from detentsim.knife.table.schema import INPUTS, suggestion
from detentsim.units.errors import InputError
from detentsim.units.wording import shown

if TYPE_CHECKING:
    from detentsim.knife.model import Build


def varied(build: Build, vary: object) -> tuple[Doubt, ...]:
    """Distributions of the inputs that vary.

    Parameters
    ----------
    build : Build
    vary : None, sequence of str or mapping
        As `detentsim.batch` takes it.

    Returns
    -------
    tuple of Doubt

    Raises
    ------
    InputError
        For a name that is no such input, or a tolerance that cannot be read.
    """
    numbers = plain(build)
    if isinstance(vary, Mapping):
        given = dict(build.tolerance) | _tolerances(build, vary)
        return doubts(build, numbers, given)
    known = doubts(build, numbers)
    if vary is None:
        return known
    names = [vary] if isinstance(vary, str) or not isinstance(vary, Sequence) else list(vary)
    uncertain = {doubt.name: doubt for doubt in known}
    wrong = [name for name in names if name not in uncertain]
    if wrong:
        hint = suggestion(str(wrong[0]), uncertain) or f"; uncertain are {', '.join(uncertain) or 'none'}"
        raise InputError("vary", wrong[0], f"{shown(wrong[0])} is no uncertain input of this build{hint}")
    return tuple(doubt for doubt in known if doubt.name in names)


def _tolerances(build: Build, vary: Mapping[object, object]) -> dict[str, Tolerance]:
    for name in vary:
        if name not in INPUTS:
            raise InputError("vary", name, f"{shown(name)} is no input{suggestion(str(name), INPUTS)}")
    read = {str(name): parse_tolerance(str(name), raw) for name, raw in vary.items()}
    wrong = tolerance_problems(build.values, read)
    if wrong:
        raise BuildError([Problem("", None, key, text) for key, text in wrong])
    return read
