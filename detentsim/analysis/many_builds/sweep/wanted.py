"""Results requested of many builds: their names as given, errors in them, and inputs that they need."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

import numpy as np

from detentsim.knife.outcomes import FLAGS
from detentsim.knife.table.schema import suggestion
from detentsim.mechanics.names import LIMIT_NAMES, MOTION_NAMES, RESULT_NAMES
from detentsim.units.wording import shown

if TYPE_CHECKING:
    from detentsim.mechanics.record import Record

NAMED_ONLY = (*LIMIT_NAMES, *MOTION_NAMES)
"""Results given only when requested by name."""

_BLADE = {"blade.mass": "blade_mass", "blade.balance_radius": "balance_radius"}


def names_of(of: object) -> tuple[object, ...]:
    """Names of the requested results, as given.

    Parameters
    ----------
    of : str, iterable of str or None
        One name, several, or None for the static results.
    """
    if of is None:
        return RESULT_NAMES
    return tuple(of) if isinstance(of, Iterable) and not isinstance(of, str) else (of,)


def unanswered(names: tuple[object, ...]) -> Iterator[str]:
    """Errors in the names of the requested results, a sentence each.

    Parameters
    ----------
    names : tuple
        As from `names_of`.

    Yields
    ------
    str
    """
    known = (*RESULT_NAMES, *NAMED_ONLY)
    yield from (f"{shown(name)} is no result{_near(name)}" for name in names if name not in known)


def lacking(record: Record, names: tuple[str, ...]) -> Iterator[str]:
    """Inputs that the blade lacks for the requested results of motion, a sentence each.

    Parameters
    ----------
    record : Record
        Of all designs; an input that any of them has is not lacking.
    names : tuple of str
        Requested results.

    Yields
    ------
    str
    """
    missing = [name for name, field in _BLADE.items() if np.all(np.isnan(getattr(record, field)))]
    weighed = [name for name in names if name in ("falls_shut", "hang_angle", "closing_spare", "carry_g")]
    if weighed and missing:
        yield f'{weighed[0]} needs {" and ".join(missing)}, such as "24 gram" at "34 mm"'
    moved = [name for name in names if name in MOTION_NAMES and name not in weighed]
    if moved and np.all(np.isnan(record.blade_inertia)):
        yield f'{moved[0]} needs blade.inertia, such as "40 kg*mm**2", or its pendulum_period, or its shape'


def _near(name: object) -> str:
    known = (*RESULT_NAMES, *NAMED_ONLY)
    if str(name) in FLAGS:
        return "; it is a flag, and every flag is given whatever results are asked for"
    return suggestion(str(name), known) or f"; there are {', '.join(known)}"
