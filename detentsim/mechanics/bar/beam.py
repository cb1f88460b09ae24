"""Stiffness of the lock bar as a stepped cantilever, out of plane and sideways.

Lengths run from the root: first the relief (thickness `t1`, length `L1`), then the full bar (`t2`). A bar of one
thickness has `t1 = t2`. Beam theory of slender bars; what a beam leaves out (plate action of a wide relief,
compliance of step and root) has coefficients fitted to 3-D elasticity, with their bands. The rest of the bar uses
this file.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

    from detentsim.mechanics.record import Array, Record

# What a beam leaves out, fitted to 3-D elasticity (27-node bricks, 27 clamped bars and 27 with a slab behind the
# root: w/L1 0.3 to 2.4, t1/t2 0.23 to 1) and checked on 12 cases that the fit did not see. The slab is a plate as
# thick as the full bar that reaches three bar widths each way, the bar cut free of it by slots. For a slab of other
# reach SLAB_GIVE is 0.55 to 0.70.
SHOULDER_GIVE = {"one": 0.60, "both": 0.40}  # in relief thicknesses, by the faces the relief is milled from

SLAB_GIVE = 0.61  # in bar widths: the slab bends as a plate where the relief is no weak link

PLATE_REACH = 0.62  # in bar widths: length over which the relief's ends keep it from curling across its width

# Sideways, in bar widths, by the face the relief is milled from: outer, both, inner.
ROOT_GIVE_LATERAL = 0.40

ROOT_LESS_LATERAL = (0.245, 0.315, 0.11)  # taken off as the relief gets thinner than the bar

STEP_GIVE_LATERAL = (0.30, 0.065, 0.12)

# A bar along the slab's free edge, one slot beside it: fitted to 22 such bars (w/L1 0.3 to 1.6, t1/t2 0.25 to 1, a/w
# 3.7 to 9) and checked on 7 others, the slab held at its far edges three widths behind the root and to the one side.
# Held two widths away a thin liner is 5 % stiffer, five away 9 % softer, held behind the root alone 22 % softer; a bar
# with a relief a fifth of that. Pushed outward the ball goes sideways by 1 % of its travel at most: left out.
EDGE_HINGE = 1.1  # in bar widths behind the root: there the slab turns, by the force as well as by its moment

EDGE_GIVE = (0.64, 0.29)  # in place of SLAB_GIVE, about that line: in bar widths, and in thicknesses of the full bar

EDGE_GIVE_LATERAL = 0.225  # in bar widths about that line, beside ROOT_GIVE_LATERAL


def second_moment(width: ArrayLike, thickness: ArrayLike) -> Array:
    """Second moment of area of a rectangle of `width` and `thickness` [m], `w t^3 / 12` [m^4].

    Source: any text on mechanics of materials.

    >>> float(second_moment(8.0, 1.5))
    2.25
    """
    return np.asarray(np.asarray(width, float) * np.asarray(thickness, float) ** 3 / 12)


def shear_coefficient(poissons_ratio: ArrayLike) -> Array:
    """Shear coefficient of a rectangle, `10 (1 + nu) / (12 + 11 nu)` [-].

    Source: G. R. Cowper, The shear coefficient in Timoshenko's beam theory, J. Applied Mechanics 33 (1966).

    >>> float(shear_coefficient(0.30))
    0.849673
    """
    nu = np.asarray(poissons_ratio, float)
    return np.asarray(10 * (1 + nu) / (12 + 11 * nu))


def torsion_coefficient(long_side: ArrayLike, short_side: ArrayLike) -> Array:
    """Coefficient beta of a rectangle's torsion constant `J = beta a t^3`, `a` the longer side [-].

    Source: S. Timoshenko and J. N. Goodier, Theory of Elasticity, art. 109 (St Venant's series).

    >>> float(torsion_coefficient(2.0, 1.0))
    0.22868
    """
    ratio = np.asarray(short_side, float) / np.asarray(long_side, float)
    odd = np.arange(1, 12, 2)
    series = np.sum(np.tanh(odd * np.pi / (2 * ratio[..., None])) / odd**5, axis=-1)
    return np.asarray((1 - 192 / np.pi**5 * ratio * series) / 3)


def stepped_integral(x_load: ArrayLike, x_at: ArrayLike, step: ArrayLike, inner: ArrayLike, outer: ArrayLike) -> Array:
    """Deflection at `x_at` for a unit force at `x_load` of a stepped cantilever, Euler-Bernoulli, clamped at 0 [m/N].

    Parameters
    ----------
    x_load, x_at : array_like
        Distances from the root [m].
    step : array_like
        Where the section changes [m].
    inner, outer : array_like
        Flexural rigidity E I before and after the step [N m^2].

    Notes
    -----
    Unit-load integral `int (x_load - x)(x_at - x)/(E I) dx`; any text on mechanics of materials. For a force and
    deflection at `a` it is `1/(3E) [(a^3-(a-L1)^3)/I_root + (a-L1)^3/I_tip]`.

    Examples
    --------
    >>> round(1e-3 / float(stepped_integral(.045, .045, .012, 113.8e9 * 2.25e-12, 113.8e9 * 18e-12)), 5)
    12.87112
    """
    u, v = np.asarray(x_load, float), np.asarray(x_at, float)
    end = np.minimum(u, v)
    middle = np.clip(step, 0, end)
    near, whole = _moment_area(u, v, middle), _moment_area(u, v, end)
    return np.asarray(near / np.asarray(inner, float) + (whole - near) / np.asarray(outer, float))


def _moment_area(u: Array, v: Array, x: Array) -> Array:
    """Integral of (u - x)(v - x) from 0 to x."""
    return u * v * x - (u + v) * x * x / 2 + x * x * x / 3


def plate_modulus(record: Record) -> Array:
    """Young's modulus of the relief with its plate action, `E / (1 - nu^2 f)` [Pa].

    `f = tanh(L1/c) c/L1`, c = 0.62 w: a relief wider than long cannot curl across its width and stiffens toward
    `E/(1 - nu^2)` (plate theory). Fitted to 3-D elasticity, see the coefficients and studies/00-the-model.ipynb.

    >>> import detentsim as ds
    >>> knife = ds.curve(ds.demo()).response.load.record
    >>> 1 < float(plate_modulus(knife) / knife.youngs_modulus) < 1 / (1 - float(knife.poissons_ratio) ** 2)
    True
    """
    reach = PLATE_REACH * record.width
    share = np.tanh(record.relief_length / reach) * reach / record.relief_length
    return record.youngs_modulus / (1 - record.poissons_ratio**2 * share)


def root_give(record: Record, x_load: ArrayLike, x_at: ArrayLike) -> Array:
    """Compliance of the slab behind the root under a unit force, `delta += give/(E I1)` [m^3].

    `c t1 (1 - r^2) u v + 0.61 w r^3 u v` with r = t1/t2, u and v the distances `x_load` and `x_at` from the root [m]: a
    thin relief ends in a shoulder, a bar of one thickness bends the slab as a plate. At the slab's free edge the second
    term is `(0.64 w + 0.29 t2) r^3 (u + h)(v + h)`, h = 1.1 w. 0 for a clamped root. Fitted to 3-D elasticity, see the
    coefficients and studies/00-the-model.ipynb.
    """
    u, v = np.asarray(x_load, float), np.asarray(x_at, float)
    edge = EDGE_GIVE[0] * record.width + EDGE_GIVE[1] * record.thickness
    slab = SLAB_GIVE * record.width * (1 - record.root_at_edge) + edge * record.root_at_edge
    slab = slab * (record.relief_thickness / record.thickness) ** 3
    behind = _hinge(record)
    return np.asarray(record.slab_root * (step_give(record) * u * v + slab * (u + behind) * (v + behind)))


def _hinge(record: Record) -> Array:
    """Distance behind the root of the line about which the slab turns [m]; 0 inside the slab."""
    return EDGE_HINGE * record.width * record.root_at_edge


def step_give(record: Record) -> Array:
    """Compliance of the step as a length, `c t1 (1 - r^2)` with r = t1/t2 [m]; the shoulder at the root has the same.

    0 without a step. Fitted to 3-D elasticity, see the coefficients and studies/00-the-model.ipynb.

    >>> import detentsim as ds
    >>> knife = ds.curve(ds.demo()).response.load.record
    >>> float(step_give(knife._replace(relief_thickness=knife.thickness)))
    0.0
    """
    give = _by_faces(record, SHOULDER_GIVE) * record.relief_thickness
    return give * (1 - (record.relief_thickness / record.thickness) ** 2)


def _by_faces(record: Record, give: dict[str, float]) -> Array:
    return give["both"] + (give["one"] - give["both"]) * np.abs(record.relief_side)


def _by_side(record: Record, values: tuple[float, float, float]) -> Array:
    """Value for a relief milled from the outer face, both, or the inner one."""
    outer, both, inner = values
    odd, even = (inner - outer) / 2, (inner + outer) / 2 - both
    return both + odd * record.relief_side + even * np.abs(record.relief_side)


def flexibility(record: Record, x_load: ArrayLike, x_at: ArrayLike) -> Array:
    """Out-of-plane deflection at `x_at` for a unit force at `x_load` [m], distances from the root, uncalibrated [m/N].

    Euler-Bernoulli bending; Timoshenko shear with Cowper's coefficient; plate action of the relief, compliance of step
    and root (fitted). Valid for bars at least four times longer than wide; for the shape as drawn within 1 % of 3-D
    elasticity with a relief, 2.5 % without one, and 1.1 % along a slab's free edge (see the coefficients). What shop
    tolerance on the relief adds (stiffness goes with the cube of t1) only a measured stiffness takes away. Derived in
    studies/00-the-model.ipynb.

    >>> import detentsim as ds
    >>> knife = ds.curve(ds.demo()).response.load.record
    >>> float(flexibility(knife, 0.03, 0.05) / flexibility(knife, 0.05, 0.03))
    1.0
    """
    u, v = np.asarray(x_load, float), np.asarray(x_at, float)
    step = np.minimum(record.relief_length, record.ball_from_root)
    inner = plate_modulus(record) * second_moment(record.width, record.relief_thickness)
    outer = record.youngs_modulus * second_moment(record.width, record.thickness)
    bending = stepped_integral(u, v, step, inner, outer)
    give = root_give(record, u, v)
    give = give + step_give(record) * np.maximum(u - step, 0) * np.maximum(v - step, 0)
    give = give / (record.youngs_modulus * second_moment(record.width, record.relief_thickness))
    return np.asarray(bending + give + _shear(record, np.minimum(u, v), step))


def _shear(record: Record, end: Array, step: Array) -> Array:
    """Shear deflection of both parts under a unit force [m/N]; the same out of plane and in plane."""
    shear_modulus = record.youngs_modulus / (2 * (1 + record.poissons_ratio))
    area = shear_coefficient(record.poissons_ratio) * shear_modulus * record.width
    near = np.minimum(step, end)
    return (near / record.relief_thickness + (end - near) / record.thickness) / area


def bar_stiffness(record: Record) -> Array:
    """Out-of-plane stiffness k at the ball, calibration included, `1/flexibility` [N/m].

    Derived in studies/00-the-model.ipynb.

    >>> import detentsim as ds
    >>> round(float(bar_stiffness(ds.curve(ds.demo()).response.load.record)) / 1e3, 3)
    3.313
    """
    return record.calibration / flexibility(record, record.ball_from_root, record.ball_from_root)


def contact_height(record: Record) -> Array:
    """Height H of the ball's contact above the relief's mid-plane, `p + t2/2 + side (t2 - t1)/2` [m].

    Plain geometry (derived); `side` is -1, 0 or 1 for a relief milled from the outer face, both, or the inner one.
    """
    shift = record.relief_side * (record.thickness - record.relief_thickness) / 2
    return record.protrusion + record.thickness / 2 + shift


def twist_length(record: Record, length: ArrayLike) -> Array:
    """Length of St Venant torsion that twists as much as a strip of `length` [m] with its ends kept from warping [m].

    `L - (2/q) tanh(q L/2)`, `q^2 = G J/(E Cw)`, with `J = w t^3/3` and `Cw = w^3 t^3/144` of a thin rectangle, so
    `q = sqrt(24/(1 + nu))/w`.

    Source: V. Z. Vlasov's restrained-warping beam (any text on thin-walled members); Cw of a thin rectangle
    counts the warping across the thickness.
    """
    q = np.sqrt(24 / (1 + record.poissons_ratio)) / record.width
    return np.asarray(np.asarray(length, float) - 2 / q * np.tanh(q * np.asarray(length, float) / 2))


def lateral_compliance(record: Record) -> Array:
    """Sideways compliance of the bar at the ball's contact height, 1/k_lat [m/N]; a given value overrides it.

    In-plane bending and shear, compliance of step and root (fitted), twist of relief and bar with warping restrained at
    the relief's ends (Vlasov). Within 3.5 % of 3-D elasticity for the shape as drawn (see the coefficients). Derived in
    studies/00-the-model.ipynb.

    >>> import detentsim as ds
    >>> knife = ds.curve(ds.demo()).response.load.record
    >>> float(lateral_compliance(knife._replace(lateral_compliance=np.array(0.0))))
    0.0
    """
    a = record.ball_from_root
    step = np.minimum(record.relief_length, a)
    inner = record.youngs_modulus * second_moment(record.relief_thickness, record.width)
    outer = record.youngs_modulus * second_moment(record.thickness, record.width)
    bending = stepped_integral(a, a, step, inner, outer) + _shear(record, a, step)
    computed = bending + _lateral_give(record, a, a - step) / inner + _twist(record, step, a - step)
    return np.where(np.isnan(record.lateral_compliance), computed, record.lateral_compliance)


def _lateral_give(record: Record, whole: Array, beyond: Array) -> Array:
    """Sideways compliance of root and step, times the relief's in-plane rigidity [m^3]."""
    missing = 1 - record.relief_thickness / record.thickness
    root = (ROOT_GIVE_LATERAL - _by_side(record, ROOT_LESS_LATERAL) * missing) * whole**2
    root = root + record.root_at_edge * EDGE_GIVE_LATERAL * (1 - missing) * (whole + _hinge(record)) ** 2
    return record.width * (record.slab_root * root + _by_side(record, STEP_GIVE_LATERAL) * missing * beyond**2)


def _twist(record: Record, near: Array, far: Array) -> Array:
    """Sideways compliance from the twist of relief and full bar under a force at contact height [m/N]."""
    shear_modulus = record.youngs_modulus / (2 * (1 + record.poissons_ratio))
    relief = contact_height(record) ** 2 * twist_length(record, near)
    relief = relief / _torsion_constant(record.width, record.relief_thickness)
    bar = (record.protrusion + record.thickness / 2) ** 2 * far
    bar = bar / _torsion_constant(record.width, record.thickness)
    return (relief + bar) / shear_modulus


def _torsion_constant(width: Array, thickness: Array) -> Array:
    """J of a rectangle, whichever side is longer [m^4]."""
    long, short = np.maximum(width, thickness), np.minimum(width, thickness)
    return np.asarray(torsion_coefficient(long, short) * long * short * short * short)
