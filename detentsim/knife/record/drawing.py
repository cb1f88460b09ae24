"""Draws knives at random: the sampling points of a batch, and the knives at them."""

from __future__ import annotations

from functools import cache
from importlib.resources import as_file, files
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
import numpy.typing as npt

from detentsim.knife.record.fields import assemble
from detentsim.knife.record.record import drawn

if TYPE_CHECKING:
    from detentsim.knife.model import Build
    from detentsim.knife.record.doubts import Doubt
    from detentsim.mechanics.record import Array, Record, Truth

    # Values of inputs drawn before, by place in the spread and by distribution.
    Known = dict[tuple[int, Doubt], Array]

REPLICATES = 16
"""Independently scrambled sequences of one set of points; their scatter tells how sure a share is."""

WIDTH = 32
"""Dimensions that are made in any case, so that a point does not depend on how many inputs vary."""

FEW = 256
"""Points of seed 0 that stand in a file."""

TOGETHER = 16
"""Builds whose knives are solved in one call of the kernel: 256 knives alone cost three times as much a knife."""


class Drawn(NamedTuple):
    """Knives drawn from one drawing, before they are solved."""

    values: dict[str, Array]  # of each input that varies [SI], shape (n,)
    record: Record
    misfits: dict[str, Truth]  # knives whose sizes do not fit together, by what is wrong, in words
    excluded: Truth  # the same, whatever is wrong; shape (n,)


def draw(build: Build, spread: tuple[Doubt, ...], shares: npt.NDArray[np.float64], known: Known | None = None) -> Drawn:
    """Knives at given points of the distributions.

    Parameters
    ----------
    build : Build
    spread : tuple of Doubt
        Of the inputs that vary.
    shares : array, shape (n, inputs)
        Share of the knives whose input lies below, 0 to 1.
    known : dict, optional
        Values drawn before at the same points, which are not drawn again; what is new is put in.

    Returns
    -------
    Drawn
    """
    drawn_so_far: Known = {} if known is None else known
    for i, doubt in enumerate(spread):
        if (i, doubt) not in drawn_so_far:
            drawn_so_far[i, doubt] = doubt.at(shares[:, i])
    return with_values(build, {doubt.name: drawn_so_far[i, doubt] for i, doubt in enumerate(spread)}, len(shares))


def with_values(build: Build, values: dict[str, Array], size: int) -> Drawn:
    """Knives with given inputs.

    Parameters
    ----------
    build : Build
    values : dict of str to array, shape (n,)
        Of each input that varies [SI]; over-close is a length at the ball.
    size : int
        Number of knives.

    Returns
    -------
    Drawn
    """
    laid = drawn(build, values)
    misfits = {words: np.array(np.broadcast_to(where, size)) for words, where in laid.misfits.items()}
    return Drawn(values, assemble(laid.numbers), misfits, laid.excluded(size))


def spread_points(dimensions: int, count: int, seed: int = 0) -> npt.NDArray[np.float64]:
    """Points of independently scrambled Sobol' sequences, taken from each in turn.

    Parameters
    ----------
    dimensions : int
    count : int
        A multiple of `REPLICATES` and a power of two.
    seed : int

    Returns
    -------
    array, shape (count, dimensions)
        Inside (0, 1). Point i is of sequence i modulo `REPLICATES`; of one seed, more points begin with the fewer, and
        more dimensions, up to `WIDTH`, with the fewer.

    Notes
    -----
    `scipy.stats.qmc.Sobol`: Joe and Kuo's direction numbers, Matousek's linear scramble with a digital shift.
    """
    if seed == 0 and count <= FEW and dimensions <= WIDTH:
        return _first_points()[:count, :dimensions]
    return sobol_points(max(dimensions, WIDTH), count, seed)[:, :dimensions]


def sobol_points(dimensions: int, count: int, seed: int) -> npt.NDArray[np.float64]:
    """Points as `spread_points` gives them, made anew; shape (count, dimensions).

    Parameters
    ----------
    dimensions, count, seed : int
    """
    from scipy.stats import qmc  # takes longer to load than a curve to solve

    each = count // REPLICATES
    points = np.empty((each, REPLICATES, dimensions))
    for i in range(REPLICATES):
        points[:, i] = qmc.Sobol(dimensions, rng=np.random.default_rng([seed, i])).random(each)
    return off_ends(points.reshape(count, dimensions))


def off_ends(shares: npt.NDArray[np.float64]) -> npt.NDArray[np.float64]:
    """Shares of the knives, kept off 0 and 1, where a distribution without ends has no value.

    Parameters
    ----------
    shares : array
    """
    return np.clip(shares, 2.0**-40, 1 - 2.0**-40)


@cache
def _first_points() -> npt.NDArray[np.float64]:
    """The first points of seed 0, from a file: 30 binary digits each, as SciPy makes them."""
    with as_file(files("detentsim.knife.record") / "points.npy") as path:
        whole = np.load(path)
    points = off_ends(whole / 2.0**30)
    points.setflags(write=False)
    return np.asarray(points)
