"""Bending the bar in: push, springback, and pushes that add or take out some bend."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from detentsim.mechanics.bar import bending, service
from detentsim.mechanics.bar.plastic import HINGE
from detentsim.mechanics.detent import limits

if TYPE_CHECKING:
    from detentsim.mechanics.record import Record
    from detentsim.shop.materials import Material

MM = 1e-3

# Bends about the wanted one that the bench table shows [mm].
STEPS = (0.1, 0.2, 0.4)


@dataclass(frozen=True)
class Bending:
    """Forming the bend of the bar; lengths in mm, None where not applicable.

    Attributes
    ----------
    way : str
        ``push`` at one point, ``along`` formed to an even curvature, ``edge`` bent over an edge, or ``flat``.
    bend, push, springback : float or None
        Wanted bend; tip offset from flat while it is made; what comes back.
    force : float or None
        Push [N] at `push_at`.
    push_at : float
        From the root.
    strain : float or None
        Outer fibre's, at the root [-].
    radius, least_radius : float or None
        Inside radius at the root under the push; the least that the sheet's standard bends it to.
    most : float or None
        Most bend that one push at the tip leaves, whichever way this bar was bent: beyond it the root folds at a hinge.
    """

    way: str
    bend: float
    push: float | None
    springback: float | None
    force: float | None
    push_at: float
    strain: float | None
    radius: float | None
    least_radius: float | None
    most: float | None
    record: Record = field(repr=False, compare=False)

    @cached_property
    def wide(self) -> tuple[float, float] | None:
        """Push and force [N] of a relief so wide that it can neither curl nor narrow; None without a push."""
        return _wide(self.record) if self.force is not None else None

    @cached_property
    def more(self) -> tuple[tuple[float, float], ...]:
        """Bends, and the offset from flat to hold the tip at for each; none without a push."""
        return _more(self.record) if self.way == "push" else ()

    @cached_property
    def less(self) -> tuple[tuple[float, float], ...]:
        """Bends, and the offset the other side of flat to pull the tip out to for each; none without a push."""
        return _less(self.record) if self.force is not None else ()

    def to_dict(self) -> dict[str, object]:
        """Return all of it by name, for a document."""
        return {name: getattr(self, name) for name in (*_FORMED, "more", "less")}


_FORMED = ("way", "bend", "push", "springback", "force", "push_at", "wide", "strain", "radius", "least_radius", "most")


def read_bending(record: Record, material: Material) -> Bending:
    """Push, force and springback that form the bend of one bar.

    Parameters
    ----------
    record : Record
        One design.
    material : Material
        Of the bar.
    """
    way = _way(record)
    push, back = (millimetres(part) for part in limits.bending_in(record))
    near = float(bending.even_moments(record)[0] if way == "along" else bending.root_moment(record))
    bent, known = way in ("push", "along") and push is not None, way == "push" and push is not None
    least = material.bend_radius(float(record.relief_thickness))
    return Bending(
        way,
        float(record.bend) / MM,
        push,
        back,
        float(bending.push_force(record, near)) if known else None,
        float(record.bend_push_at) / MM,
        float(bending.outer_strain(record, near)) if bent else None,
        millimetres(bending.inside_radius(record, near)) if bent else None,
        None if least is None else least / MM,
        millimetres(bending.most_bend(record)),
        record,
    )


def _way(record: Record) -> str:
    if float(record.bend) == 0:
        return "flat"
    if not np.isnan(record.bend_at):
        return "edge"
    return "along" if float(record.bend_along) > 0 else "push"


def millimetres(metres: object) -> float | None:
    """Length in mm, None where NaN.

    Parameters
    ----------
    metres : float
        [m].
    """
    value = float(np.asarray(metres)) / MM
    return value if np.isfinite(value) else None


def _wide(record: Record) -> tuple[float, float] | None:
    """Push [mm] and force [N] in plane strain (metal held across the width); elastic springback unchanged."""
    held = bending.wide(record)
    moment = bending.root_moment(held)
    if float(moment) >= HINGE:
        return None
    force = bending.push_force(held, moment)
    return float(abs(record.bend) + bending.springback(record, force)) / MM, float(force)


def _more(record: Record) -> tuple[tuple[float, float], ...]:
    """Tip offsets that form this bend, and some larger ones."""
    start, side = abs(float(record.bend)), float(np.sign(record.bend))
    bends = np.array([start, *(start + step * MM for step in STEPS)])
    shaped = record._replace(bend=bends * side)
    push = limits.bending_in(shaped)[0]
    return tuple((float(b) * side / MM, float(p) / MM) for b, p in zip(bends, push, strict=True) if np.isfinite(p))


def _less(record: Record) -> tuple[tuple[float, float], ...]:
    """Offsets past flat to pull the tip out to, to take some bend out: the push past yield, then its springback."""
    lost = np.array([step * MM for step in STEPS if step * MM <= float(record.bend)])
    if lost.size == 0:
        return ()
    force = bending.push_force(record, service.take_out(record, lost))
    offset = bending.springback(record, force) - (record.bend - lost)
    pairs = zip(record.bend - lost, offset, strict=True)
    return tuple((float(b) / MM, float(out) / MM) for b, out in pairs if np.isfinite(out))
