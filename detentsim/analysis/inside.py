"""Which of many knives are inside: every target met, no warning of an unsound design; and why the others are not."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
import numpy.typing as npt

from detentsim.analysis.results import in_unit
from detentsim.knife.outcomes import RESULTS, UNSOUND
from detentsim.knife.target.target import ends
from detentsim.knife.target.verdict import meets

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from detentsim.knife.target.target import Target
    from detentsim.mechanics.record import Array, Truth


def outside(
    target: Sequence[Target],
    results: Mapping[str, npt.NDArray[Any]],
    flags: Mapping[str, Truth],
    start: Mapping[str, float | bool | None],
    alive: Truth,
) -> dict[str, Truth]:
    """Why knives are outside: a target missed below or above, a warning of an unsound design; a knife may have several.

    Parameters
    ----------
    target : sequence of Target
    results : mapping of str to array, shape (n,)
        The results that the targets are about, in their own units, NaN where there is none; or truths.
    flags : mapping of str to array of bool, shape (n,)
    start : mapping of str to float, bool or None
        Results from which wanted changes count.
    alive : array of bool, shape (n,)
        Knives that are solved; the others have no part in a target.

    Returns
    -------
    dict of str to array of bool, shape (n,)
        Keys are ``breakout_force below``, ``breakout_force above``, ``breakout_force none``, ``falls_shut false`` and
        the names of flags.
    """
    why: dict[str, Truth] = {}
    for wanted in target:
        found = missed(wanted, results[wanted.name], start.get(wanted.name))
        why |= {key: where & alive for key, where in found.items()}
    return why | {name: flags[name] for name in UNSOUND}


def unsound(flags: Mapping[str, Truth]) -> Truth:
    """Designs with a warning of an unsound design.

    Parameters
    ----------
    flags : mapping of str to array of bool
        All of one shape.
    """
    return np.asarray(np.any([flags[name] for name in UNSOUND], axis=0))


def missed(wanted: Target, values: npt.NDArray[Any], own: float | None) -> dict[str, Truth]:
    """Knives that miss a target, by how.

    Parameters
    ----------
    wanted : Target
    values : array, shape (n,)
        The result in its own unit, NaN where there is none; or truths.
    own : float or None
        The drawing's own value, from which a wanted change counts.

    Returns
    -------
    dict of str to array of bool
        ``NAME below``, ``NAME above`` and ``NAME none``; of a truth ``NAME false`` or ``NAME true``. A change from a
        drawing that has no value is missed as ``none``.

    Examples
    --------
    >>> from detentsim.knife.target.target import Target
    >>> found = missed(Target("breakout_force", change=-0.2), np.array([8.0, 9.0]), None)
    >>> {how: where.tolist() for how, where in found.items() if where.any()}
    {'breakout_force none': [True, True]}
    """
    name = wanted.name
    if wanted.truth is not None:
        return {f"{name} {str(not wanted.truth).lower()}": values != wanted.truth}
    low, _ = ends(wanted, own)
    none = np.isnan(values) | (low is not None and np.isnan(low))
    below = ~none & (values < (-np.inf if low is None else low))
    return {f"{name} below": below, f"{name} above": ~meets(wanted, values, own) & ~none & ~below, f"{name} none": none}


def each_inside(
    results: Mapping[str, Array],
    flags: Mapping[str, Truth],
    target: Sequence[Target],
    excluded: Truth,
    start: Mapping[str, float | bool | None],
) -> Truth:
    """Which of many solved knives meet every target and have no warning of an unsound design; shape (n,).

    Parameters
    ----------
    results : mapping of str to array, shape (n,)
        The results that the targets are about [SI].
    flags : mapping of str to array of bool, shape (n,)
    target : sequence of Target
    excluded : array of bool, shape (n,)
        Knives whose sizes do not fit together; they are outside.
    start : mapping of str to float, bool or None
        Results from which wanted changes count, in their units.
    """
    values: dict[str, npt.NDArray[Any]] = {wanted.name: in_unit(wanted.name, results[wanted.name]) for wanted in target}
    truths = {name: array > 0 for name, array in values.items() if RESULTS[name].is_truth}
    why = outside(target, values | truths, flags, start, ~excluded)
    return np.asarray(~np.any([excluded, *why.values()], axis=0))
