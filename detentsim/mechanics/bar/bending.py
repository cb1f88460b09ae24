"""Bending the bar in: the push that leaves a wanted bend, its springback, and how hard the metal is bent for it.

A push at one point bends the bar most at its root; what yields is the relief, and the full bar beyond it where that is
hardly thicker. Moments are over the relief's first-yield moment. Beam theory, elastic-perfectly-plastic: no hardening,
so a real bar takes a little more push for a large bend. A wide relief lies between this and plane strain (`wide`).
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from detentsim.mechanics.bar import beam, plastic
from detentsim.mechanics.bar.plastic import HINGE
from detentsim.mechanics.roots import root_per_design

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

    from detentsim.mechanics.record import Array, Record

# Von Mises: a strip that cannot narrow across its width yields at this much more than a bar in tension.
PLANE_STRAIN_YIELD = 2 / np.sqrt(3)


def yield_moment(record: Record) -> Array:
    """First-yield moment of the relief, `sigma_y w t1^2/6` [N m]."""
    return np.asarray(record.yield_strength * record.width * record.relief_thickness**2 / 6)


def yield_curvature(record: Record) -> Array:
    """Curvature of the relief at first yield, `2 sigma_y/(E t1)` [1/m]."""
    return np.asarray(2 * record.yield_strength / (record.youngs_modulus * record.relief_thickness))


def thinning(record: Record) -> Array:
    """Thickness of the relief over that of the full bar [-]."""
    return np.asarray(record.relief_thickness / record.thickness)


def wide(record: Record) -> Record:
    """The same bar with the metal of a relief so wide that it cannot curl or narrow across its width.

    Plane strain: E/(1 - nu^2), and 2/sqrt(3) of the yield strength (von Mises). The other end of the band that a
    relief lies in; the beam is the near one.
    """
    stiff = record.youngs_modulus / (1 - record.poissons_ratio**2)
    return record._replace(youngs_modulus=stiff, yield_strength=record.yield_strength * PLANE_STRAIN_YIELD)


def bend_left(record: Record, root_moment: ArrayLike) -> Array:
    """Tip offset left by a push at `bend_push_at`, let go again [m] (closed form, derived).

    Parameters
    ----------
    record : Record
        The bar, any shape.
    root_moment : array_like
        Root moment of the push over the relief's first-yield moment; up to 1 none is left, and 1.5 is a hinge.

    Notes
    -----
    Integral of permanent curvature times `x_tip - x` over relief and full bar, the moment a straight line to nought at
    the push.
    """
    m0, at = np.asarray(root_moment, float), record.bend_push_at
    ratio = thinning(record)
    step = m0 * np.maximum(1 - record.relief_length / at, 0)
    with np.errstate(divide="ignore", invalid="ignore"):
        inner = _offset(record, m0 / at, m0, step)
        outer = ratio * _offset(record, m0 * ratio**2 / at, step * ratio**2, np.zeros_like(step))
    return np.asarray(yield_curvature(record) * np.where(m0 > 1, inner + outer, 0))


def _offset(record: Record, slope: Array, near: Array, far: Array) -> Array:
    """Tip offset of a stretch whose local moment falls from `near` to `far` with `slope` per metre [m^2]."""
    plain = plastic.bend_areas(near)[0] - plastic.bend_areas(far)[0]
    armed = plastic.bend_areas(near)[1] - plastic.bend_areas(far)[1]
    return np.asarray(((record.tip_from_root - record.bend_push_at) * plain + armed / slope) / slope)


def most_bend(record: Record) -> Array:
    """Tip offset left by a push that just makes a hinge of the root: more only folds it there [m]."""
    return bend_left(record, HINGE)


def root_moment(record: Record) -> Array:
    """Root moment of the push that left the bar its bend, over the relief's first yield [-].

    Between 1, for no bend at all, and 1.5 where a hinge took the rest. Solved for by SciPy on `bend_left`.
    """
    bends = np.minimum(np.abs(record.bend), most_bend(record))
    found = root_per_design(lambda one, moment, bend: bend_left(one, moment) - bend, record, 1.0, HINGE, bends)
    return np.where(np.isnan(found), HINGE, found)


def even_moments(record: Record) -> tuple[Array, Array]:
    """Moments that leave an even curvature along the bar, in relief and full bar, each over its own first yield [-].

    `y = b (x/x_tip)^2`, so the curvature left is `2 b/x_tip^2` everywhere; 1 for no bend.
    """
    curved = 2 * np.abs(record.bend) / record.tip_from_root**2 / yield_curvature(record)
    return plastic.moment_for_curvature(curved), plastic.moment_for_curvature(curved / thinning(record))


def even_springback(record: Record) -> Array:
    """Tip offset that a bar formed to an even curvature springs back by when it is let go [m]."""
    near, far = even_moments(record)
    tip, step = record.tip_from_root, np.minimum(record.relief_length, record.tip_from_root)
    inner, outer = step * (tip - step / 2), (tip - step) ** 2 / 2
    return np.asarray(yield_curvature(record) * (near * inner + thinning(record) * far * outer))


def by_push(record: Record) -> Array:
    """1 where the bend came from a push that this model follows: neither rolled along the bar nor over an edge."""
    return np.asarray(np.isnan(record.bend_at) & ~(np.asarray(record.bend_along) > 0)).astype(float)


def push_force(record: Record, moment: ArrayLike) -> Array:
    """Push at `bend_push_at` for a root moment over first yield [N]."""
    return np.asarray(np.asarray(moment, float) * yield_moment(record) / record.bend_push_at)


def springback(record: Record, force: ArrayLike) -> Array:
    """Tip travel that comes back when a push at `bend_push_at` is let go [m]; the whole bar and its root spring."""
    give = beam.flexibility(record, record.bend_push_at, record.tip_from_root) / record.calibration
    return np.asarray(np.asarray(force, float) * give)


def bend_from_push(record: Record, travel: ArrayLike) -> Array:
    """Tip offset left after a flat bar's tip is pushed in by `travel` and let go [m].

    Parameters
    ----------
    record : Record
        The bar; its own bend is not asked.
    travel : array_like
        How far the tip goes from flat under the push [m]; broadcasts with the record.

    Notes
    -----
    Solves `travel = bend_left + springback` for the root moment by SciPy; what is over after the root is a hinge stays.
    """
    unit = springback(record, push_force(record, 1.0))
    most = most_bend(record) + HINGE * unit
    wanted = np.minimum(travel, most)

    def miss(one: Record, moment: Array, unit: Array, wanted: Array) -> Array:
        return np.asarray(bend_left(one, moment) + moment * unit - wanted)

    moment = root_per_design(miss, record, 0.0, HINGE, unit, wanted)
    left = bend_left(record, np.where(np.isnan(moment), HINGE, moment))
    return np.asarray(left + np.maximum(np.asarray(travel, float) - most, 0))


def outer_strain(record: Record, moment: ArrayLike) -> Array:
    """Strain of the relief's outer fibre at the root under the push, `sigma_y/E / sqrt(3 - 2m)` [-]."""
    m = np.clip(np.asarray(moment, float), 0, None)
    with np.errstate(divide="ignore", invalid="ignore"):
        grown = np.where(m > 1, 1 / np.sqrt(np.maximum(3 - 2 * m, 0)), m)
    return np.asarray(record.yield_strength / record.youngs_modulus * grown)


def inside_radius(record: Record, moment: ArrayLike) -> Array:
    """Smallest radius on the inside of the bend at the root under the push, `t1/(2 strain) - t1/2` [m]."""
    with np.errstate(divide="ignore"):
        return np.asarray(record.relief_thickness / 2 * (1 / outer_strain(record, moment) - 1))
