"""The record: the flat set of SI numbers, floats or arrays that broadcast, which all formulas take.

It stands between the build (text with units) and the formulas and knows neither. A part that is absent becomes a number
without effect, so that no formula needs a branch: no rim drill is a rim drill of the pilot's own size, a laterally
rigid bar has compliance 0, a bar of one thickness has a relief as long as itself.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    from collections.abc import Sequence

Array = NDArray[np.float64]

Truth = NDArray[np.bool_]

Index = NDArray[np.intp]


class Record(NamedTuple):
    """One design, or many: every field is in SI units and broadcasts with the others."""

    youngs_modulus: Array  # bar, E [Pa]
    poissons_ratio: Array  # bar, nu [-]
    yield_strength: Array  # bar, sigma_y [Pa]
    thickness: Array  # t2, full bar [m]
    width: Array  # w [m]
    relief_thickness: Array  # t1 [m]
    relief_length: Array  # L1, from the root [m]
    relief_side: Array  # face the relief is milled from: -1 outer, 0 both, +1 inner [-]
    slab_root: Array  # 1 where the slab gives behind the root, 0 where it is clamped [-]
    root_at_edge: Array  # 1 where the bar runs along the slab's free edge, 0 where slab stands on both its sides [-]
    ball_from_root: Array  # a [m]
    tip_from_root: Array  # x_tip [m]
    bend: Array  # b, free inward offset of the tip [m]
    bend_along: Array  # 1 where the bar is bent along its whole length, else 0 [-]
    bend_at: Array  # where it is bent [m]; NaN where the relief or the whole length takes the bend
    bend_push_at: Array  # x_b, where the push that bends it in is put [m]
    reverse_yield: Array  # beta, yield strength in reverse over that in the first loading [-]
    pushed_back: Array  # farthest outward travel of the ball from free since the last bend [m]
    stop_gap: Array  # from the flat bar outward to its over-travel stop [m]; inf where there is none
    stop_from_root: Array  # where that stop stands [m]
    lockup_travel: Array  # of the lock face onto the tang, from the flat's edge [m]; NaN where unknown
    calibration: Array  # measured over computed stiffness [-]
    lateral_compliance: Array  # given 1/k_lat at the ball [m/N]; NaN where it is to be computed
    ball_radius: Array  # R [m]
    protrusion: Array  # p [m]
    ball_modulus: Array  # [Pa]
    ball_poisson: Array  # [-]
    pilot_radius: Array  # a1 [m]
    pilot_depth: Array  # full-diameter depth [m]
    pilot_tangent: Array  # tan of half the pilot's point angle [-]
    rim_radius: Array  # half the rim drill's diameter [m]
    rim_feed: Array  # q, quill travel after first touch [m]
    rim_tangent: Array  # tau, tan of half the rim drill's point angle [-]
    edge_radius: Array  # r_e [m]
    inner_edge_radius: Array  # r_i, of the edge where the rim cut meets the pilot's wall [m]
    burr_height: Array  # h, of a lip round the dimple's mouth over the flat; 0 where there is none [m]
    elastic_rim: Array  # 1 where ball and rim deform, 0 where both are rigid [-]
    overclose: Array  # epsilon [rad]
    radial_error: Array  # rho_d - rho [m]
    pivot_to_ball: Array  # rho [m]
    face_gap: Array  # g [m]
    tang_modulus: Array  # [Pa]
    tang_poisson: Array  # [-]
    tang_hardness: Array  # Vickers number [-]
    travel_angle: Array  # beta [rad]
    pivot_torque: Array  # measured part of the pivot's friction [N m]
    washer_friction: Array  # mu_w [-]
    washer_radius: Array  # r_w, friction radius of the washers, (Do + Di)/4 where they bear on their rims [m]
    friction_circle: Array  # r_f, of the blade's bore on its pin; 0 where unknown [m]
    opener_radius: Array  # r_o [m]
    push_angle: Array  # blade angle of best leverage [rad]
    push_follows: Array  # 1 where the push turns with the blade, else 0 [-]
    leaves_at: Array  # blade angle where the finger loses it [rad]; NaN where its lever alone ends
    finger_effort: Array  # its push over the breakout force [-]
    finger_speed: Array  # speed at which it pushes no more [m/s]
    finger_shape: Array  # of its force against speed [-]
    friction: Array  # mu, ball on tang [-]
    static_friction: Array  # sets the stick limit only [-]
    grip_force: Array  # P, inward push on the bar [N]
    grip_from_root: Array  # x_p [m]
    open_angle: Array  # theta_open [rad]
    blade_mass: Array  # [kg]; NaN where unknown
    balance_radius: Array  # r_c [m]; NaN where unknown
    blade_inertia: Array  # I, about the pivot [kg m^2]; NaN where unknown
    tilt: Array  # [rad]
    down_angle: Array  # alpha_g - gamma, from the closed blade to "down" in the opening sense [rad]
    close_from: Array  # blade angle it is let fall shut from [rad]


def last_axis(record: Record, extra: int = 1) -> Record:
    """Record whose fields have `extra` new axes at the end, to broadcast against angles or pieces.

    >>> import detentsim as ds
    >>> last_axis(ds.curve(ds.demo()).response.load.record, 2).bend.shape
    (1, 1)
    """
    return Record(*(np.asarray(field)[(...,) + (None,) * extra] for field in record))


def size(record: Record) -> int:
    """Number of designs of a record.

    >>> import detentsim as ds
    >>> size(ds.curve(ds.demo()).response.load.record)
    1
    """
    return int(np.prod(np.broadcast_shapes(*(np.shape(field) for field in record))))


def joined(records: Sequence[Record]) -> Record:
    """Designs of several records in one row, one record after the other; what all share stays without an axis.

    Parameters
    ----------
    records : sequence of Record
        At least one; of one design or a row of designs each.

    Returns
    -------
    Record
        Fields of shape () or (n,), with n the designs of all together.

    Examples
    --------
    >>> import detentsim as ds
    >>> knife = ds.curve(ds.demo()).response.load.record
    >>> row = joined([knife, knife._replace(bend=np.array([1e-3, 2e-3]))])
    >>> row.bend.tolist(), row.thickness.shape
    ([0.0022, 0.001, 0.002], ())
    """
    counts = [size(record) for record in records]

    def row(fields: tuple[Array, ...]) -> Array:
        return np.concatenate([np.broadcast_to(field, count) for field, count in zip(fields, counts, strict=True)])

    def shared(fields: tuple[Array, ...]) -> bool:
        return not any(np.ndim(field) for field in fields) and np.unique(fields).size == 1

    first, *others = zip(*records, strict=True)  # one field has the axis even where all designs are alike
    return Record(row(first), *(fields[0] if shared(fields) else row(fields) for fields in others))


def full(record: Record) -> Record:
    """Record whose fields all have the common shape.

    Raises
    ------
    ValueError
        Where the fields do not broadcast.

    Examples
    --------
    >>> import detentsim as ds
    >>> knife = ds.curve(ds.demo()).response.load.record
    >>> full(knife._replace(bend=np.array([1e-3, 2e-3]))).thickness.shape
    (2,)
    """
    return Record(*np.broadcast_arrays(*(np.asarray(field, float) for field in record)))
