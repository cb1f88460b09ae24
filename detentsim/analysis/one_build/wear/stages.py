"""Stages of use: what is told of each, radii of the dimple's two edges, and the kernel's answers for them.

A pair of radii stands on the last axis: of the dimple's edge, and of that between its two drills [m].
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from detentsim.analysis.one_build.wear.passes import INNER, UPPER
from detentsim.analysis.results import Named, Results
from detentsim.knife.record.fields import assemble
from detentsim.mechanics.contact.coining.wearing import WEAR
from detentsim.mechanics.response import respond

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from detentsim.analysis.one_build.wear.edges import EdgeWear
    from detentsim.knife.record.inputs import Plain
    from detentsim.mechanics.record import Array
    from detentsim.mechanics.response import Response

CHANGED = (f"dimple.{UPPER}", f"dimple.{INNER}")
"""Inputs that use changes."""


@dataclass(frozen=True)
class Stage(Named):
    """The build at one stage of its life. Results are attributes: quantities, or None where there is none.

    Attributes
    ----------
    name : str
        ``fresh``, ``first openings``, ``worn in``, or ``oiled, least`` and the like after the openings asked for.
    edge_radius, inner_edge_radius : float
        Of the dimple's edge and of that between its two drills [mm].
    results : dict of str to float or None
        By result name, in the unit of `detentsim.knife.outcomes.RESULTS`.
    flags : tuple of str
        Raised flags.
    """

    name: str
    edge_radius: float
    inner_edge_radius: float
    results: Results
    flags: tuple[str, ...]


@dataclass(frozen=True)
class Edge:
    """One edge of the dimple; lengths in mm, pressures in MPa.

    Attributes
    ----------
    name : str
        ``edge_radius`` or ``inner_edge_radius``.
    angle : float
        That the metal fills [deg].
    fresh, coined, settled : float
        Radius as typed, after the first openings, worn in.
    pressure : float or None
        Greatest on it as typed, elastic; None on a sharp edge.
    borne_first, borne_for_ever : float
        Peak pressures that it bears without flowing at once, and without creeping on with each opening.
    """

    name: str
    angle: float
    fresh: float
    coined: float
    settled: float
    pressure: float | None
    borne_first: float
    borne_for_ever: float


def stage_radii(edges: Sequence[EdgeWear], own: Array, openings: int) -> dict[str, Array]:
    """Pair of radii by stage: fresh, after the first openings, worn in, and after so many openings.

    Parameters
    ----------
    edges : sequence of EdgeWear
    own : array, shape (2,)
        Fresh [m].
    openings : int
    """
    radii = {"fresh": own}
    for stage, field in (("first openings", "coined"), ("worn in", "settled")):
        radii[stage] = _pairs({edge.name: getattr(edge, field) for edge in edges}, own)
    for state, ends in WEAR.items():
        for which, coefficient in zip(("least", "most"), ends, strict=True):
            radii[f"{state}, {which}"] = radii_after(edges, own, np.array([openings], float), coefficient)[0]
    return radii


def radii_after(edges: Sequence[EdgeWear], own: Array, openings: Array, coefficient: float) -> Array:
    """Pairs of radii after numbers of openings (n,) with a coefficient of wear, shape (n, 2) [m].

    Parameters
    ----------
    edges : sequence of EdgeWear
    own : array, shape (2,)
        Fresh [m].
    openings : array, shape (n,)
    coefficient : float
        Archard's [-].
    """
    return _pairs({edge.name: edge.worn(openings, coefficient) for edge in edges}, own, openings.shape)


def _pairs(known: Mapping[str, npt.ArrayLike], own: Array, shape: tuple[int, ...] = ()) -> Array:
    # A radius that is typed larger than the dimple has room for stays as it is typed.
    larger = [np.maximum(known.get(name, own[i]), own[i]) for i, name in enumerate((UPPER, INNER))]
    return np.stack([np.broadcast_to(radius, shape) for radius in larger], axis=-1)


def with_radii(numbers: Plain, radii: Array) -> dict[str, Array]:
    """Inputs that give pairs of radii, shape (..., 2) [m], by dotted name; a coat is no part of them.

    Parameters
    ----------
    numbers : dict
        Plain numbers of the build.
    radii : array, shape (..., 2)
        [m].
    """
    coat = float(np.nan_to_num(np.asarray(numbers.get("tang.coating", 0.0), float)))
    return {name: np.maximum(radii[..., i] - coat, 0) for i, name in enumerate(CHANGED)}


def solved_with(numbers: Plain, radii: Array) -> Response:
    """Response of a build with pairs of radii, each result of shape (...).

    Parameters
    ----------
    numbers : dict
        Plain numbers of the build.
    radii : array, shape (..., 2)
        [m].
    """
    return respond(assemble({**numbers, **with_radii(numbers, radii)}))
