"""Bending the bar in: push for a bend, springback, and strain of the metal.

A push at one point bends the bar most at its root; the relief yields, and the full bar beyond it where that is hardly
thicker. Moments are over the relief's first-yield moment. Beam theory, elastic-perfectly-plastic: no hardening, so a
real bar takes a little more push for a large bend. A wide relief lies between this and plane strain (`wide`). Uses
``plastic`` (the section) and ``beam`` (springback); ``remembered`` and ``service`` use it.
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
    """First-yield moment of the relief, `sigma_y w t1^2/6` [N m].

    Source: any text on mechanics of materials.

    >>> import detentsim as ds
    >>> knife = ds.curve(ds.demo()).response.load.record
    >>> round(float(yield_moment(knife)), 5)
    0.89424
    """
    return np.asarray(record.yield_strength * record.width * record.relief_thickness**2 / 6)


def yield_curvature(record: Record) -> Array:
    """Curvature of the relief at first yield, `2 sigma_y/(E t1)` [1/m].

    Source: any text on mechanics of materials.

    >>> import detentsim as ds
    >>> knife = ds.curve(ds.demo()).response.load.record
    >>> float(yield_curvature(knife) * knife.youngs_modulus * knife.relief_thickness / knife.yield_strength)
    2.0
    """
    return np.asarray(2 * record.yield_strength / (record.youngs_modulus * record.relief_thickness))


def thinning(record: Record) -> Array:
    """Thickness of the relief over that of the full bar, `t1/t2` [-].

    >>> import detentsim as ds
    >>> round(float(thinning(ds.curve(ds.demo()).response.load.record)), 9)
    0.3
    """
    return np.asarray(record.relief_thickness / record.thickness)


def wide(record: Record) -> Record:
    """Record with the metal of a relief so wide that it can neither curl nor narrow across its width.

    Plane strain: `E/(1 - nu^2)`, and 2/sqrt(3) of the yield strength (von Mises; any text on plasticity). It is one end
    of the band in which a relief lies; the beam is the other.

    >>> import detentsim as ds
    >>> knife = ds.curve(ds.demo()).response.load.record
    >>> round(float(wide(knife).yield_strength / knife.yield_strength), 6)
    1.154701
    """
    stiff = record.youngs_modulus / (1 - record.poissons_ratio**2)
    return record._replace(youngs_modulus=stiff, yield_strength=record.yield_strength * PLANE_STRAIN_YIELD)


def bend_left(record: Record, root_moment: ArrayLike) -> Array:
    """Tip offset left by a push at `bend_push_at` that is let go again [m].

    Parameters
    ----------
    record : Record
        The bar, any shape.
    root_moment : array_like
        Root moment of the push over the relief's first-yield moment; up to 1 leaves none, 1.5 is a plastic hinge.

    Returns
    -------
    array

    Notes
    -----
    `int kappa_left (x_tip - x) dx` over relief and full bar, the moment a straight line to zero at the push; closed
    form, derived in studies/00-the-model.ipynb.

    Examples
    --------
    >>> import detentsim as ds
    >>> float(bend_left(ds.curve(ds.demo()).response.load.record, 1.0))
    0.0
    """
    m0, at = np.asarray(root_moment, float), record.bend_push_at
    ratio = thinning(record)
    step = m0 * np.maximum(1 - record.relief_length / at, 0)
    with np.errstate(divide="ignore", invalid="ignore"):
        inner = _offset(record, m0 / at, m0, step)
        outer = ratio * _offset(record, m0 * ratio**2 / at, step * ratio**2, np.zeros(()))
    return np.asarray(yield_curvature(record) * np.where(m0 > 1, inner + outer, 0))


def _offset(record: Record, slope: Array, near: Array, far: Array) -> Array:
    """Tip offset from a part of the bar whose moment, over its own first yield, falls from `near` to `far` [m^2]."""
    (plain, armed), (plain_far, armed_far) = plastic.bend_areas(near), plastic.bend_areas(far)
    plain, armed = plain - plain_far, armed - armed_far
    return np.asarray(((record.tip_from_root - record.bend_push_at) * plain + armed / slope) / slope)


def most_bend(record: Record) -> Array:
    """Tip offset left by a push that just makes a plastic hinge of the root [m]; more travel only folds it there.

    `bend_left` at 1.5, derived in studies/00-the-model.ipynb.

    >>> import detentsim as ds
    >>> knife = ds.curve(ds.demo()).response.load.record
    >>> bool(most_bend(knife) > knife.bend)
    True
    """
    return bend_left(record, HINGE)


def root_moment(record: Record) -> Array:
    """Root moment of the push that left the bar its bend, over the relief's first-yield moment [-].

    From 1, for no bend, to 1.5, where a plastic hinge took the rest. Inverts `bend_left` by SciPy's bracketed root.

    >>> import detentsim as ds
    >>> knife = ds.curve(ds.demo()).response.load.record
    >>> round(float(bend_left(knife, root_moment(knife)) / knife.bend), 9)
    1.0
    """
    if any(np.ndim(field) for field in record):
        return _root_moments(record)
    key = tuple(float(getattr(record, name)) for name in _BENT_BY)
    known = _known_moments.get(key)
    if known is None:
        known = float(_root_moments(record))
        if len(_known_moments) >= KNOWN:
            _known_moments.clear()
        _known_moments[key] = known
    return np.asarray(known)


# Fields that the bending moment of a bar depends on, and the moments of single designs solved so far: the limits of one
# build ask for the same one some twenty times.
_BAR = ("bend_push_at", "tip_from_root", "relief_length", "relief_thickness", "thickness")
_BENT_BY = ("bend", *_BAR, "youngs_modulus", "yield_strength")

_known_moments: dict[tuple[float, ...], float] = {}

KNOWN = 1000


def _root_moments(record: Record) -> Array:
    bends = np.minimum(np.abs(record.bend), most_bend(record))
    moment = root_per_design(lambda one, moment, bend: bend_left(one, moment) - bend, record, 1.0, HINGE, bends)
    return np.where(np.isnan(moment), HINGE, moment)


def even_moments(record: Record) -> tuple[Array, Array]:
    """Moments that left an even curvature along the bar, in relief and full bar, each over its own first yield [-].

    `y = b (x/x_tip)^2`, so the curvature left is `2 b/x_tip^2` everywhere (derived); 1 for no bend.

    >>> import detentsim as ds
    >>> knife = ds.curve(ds.demo()).response.load.record
    >>> [float(m) for m in even_moments(knife._replace(bend=np.array(0.0)))]
    [1.0, 1.0]
    """
    curved = 2 * np.abs(record.bend) / record.tip_from_root**2 / yield_curvature(record)
    return plastic.moment_for_curvature(curved), plastic.moment_for_curvature(curved / thinning(record))


def even_springback(record: Record) -> Array:
    """Tip offset by which a bar formed to an even curvature springs back [m].

    `int M/(E I) (x_tip - x) dx` of the moments of `even_moments` (unit-load integral, derived).
    """
    near, far = even_moments(record)
    tip, step = record.tip_from_root, np.minimum(record.relief_length, record.tip_from_root)
    inner, outer = step * (tip - step / 2), (tip - step) ** 2 / 2
    return np.asarray(yield_curvature(record) * (near * inner + thinning(record) * far * outer))


def by_push(record: Record) -> Array:
    """1 where a push at one point made the bend, as this model needs; 0 for a bend along the bar or over an edge.

    >>> import detentsim as ds
    >>> float(by_push(ds.curve(ds.demo()).response.load.record))
    1.0
    """
    return np.asarray(np.isnan(record.bend_at) & ~(np.asarray(record.bend_along) > 0)).astype(float)


def push_force(record: Record, moment: ArrayLike) -> Array:
    """Push at `bend_push_at` for a root moment over first yield, `m M_y/x_b` [N]; any text on statics.

    >>> import detentsim as ds
    >>> knife = ds.curve(ds.demo()).response.load.record
    >>> float(push_force(knife, 1.2) * knife.bend_push_at / yield_moment(knife))
    1.2
    """
    return np.asarray(np.asarray(moment, float) * yield_moment(record) / record.bend_push_at)


def springback(record: Record, force: ArrayLike) -> Array:
    """Tip travel that comes back when a push `force` [N] at `bend_push_at` is let go [m]; bar and root spring.

    `F delta(x_b, x_tip)`, with the calibrated flexibility of the bar; derived in studies/00-the-model.ipynb.

    >>> import detentsim as ds
    >>> float(springback(ds.curve(ds.demo()).response.load.record, 0.0))
    0.0
    """
    give = beam.flexibility(record, record.bend_push_at, record.tip_from_root) / record.calibration
    return np.asarray(np.asarray(force, float) * give)


def bend_from_push(record: Record, travel: ArrayLike) -> Array:
    """Tip offset left after a flat bar's tip is pushed in by `travel` and let go [m].

    Parameters
    ----------
    record : Record
        The bar; its own bend does not count.
    travel : array_like
        Travel of the tip under the push, from flat [m]; broadcasts with the record.

    Returns
    -------
    array

    Notes
    -----
    Solves `travel = bend_left + springback` for the root moment by SciPy; travel beyond the plastic hinge stays in
    full. Derived in studies/00-the-model.ipynb.

    Examples
    --------
    >>> import detentsim as ds
    >>> float(bend_from_push(ds.curve(ds.demo()).response.load.record, 0.1e-3))
    0.0
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
    """Strain of the relief's outer fibre at the root under the push, `sigma_y/E / sqrt(3 - 2m)` [-].

    `moment` m is over first yield; up to 1 the strain is elastic, `m sigma_y/E`. Source: F. P. Beer and E. R. Johnston,
    Mechanics of Materials, plastic bending of a rectangle.

    >>> import detentsim as ds
    >>> knife = ds.curve(ds.demo()).response.load.record
    >>> float(outer_strain(knife, 1.0) * knife.youngs_modulus / knife.yield_strength)
    1.0
    """
    m = np.clip(np.asarray(moment, float), 0, None)
    with np.errstate(divide="ignore", invalid="ignore"):
        grown = np.where(m > 1, 1 / np.sqrt(np.maximum(3 - 2 * m, 0)), m)
    return np.asarray(record.yield_strength / record.youngs_modulus * grown)


def inside_radius(record: Record, moment: ArrayLike) -> Array:
    """Smallest radius on the inside of the bend at the root under the push, `t1/(2 strain) - t1/2` [m].

    Plane sections, any text on mechanics of materials; inf without a moment, 0 where the root folds sharp.

    >>> import detentsim as ds
    >>> float(inside_radius(ds.curve(ds.demo()).response.load.record, 0.0))
    inf
    """
    with np.errstate(divide="ignore"):
        radius = record.relief_thickness / 2 * (1 / outer_strain(record, moment) - 1)
    return np.asarray(np.maximum(radius, 0.0))
