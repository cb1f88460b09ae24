"""Bending the bar in, and what service takes back: against quadrature and a small model of fibres.

The fibre model knows nothing but Hooke's law and a yield stress: it steps a row of sections through bending in,
letting go and pushing out, and looks for the first fibre that yields backwards.
"""

from typing import NamedTuple

import numpy as np
import pytest
from scipy.integrate import quad

from detentsim.mechanics import bend
from detentsim.mechanics.record import Record


def bar(**changes):
    values = dict.fromkeys(Record._fields, 0.0)
    values |= {"youngs_modulus": 113.8e9, "yield_strength": 828e6, "thickness": 3e-3, "width": 8e-3}
    values |= {"relief_thickness": 1.3e-3, "relief_length": 10e-3, "ball_from_root": 44e-3}
    values |= {"tip_from_root": 50e-3, "bend": 1.6e-3, "bend_at": np.nan, **changes}
    return Record(*(np.asarray(values[name], float) for name in Record._fields))


def curvature_left(m):
    """Rectangle, elastic-perfectly-plastic, after release; in yield curvatures."""
    return 1 / np.sqrt(3 - 2 * m) - m if m > 1 else 0.0


# --- where the free bar stands ------------------------------------------------------------------------------


def test_free_offset_of_a_bar_bent_in_its_relief():
    # y_f = b (a - x_h)/(x_tip - x_h), x_h = L1/4: 1.6 (44 - 2.5)/(50 - 2.5) mm.
    assert float(bend.free_offset(bar())) == pytest.approx(1.6e-3 * 41.5 / 47.5, rel=1e-14)


def test_free_offset_of_a_bar_bent_at_a_place_and_short_of_it():
    assert float(bend.free_offset(bar(bend_at=20e-3))) == pytest.approx(1.6e-3 * 24 / 30, rel=1e-14)
    assert float(bend.free_offset(bar(bend_at=46e-3))) == 0.0


def test_free_offset_of_a_bar_of_even_curvature():
    # Even curvature: y = b (x/x_tip)^2.
    found = bend.free_offset(bar(bend_along=1.0, relief_thickness=3e-3, relief_length=50e-3))
    assert float(found) == pytest.approx(1.6e-3 * (44 / 50) ** 2, rel=1e-14)


def test_centre_of_a_relief_bend_is_near_that_of_its_plastic_curvature():
    # Section 3's "about L1/4": the centroid of plastic curvature where most of the relief yields, 10 of 50 mm.
    for m0, low, high in ((1.25, 0.2, 0.4), (1.45, 0.15, 0.3)):
        x = np.linspace(0, 10, 4001)
        left = np.array([curvature_left(m) for m in m0 * (1 - x / 50)])
        assert low < np.trapezoid(left * x, x) / np.trapezoid(left, x) / 10 < high
    assert float(bend.bend_centre(bar())) == 2.5e-3


# --- bend left by a push ------------------------------------------------------------------------------------


@pytest.mark.parametrize("m0", [0.6, 1.0, 1.01, 1.2, 1.35, 1.49, 1.5])
@pytest.mark.parametrize("share", [0.02, 0.1, 0.2, 0.3, 1.0])
def test_tip_offset_left_against_quadrature(m0, share):
    # kappa(x) times its arm, x in tip distances: integral of kappa_left(m0 (1 - x)) (1 - x).
    end = min(share, max(0.0, 1 - 1 / m0))
    # x = u^2 tames the pole that the hinge, m0 = 1.5, puts at the root.
    expected, error = quad(
        lambda u: curvature_left(m0 * (1 - u * u)) * (1 - u * u) * 2 * u, 0, np.sqrt(end), epsabs=1e-13
    )
    assert error < 1e-10
    assert float(bend.tip_offset_left(m0, share)) == pytest.approx(expected, abs=1e-10)


def test_more_push_leaves_more_bend_up_to_the_hinge():
    left = bend.tip_offset_left(np.linspace(1, 1.5, 60), 0.2)
    assert np.all(np.diff(left) > 0)
    assert float(bend.tip_offset_left(1.7, 0.2)) == pytest.approx(left[-1], rel=1e-14)


def test_no_curvature_is_left_inside_the_elastic_range():
    np.testing.assert_array_equal(bend.permanent_curvature([0.0, 0.5, 1.0]), 0.0)
    assert np.isinf(bend.permanent_curvature(1.5))


def test_service_share_is_the_root_moment_over_first_yield():
    # Push of 4 N/mm * 1.2 mm at 44 mm; M_y = 828 * 8 * 1.3^2/6 N mm.
    share = 4 * 1.2 * 44 / (828 * 8 * 1.3**2 / 6)
    assert float(bend.service_share(bar(), 4e3, 1.2e-3)) == pytest.approx(share, rel=1e-12)
    assert float(bend.service_share(bar(), 4e3, -1e-3)) == 0.0


# --- service, against fibres --------------------------------------------------------------------------------

Z = np.linspace(-1, 1, 1601)  # fibres over the half thickness, outermost ones included
WEIGHT = np.full(Z.size, 2 / (Z.size - 1))
WEIGHT[[0, -1]] /= 2
YIELD_MOMENT = np.sum(WEIGHT * Z * Z)


