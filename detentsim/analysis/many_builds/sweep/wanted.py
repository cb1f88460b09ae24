"""Results requested of many builds: their names as given, errors in them, and inputs that they need."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

import numpy as np

from detentsim.knife.checks.problems import BuildError, Problem
from detentsim.knife.outcomes import FLAGS, OTHERWISE
from detentsim.knife.table.schema import suggestion
from detentsim.mechanics.names import ALL_NAMES, MOTION_NAMES, RESULT_NAMES
from detentsim.units.wording import shown

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from detentsim.mechanics.record import Record

YES_NO = ("opens_fully", "falls_shut", "carry_g")
"""Results of the moving and of the carried blade that are asked for where the blade is described well enough."""

_BLADE = {"blade.mass": "blade_mass", "blade.balance_radius": "balance_radius"}


def read_names(of: object) -> tuple[str, ...]:
    """Names of the requested results, each once.

    Parameters
    ----------
    of : str, iterable of str or None
        One name, several, or None for the static results.

    Raises
    ------
    BuildError
        With every name that is no result.
    """
    if of is None:
        return RESULT_NAMES
    names = tuple(of) if isinstance(of, Iterable) and not isinstance(of, str) else (of,)
    wrong = [f"{shown(name)} is no result{_near(name)}" for name in names if name not in ALL_NAMES]
    if wrong:
        raise BuildError([Problem("", None, "of", text) for text in wrong])
    return tuple(dict.fromkeys(map(str, names)))


def need_inputs(record: Record, names: tuple[str, ...], asking: Mapping[str, str] | None = None) -> None:
    """Refuse results of motion that lack an input.

    Parameters
    ----------
    record : Record
        Of all designs.
    names : tuple of str
        Requested results.
    asking : mapping of str to str, optional
        What asks for a result, by its name; ``of`` where it is left out.

    Raises
    ------
    BuildError
    """
    told = [((asking or {}).get(text.partition(" ")[0], "of"), text) for text in lacking(record, names)]
    if told:
        raise BuildError([Problem("", None, field, text) for field, text in told])


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
    if str(name) in FLAGS:
        return "; it is a flag, and every flag is given whatever results are asked for"
    return OTHERWISE.get(str(name)) or suggestion(str(name), ALL_NAMES) or f"; there are {', '.join(ALL_NAMES)}"
