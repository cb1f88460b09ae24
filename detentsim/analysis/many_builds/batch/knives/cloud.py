"""Knives drawn from one drawing and solved: their results and flags, which are inside, why the others are not."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING, Any

import numpy as np
import numpy.typing as npt

from detentsim.analysis.inside import outside
from detentsim.analysis.many_builds.sweep.blocks import no_progress
from detentsim.analysis.many_builds.sweep.solving import solve_all
from detentsim.analysis.one_build.wear.worn_records import worn_already
from detentsim.knife.record.drawing import TOGETHER, Drawn
from detentsim.mechanics.names import FOLLOWED_NAMES
from detentsim.mechanics.record import joined

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from concurrent.futures import Executor

    from detentsim.analysis.many_builds.sweep.blocks import Progress
    from detentsim.knife.model import Build
    from detentsim.knife.record.doubts import Doubt
    from detentsim.mechanics.record import Array, Truth


@dataclass(frozen=True, eq=False, repr=False)
class Cloud:
    """Knives made to one drawing.

    Attributes
    ----------
    build : Build
        The drawing.
    spread : tuple of Doubt
        Distribution of each input that varies [SI].
    start : dict of str to float, bool or None
        Results from which wanted changes count, in their units.
    found : Drawn
        The knives' inputs in SI.
    results : dict of str to array, shape (n,)
        By result name, in the unit of `detentsim.knife.outcomes.RESULTS`; NaN where there is none. Truths are boolean.
    flags : dict of str to array of bool, shape (n,)
    done : array of bool, shape (n,)
        False for what Ctrl-C left unsolved.
    worn : bool
        Whether they are worn in: the radii of each knife's edges are then those that it wears to itself.
    """

    build: Build
    spread: tuple[Doubt, ...]
    start: Mapping[str, float | bool | None]
    found: Drawn
    results: dict[str, npt.NDArray[Any]]
    flags: dict[str, Truth]
    done: Truth
    worn: bool = field(default=False, kw_only=True)

    def __len__(self) -> int:
        """Return the number of knives."""
        return int(self.done.size)

    @cached_property
    def inside(self) -> Truth:
        """Knives that meet every target and have no warning of an unsound design.

        A wanted change counts from the drawing itself. What makes no knife, or was not solved, is outside.
        """
        return np.asarray(~np.any([np.zeros(len(self), bool), *self.outside.values()], axis=0))

    @cached_property
    def outside(self) -> dict[str, Truth]:
        """Why knives are outside: target missed below or above, warning, no knife; a knife may have several.

        Keys are ``breakout_force below``, ``breakout_force above``, ``breakout_force none``, ``falls_shut false``, the
        name of a flag, the words of a misfit, ``not solved``.
        """
        alive = self.done & ~self.found.excluded
        why = outside(self.build.target, self.results, self.flags, self.start, alive)
        why |= self.found.misfits | {"not solved": ~self.done}
        return {key: where for key, where in why.items() if np.any(where)}

    def outcome(self, name: str | None) -> Array:
        """Value of each knife: a result in its unit, a truth as 0 or 1; NaN where there is none.

        Parameters
        ----------
        name : str or None
            A result or flag; None, whether the knife is inside.
        """
        return np.asarray(self.inside if name is None else (self.results | self.flags)[name], float)


def solved_cloud(
    build: Build,
    spread: tuple[Doubt, ...],
    start: Mapping[str, float | bool | None],
    found: Drawn,
    wanted: tuple[str, ...],
    executor: Executor | None = None,
    progress: Progress = no_progress,
    worn: bool = False,
) -> Cloud:
    """Solve knives that are drawn.

    Parameters
    ----------
    build : Build
    spread : tuple of Doubt
    start : dict of str to float, bool or None
    found : Drawn
    wanted : tuple of str
        Names of results.
    executor : Executor, optional
    progress : callable, optional
    worn : bool
        Whether they are to be worn in.

    Returns
    -------
    Cloud
    """
    solved = solve_all(found.record, found.excluded, wanted, executor, progress, worn and not worn_already(build))
    found = found._replace(record=solved.record)
    return Cloud(build, spread, start, found, solved.results, solved.flags, solved.done, worn=worn)


def cloud_at(like: Cloud, found: Drawn, wanted: tuple[str, ...]) -> Cloud:
    """Solve other knives of the same drawing.

    Parameters
    ----------
    like : Cloud
    found : Drawn
    wanted : tuple of str
        Names of results.

    Returns
    -------
    Cloud
    """
    return solved_cloud(like.build, like.spread, like.start, found, wanted, worn=like.worn)


def inside_of(like: Cloud, found: Drawn) -> Truth:
    """Which other knives of the same drawing are inside; as `Cloud.inside` of `cloud_at`, in less time.

    Parameters
    ----------
    like : Cloud
    found : Drawn

    Returns
    -------
    array of bool, shape (n,)

    Notes
    -----
    A motion that is followed along its path costs more than all the rest, and is followed only for knives that nothing
    else puts outside.
    """
    inside, record, worn = ~found.excluded, found.record, like.worn and not worn_already(like.build)
    for followed in (False, True):
        target = [wanted for wanted in like.build.target if (wanted.name in FOLLOWED_NAMES) == followed]
        if target or not followed:
            names = tuple(dict.fromkeys(wanted.name for wanted in target))
            solved = solve_all(record, ~inside, names, None, no_progress, worn)
            record, worn = solved.record, False
            why = outside(target, solved.results, solved.flags, like.start, inside)
            inside = inside & ~np.any([~inside, *why.values()], axis=0)
    return np.asarray(inside)


def inside_of_each(like: Cloud, found: Sequence[Drawn]) -> list[Truth]:
    """Which knives drawn in several ways are inside; as `inside_of` of each, in fewer calls of the kernel.

    Parameters
    ----------
    like : Cloud
        Whose targets hold for all.
    found : sequence of Drawn

    Returns
    -------
    list of array of bool
    """
    inside: list[Truth] = []
    for first in range(0, len(found), TOGETHER):
        some = found[first : first + TOGETHER]
        excluded = [drawn.excluded for drawn in some]
        ends = np.cumsum([truths.size for truths in excluded])[:-1]
        row = Drawn({}, joined([drawn.record for drawn in some]), {}, np.concatenate(excluded))
        inside += np.split(inside_of(like, row), ends)
    return inside


def aimed_at(build: Build) -> tuple[str, ...]:
    """Names of the results that the targets of a build are about.

    Parameters
    ----------
    build : Build
    """
    return tuple(dict.fromkeys(target.name for target in build.target))
