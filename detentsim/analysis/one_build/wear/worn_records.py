"""Many designs with their edges worn in: each design's own radii, as `detentsim.worn_in` gives them one by one."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from detentsim.analysis.one_build.wear.passes import (
    INNER,
    UPPER,
    carrier,
    in_row,
    passes,
    points_on,
    settles,
)
from detentsim.mechanics.names import NO_PUSH
from detentsim.mechanics.record import Record, full
from detentsim.mechanics.response import respond

if TYPE_CHECKING:
    from detentsim.mechanics.record import Array

TOGETHER = 256
"""Designs whose paths are followed at once, so that most arrays stay in the second-level cache."""


def worn_radii(record: Record) -> dict[str, Array]:
    """Radii of the dimple's edges worn in, by field of the record; a design without a breakout keeps its own.

    Parameters
    ----------
    record : Record
        Fields of any shapes that broadcast.

    Returns
    -------
    dict of str to array
        In the record's full shape [m].
    """
    wide = full(record)
    shape, row = wide.bend.shape, Record(*(field.ravel() for field in wide))
    parts = [_worn(Record(*(field[i : i + TOGETHER] for field in row))) for i in range(0, row.bend.size, TOGETHER)]
    return {name: np.concatenate([part[name] for part in parts]).reshape(shape) for name in (UPPER, INNER)}


def _worn(record: Record) -> dict[str, Array]:
    response = in_row(respond(record, ()))
    dead = np.logical_or.reduce([response.flags[name] for name in NO_PUSH])
    radii = {UPPER: record.edge_radius, INNER: record.inner_edge_radius}
    alive = np.flatnonzero(~dead)
    if not alive.size:
        return radii
    passed = passes(response)
    worn = {}
    for name, typed in radii.items():
        at = carrier(record, name, passed)
        at = at._replace(on=at.on & ~dead[:, None])
        _, settled = settles(record, points_on(record, at, passed), at)
        worn[name] = np.where(at.on.any(axis=-1), np.maximum(settled, typed), typed)
    return worn
