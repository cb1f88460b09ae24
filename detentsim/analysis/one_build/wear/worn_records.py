"""Many designs with their edges worn in: each design's own radii, as `detentsim.worn_in` gives them one by one."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from detentsim.analysis.one_build.wear.passes import INNER, UPPER, in_row
from detentsim.analysis.one_build.wear.pressed import pressed_edges
from detentsim.mechanics.contact.dimple import Pieces
from detentsim.mechanics.detent.solution import SolvedDetent, Spring
from detentsim.mechanics.names import NO_PUSH
from detentsim.mechanics.record import Record
from detentsim.units.errors import InputError
from detentsim.units.wording import shown

if TYPE_CHECKING:
    from collections.abc import Sequence

    from detentsim.knife.model import Build
    from detentsim.knife.table.columns import Column
    from detentsim.mechanics.record import Array, Truth
    from detentsim.mechanics.response import Response

RADII = (UPPER, INNER)
"""Fields of a record that use changes."""

EDGE = f"dimple.{UPPER}"

WORN = "worn in"
"""Word by which a build says that its edge is no longer as drilled."""

ALREADY = f'{EDGE} is "{WORN}", so its edges have worn in already'
"""Why such a build is told no further wear-in."""

TOGETHER = 512
"""Designs whose paths are followed at once, so that most arrays stay in the second-level cache."""


def worn_already(build: Build) -> str:
    """Why a build's edges wear in no more, in a clause; empty where they do.

    Parameters
    ----------
    build : Build
    """
    typed = build[EDGE]
    return ALREADY if typed is not None and typed.text == WORN else ""


def check_wears(build: Build, worn_in: object, columns: Sequence[Column] = ()) -> None:
    """Refuse to wear in what has worn in already.

    Parameters
    ----------
    build : Build
    worn_in : bool
        Whether it is to wear in.
    columns : sequence of Column
        Values of the inputs that are varied.

    Raises
    ------
    InputError
    """
    if not isinstance(worn_in, bool):
        raise InputError("worn_in", worn_in, f"{shown(worn_in)} is neither true nor false; give True or leave it out")
    varied = next((column for column in columns if column.name == EDGE), None)
    why = worn_already(build) if varied is None else ALREADY * any(varied.raw(i) == WORN for i in range(len(varied)))
    if worn_in and why:
        text = f'{why}; leave --worn-in (worn_in) out, or give the radius of the drilled edge, such as "0.02 mm"'
        raise InputError("worn_in", worn_in, text)


def worn_radii(fresh: Response) -> dict[str, Array]:
    """Radii of the dimple's edges worn in, by field of the record; a design without a breakout keeps its own.

    Parameters
    ----------
    fresh : Response
        Of designs of any shape with their edges as drilled.

    Returns
    -------
    dict of str to array
        In the designs' shape [m].
    """
    solved, rest = in_row(fresh)
    dead = np.logical_or.reduce([np.ravel(fresh.flags[name]) for name in NO_PUSH])
    every = [slice(i, i + TOGETHER) for i in range(0, max(rest.size, 1), TOGETHER)]
    parts = [_worn(_some(solved, part), rest[part], dead[part]) for part in every]
    return {name: np.concatenate([part[name] for part in parts]).reshape(np.shape(fresh.rest.phi)) for name in RADII}


def _some(solved: SolvedDetent, part: slice) -> SolvedDetent:
    record, spring, shape = ([field[part] for field in fields] for fields in solved)
    return SolvedDetent(Record(*record), Spring(*spring), Pieces(*shape))


def _worn(solved: SolvedDetent, rest: Array, dead: Truth) -> dict[str, Array]:
    return {name: pressed.radius for name, pressed in pressed_edges(solved, rest, dead).items()}
