"""Where a flag changes between two neighbouring designs of a sweep, solved by the kernel along the lines of the grid.

Reads the sweep's designs as they are made. Maps draw their borders through these points rather than in steps along the
grid.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np
import numpy.typing as npt

from detentsim.analysis.many_builds.sweep.solving import answer
from detentsim.mechanics.record import Array, Record, Truth

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from detentsim.analysis.many_builds.sweep.designs import Sweep

# Halvings of a step of the grid: the border is found to a sixtieth of it.
HALVINGS = 5


Places = npt.NDArray[np.intp]


class Cut(NamedTuple):
    """A plane of a sweep: the axes that lie across and up, the designs along each, and the index of the other axes."""

    x: int
    y: int
    along_x: Places  # shape (nx,), in the order drawn
    along_y: Places  # shape (ny,)
    fixed: Mapping[int, int]

    def of(self, s: Sweep, array: npt.ArrayLike) -> npt.NDArray[Any]:
        """Take an array over a sweep's designs on the plane; shape (nx, ny).

        Parameters
        ----------
        s : Sweep
        array : array_like
            Broadcasts to the sweep's shape.
        """
        whole = np.broadcast_to(np.asarray(array), s.shape)
        index = tuple(slice(None) if i in (self.x, self.y) else self.fixed.get(i, 0) for i in range(len(s.axes)))
        plane = whole[index] if self.x < self.y else whole[index].T
        return np.asarray(plane[np.ix_(self.along_x, self.along_y)])


class Turns(NamedTuple):
    """Where something turns between neighbours: the share of the way from the first to the second, NaN where not."""

    across: Array  # from (i, j) to (i + 1, j); shape (nx - 1, ny)
    up: Array  # from (i, j) to (i, j + 1); shape (nx, ny - 1)


def flag_turns(s: Sweep, cut: Cut, name: str) -> Turns:
    """Solve where a flag turns between neighbouring designs of a plane of a sweep.

    Parameters
    ----------
    s : Sweep
    cut : Cut
    name : str
        Of a flag.

    Returns
    -------
    Turns
        Half way along an axis of words or of bought sizes, where nothing lies between two values, and beside what was
        not solved.

    Notes
    -----
    Between two designs every number of the record runs straight from one to the other, as they are made; worn in, each
    design that is tried wears in by itself.

    Examples
    --------
    >>> import detentsim as ds
    >>> s = ds.sweep(ds.demo(), {"bar.bend": ["-1 mm", "1 mm"], "dimple.rim_feed": ["0 mm", "0.1 mm"]})
    >>> turns = flag_turns(s, Cut(0, 1, np.array([0, 1]), np.array([0, 1]), {}), "floats")
    >>> turns.across.shape, bool(np.all((turns.across > 0) & (turns.across < 1))), bool(np.any(turns.up > 0))
    ((1, 2), True, False)
    """
    mask = cut.of(s, s.flags[name]).astype(bool)
    solved = cut.of(s, s.done & ~s.excluded).astype(bool)
    fields = [cut.of(s, field).astype(float) for field in s.made]
    across, up = (np.where(np.not_equal(*_ends(mask, axis)), 0.5, np.nan) for axis in (0, 1))
    turns = Turns(across, up)
    scales = [s.axes[place].is_scale and not s.axes[place].is_states for place in (cut.x, cut.y)]
    where = [
        np.isfinite(share) & np.logical_and(*_ends(solved, axis)) & scales[axis] for axis, share in enumerate(turns)
    ]
    if not np.any(where[0]) and not np.any(where[1]):
        return turns
    first, second = ([_beside(field, where, end) for field in fields] for end in (0, 1))
    found = _halved((first, second), _beside(mask, where, 0), name, s.worn)
    for share, at, part in zip(turns, where, np.split(found, [np.count_nonzero(where[0])]), strict=True):
        share[at] = part
    return turns


def _ends(array: npt.NDArray[Any], axis: int) -> tuple[npt.NDArray[Any], npt.NDArray[Any]]:
    """First and second of all neighbours along an axis of a plane."""
    return (array[:-1], array[1:]) if axis == 0 else (array[:, :-1], array[:, 1:])


def _beside(array: npt.NDArray[Any], where: Sequence[Truth], end: int) -> npt.NDArray[Any]:
    """First or second of the neighbours that are looked between, along both axes."""
    return np.concatenate([_ends(array, axis)[end][at] for axis, at in enumerate(where)])


def _halved(ends: tuple[Sequence[Array], Sequence[Array]], at_first: Truth, name: str, worn: bool) -> Array:
    """Share of the way from the first designs to the second at which a flag turns; `at_first` is its value there."""
    low, step = np.zeros(at_first.size), 1.0
    for _ in range(HALVINGS):
        step /= 2
        tried = answer(_between(*ends, low + step), (), worn).flags[name]
        low = np.where(np.asarray(tried) == at_first, low + step, low)
    return low + step / 2


def _between(first: Sequence[Array], second: Sequence[Array], share: Array) -> Record:
    """Designs so far from the first ones toward the second; a field that is not finite in both stays as it was."""
    fields = []
    for a, b in zip(first, second, strict=True):
        known = np.isfinite(a) & np.isfinite(b)
        start, end = np.where(known, a, 0.0), np.where(known, b, 0.0)
        fields.append(np.where(known, start + share * (end - start), a))
    return Record(*fields)
