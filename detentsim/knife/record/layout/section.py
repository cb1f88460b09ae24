"""The section ``[layout]`` as read: the tang's edges, the ball's place on the bar, and the sizes that follow from it.

Uses `loops`; `reading` makes it. A drawing file is read by `dxf` when its edges are first asked for.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

import numpy as np

from detentsim.knife.record.layout.loops import Loop, Point, edges_of
from detentsim.mechanics.contact.plan.plane import Array, Edges, inside
from detentsim.units.errors import InputError


@dataclass(frozen=True)
class Pin:
    """The closed stop pin in plan."""

    at: Point  # [m]
    diameter: float  # [m]
    fixed_in: Literal["handle", "blade"]


@dataclass(frozen=True)
class DrawingFile:
    """Where the edges come from when they stand in a drawing file."""

    path: str
    unit: str  # empty: as the file says
    layer: str  # empty: all


@dataclass(frozen=True)
class Tang:
    """The tang in plan: its edges, the chamfer along each and the name of each."""

    edges: Edges
    chamfer: Array
    names: tuple[str, ...]


@dataclass(frozen=True, eq=False)
class LayoutSection:
    """``[layout]`` in SI: seen from the bar's side with the blade closed, x along the bar toward its lock face.

    Attributes
    ----------
    loops : tuple of Loop
        Outline, then holes; empty where a drawing file holds them.
    drawn : DrawingFile or None
    pivot : tuple of float
        [m]
    sense : float
        +1 where the blade opens counterclockwise as drawn, else -1.
    lock_face, bar_edge : float
        x of the bar's lock face; y of the edge that the ball is scribed from [m].
    inward : float
        +1 where the bar lies above that edge, -1 below it.
    from_lock_face, from_edge : float
        The ball's place on the bar [m].
    chamfer : float
        Round the tang and its holes where an edge has none of its own [m].
    pin : Pin or None
    typed : str
        The ball's distance from the lock face as typed; its unit is that of derived sizes.
    """

    loops: tuple[Loop, ...]
    drawn: DrawingFile | None
    pivot: Point
    sense: float
    lock_face: float
    bar_edge: float
    inward: float
    from_lock_face: float
    from_edge: float
    chamfer: float
    pin: Pin | None
    typed: str

    @property
    def ball(self) -> Point:
        """Where the ball stands [m]."""
        return self.lock_face - self.from_lock_face, self.bar_edge + self.inward * self.from_edge

    @property
    def radius(self) -> float:
        """From the pivot to the ball, ``tang.pivot_to_ball`` [m]."""
        return math.dist(self.ball, self.pivot)

    @property
    def travel_angle(self) -> float:
        """How far off square the ball travels across the bar, ``tang.travel_angle`` [rad].

        The tang passes the ball at right angles to the radius, so the ball moves over it the other way.
        """
        off = self.sense * (self.ball[1] - self.pivot[1]) / max(self.radius, 1e-12)
        return math.asin(max(-1.0, min(1.0, off)))

    def sizes(self, tip_from_root: float) -> dict[str, float]:
        """Sizes of the build that follow from the ball's place, by dotted name [m], [rad].

        Parameters
        ----------
        tip_from_root : float
            From the root to the lock face [m]; not a number where it is not known.
        """
        found = {"tang.pivot_to_ball": self.radius, "tang.travel_angle": self.travel_angle}
        return found | {"bar.ball_from_root": tip_from_root - self.from_lock_face}

    def tang(self, folder: Path | None = None) -> Tang:
        """Edges of the tang, from the section or from its drawing file.

        Parameters
        ----------
        folder : Path, optional
            That of the build file, from which a drawing's path counts.

        Raises
        ------
        InputError
            Where the drawing cannot be read, or the pivot lies off the tang.
        """
        loops = self.loops
        if self.drawn is not None:
            from detentsim.knife.record.layout.dxf import read_loops

            loops = read_loops((folder or Path()) / self.drawn.path, self.drawn.unit, self.drawn.layer)
        edges, chamfer, names = edges_of(loops, self.chamfer)
        need_pivot(edges, self.pivot)
        return Tang(edges, chamfer, names)


def need_pivot(edges: Edges, pivot: Point) -> None:
    """Refuse a pivot outside the outline.

    Parameters
    ----------
    edges : Edges
    pivot : tuple of float
        [m]
    """
    if not bool(inside(edges, np.array(pivot))[0]):
        raise InputError("layout.pivot", None, "lies outside the outline; give the pivot's centre in the same drawing")