def load(plastic, moment):
    """Curvature and new plastic strains of sections taken to `moment` from what they have; yield units."""
    low, high = np.full(moment.shape, -40.0), np.full(moment.shape, 40.0)
    for _ in range(60):
        middle = (low + high) / 2
        stress = np.clip(middle[:, None] * Z - plastic, -1, 1)
        too_much = stress @ (WEIGHT * Z) / YIELD_MOMENT > moment
        low, high = np.where(too_much, low, middle), np.where(too_much, middle, high)
    middle = (low + high) / 2
    strain = middle[:, None] * Z - plastic
    return middle, plastic + strain - np.clip(strain, -1, 1)


class Bent(NamedTuple):
    """A bar bent in: tip offset in kappa_y x_tip^2, and the plastic strains of its sections."""

    x: np.ndarray  # sections, in tip distances
    plastic: np.ndarray
    offset: float


def offset_of(x, curvature):
    return np.trapezoid(curvature * (1 - x), x)


def bent_in(m0, length, along):
    """Bent by a push at the tip (moment falling outward) or, `along`, by an even moment over the whole bar."""
    x = np.linspace(0, length, 81)
    moment = np.full(x.shape, m0) if along else m0 * (1 - x)
    plastic = load(np.zeros((x.size, Z.size)), moment)[1]
    return Bent(x, plastic, offset_of(x, load(plastic, 0 * x)[0]))


def pushed_out(one, share, ball):
    """Largest change of plastic strain and of tip offset by a push at `ball` (in tip distances), let go again."""
    plastic = load(one.plastic, -share * np.maximum(1 - one.x / ball, 0))[1]
    return np.abs(plastic - one.plastic).max(), one.offset - offset_of(one.x, load(plastic, 0 * one.x)[0])


def first_yield(one, ball):
    low, high = 0.0, 1.5
    for _ in range(30):
        middle = (low + high) / 2
        low, high = (low, middle) if pushed_out(one, middle, ball)[0] > 1e-9 else (middle, high)
    return high


CASES = [  # root moment of bending in over first yield, relief in tip distances, bent along, ball in tip distances
    (0.0, 0.2, False, 0.88),
    (1.05, 0.2, False, 0.88),
    (1.2, 0.2, False, 0.88),
    (1.3, 0.12, False, 0.95),
    (1.4, 0.3, False, 0.75),
    (1.45, 0.2, False, 0.9),
    (1.05, 1.0, True, 0.85),
    (1.2, 1.0, True, 0.9),
    (1.4, 1.0, True, 0.9),
]


@pytest.mark.parametrize(("m0", "length", "along", "ball"), CASES)
def test_loses_bend_agrees_with_fibres(m0, length, along, ball):
    tip, thin, width, modulus, strength = 50e-3, 1.3e-3, 8e-3, 113.8e9, 828e6
    one = bent_in(m0, length, along)
    limit = first_yield(one, ball)
    assert limit == pytest.approx(min(1.0, 2 - m0), abs=2e-3)  # Masing: from M_bend back through 2 M_y
    record = bar(
        relief_thickness=thin,
        thickness=thin if along else 3e-3,
        relief_length=length * tip,
        ball_from_root=ball * tip,
        bend_along=float(along),
        bend=max(one.offset, 0.0) * 2 * strength / (modulus * thin) * tip**2,
    )
    force = strength * width * thin**2 / 6 / (ball * tip)  # that takes the root to first yield
    stiffness = 5e3
    for side, verdict in ((0.98, False), (1.02, True)):
        travel = side * limit * force / stiffness
        assert bool(bend.loses_bend(record, stiffness, travel)) is verdict
        lost = pushed_out(one, side * limit, ball)[1]
        assert bool(lost > 1e-9) is verdict


def test_fibres_leave_the_tip_offset_of_the_closed_form():
    for m0, length, along, _ in CASES[2:6]:
        found = float(bend.tip_offset_left(m0, length))
        assert not along
        assert bent_in(m0, length, along).offset == pytest.approx(found, rel=2e-3)


def test_a_bar_bent_at_one_place_may_be_a_hinge():
    # A sharp bend at the root took 1.5 M_y: it yields backwards at half of first yield.
    one = bent_in(1.499, 0.01, along=False)
    assert first_yield(one, 0.88) == pytest.approx(0.5, abs=3e-3)
    force = 828e6 * 8e-3 * 1.3e-3**2 / 6 / 44e-3
    record = bar(bend_at=0.1e-3)
    assert not bend.loses_bend(record, 5e3, 0.49 * force / 5e3)
    assert bend.loses_bend(record, 5e3, 0.51 * force / 5e3)
    # Not bent at all, it has all of the elastic range.
    flat = bar(bend_at=0.1e-3, bend=0.0)
    assert not bend.loses_bend(flat, 5e3, 0.99 * force / 5e3)
    assert bend.loses_bend(flat, 5e3, 1.01 * force / 5e3)


def test_many_bars_at_once_equal_single_calls():
    rng = np.random.default_rng(1)
    bends, travel = rng.uniform(0, 4e-3, 50), rng.uniform(0, 12e-3, 50)
    many = bend.loses_bend(bar(bend=bends), 4e3, travel)
    assert 0 < many.sum() < 50
    single = [bool(bend.loses_bend(bar(bend=b), 4e3, t)) for b, t in zip(bends, travel, strict=True)]
    np.testing.assert_array_equal(many, single)
