"""Bending a bar in: what a push leaves and what springs back, against a bar of fibres."""

import numpy as np
import pytest
from helpers.fibres import Bar, Row
from helpers.records import demo, dig

from detentsim.mechanics.bar import beam, bending
from detentsim.mechanics.detent import limits
from detentsim.mechanics.record import Record
from detentsim.mechanics.roots import root_per_design

# What fibres and sections leave: of the offset itself, and of one bent to first yield all along.
CLOSE, LITTLE = 1e-4, 2e-6
SHAPES = {
    "relief": {},
    "short relief": {"relief_length": 3e-3, "relief_thickness": 1.0e-3},
    "pushed short of the tip": {"bend_push_at": 31e-3},
    "pushed on the relief": {"bend_push_at": 8e-3},
    "thin step": {"relief_thickness": 2.8e-3, "relief_length": 4e-3},
    "thin step pushed short": {"relief_thickness": 2.9e-3, "relief_length": 3e-3, "bend_push_at": 33e-3},
    "one thickness": {"relief_thickness": 3e-3, "relief_length": 50e-3},
    "soft metal": {"youngs_modulus": 70e9, "yield_strength": 310e6},
}


def slender(**changes):
    """A bar so thin that nothing but bending counts: no plate action, no give of root and step, next to no shear."""
    values = {"thickness": 0.05e-3, "relief_thickness": 0.05e-3, "relief_length": 50e-3, "slab_root": 0}
    return demo(**(values | {"poissons_ratio": 0.0} | changes))


def close(found, expected, one, part=CLOSE):
    """Offsets that agree, near enough for fibres."""
    whole = 2 * one.yield_strength / (one.youngs_modulus * one.relief_thickness) * 50e-3**2
    np.testing.assert_allclose(found, expected, rtol=part, atol=LITTLE * float(whole))


# --- what a push leaves ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("shape", SHAPES)
@pytest.mark.parametrize("share", [1.08, 1.25, 1.4, 1.47])
def test_bend_left_by_a_push(shape, share):
    one = demo(**SHAPES[shape])
    at = float(one.bend_push_at)
    bent = Bar(one).push(share, at).let_go()
    close(bending.bend_left(one, share), bent.offset(50e-3), one)


def test_the_full_bar_yields_beyond_a_thin_step():
    one = demo(**SHAPES["thin step"])
    bent = Bar(one).push(1.4, 50e-3).let_go()
    assert bent.rows[1].plastic.any()
    alone = one._replace(thickness=np.asarray(30e-3))  # a full bar that stays elastic
    assert float(bending.bend_left(one, 1.4)) > 1.01 * float(bending.bend_left(alone, 1.4))
    assert not Bar(demo()).push(1.4, 50e-3).rows[1].plastic.any()


@pytest.mark.slow
def test_no_bend_is_left_up_to_first_yield_and_more_up_to_the_hinge():
    one = demo()
    np.testing.assert_array_equal(bending.bend_left(one, [0.0, 0.6, 1.0, -1.3]), 0.0)
    left = bending.bend_left(one, np.linspace(1, 1.5, 60))
    assert np.all(np.diff(left) > 0)
    assert float(bending.most_bend(one)) == pytest.approx(left[-1], rel=1e-14)
    # The hinge is a pole of the curvature at the root, a square root of the distance from it in the bend.
    near = [Bar(one, 1601).push(1.5 - miss, 50e-3).let_go().offset(50e-3) for miss in (4e-4, 1e-4)]
    close(left[-1], 2 * near[1] - near[0], one, 2e-3)


@pytest.mark.parametrize("shape", SHAPES)
def test_root_moment_of_a_bend_that_a_push_left(shape):
    one = demo(**SHAPES[shape])
    for share in (1.1, 1.3, 1.45):
        bent = Bar(one).push(share, float(one.bend_push_at)).let_go()
        found = bending.root_moment(one._replace(bend=np.asarray(bent.offset(50e-3))))
        assert float(found) == pytest.approx(share, abs=3e-5)
    assert float(bending.root_moment(one._replace(bend=np.asarray(0.0)))) == 1.0
    most = bending.most_bend(one)
    np.testing.assert_array_equal(bending.root_moment(one._replace(bend=most * [1.0, 1.5])), 1.5)
    outward, inward = (float(bending.root_moment(one._replace(bend=sign * most / 3))) for sign in (-1, 1))
    assert outward == inward


# --- springback -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("place", [50e-3, 36e-3])
def test_push_and_springback_of_a_slender_bar_by_fibres_alone(place):
    # Held, the fibres bend by all that the push gives; let go, by what stays.
    one = slender(bend_push_at=place)
    for share in (0.7, 1.15, 1.35, 1.46):
        pushed = Bar(one).push(share, place)
        held = pushed.offset(50e-3)
        left = pushed.let_go().offset(50e-3)
        close(bending.springback(one, bending.push_force(one, share)), held - left, one)
        close(bending.bend_from_push(one, held), left, one)
        sized = one._replace(bend=np.asarray(left))
        if share > 1:
            push, back = limits.bending_in(sized)
            close(push, held, one)
            close(back, held - left, one)


@pytest.mark.parametrize("shape", SHAPES)
def test_bend_from_a_push_of_a_usual_bar(shape):
    # What stays by fibres; what springs back by the bar's own flexibility, which has tests of its own.
    one = demo(calibration=1.1, **SHAPES[shape])
    at = float(one.bend_push_at)
    force = 1.35 * float(one.yield_strength) * 8e-3 * float(one.relief_thickness) ** 2 / 6 / at
    assert float(bending.push_force(one, 1.35)) == pytest.approx(force, rel=1e-12)
    left = Bar(one).push(1.35, at).let_go().offset(50e-3)
    back = force * float(beam.flexibility(one, at, 50e-3)) / 1.1
    assert float(bending.springback(one, force)) == pytest.approx(back, rel=1e-12)
    close(bending.bend_from_push(one, left + back), left, one)


def test_a_push_past_the_hinge_stays_and_a_light_one_leaves_nothing():
    one = demo()
    most = float(bending.most_bend(one))
    limit = most + float(bending.springback(one, bending.push_force(one, 1.5)))
    assert float(bending.bend_from_push(one, limit + 3e-3)) == pytest.approx(most + 3e-3, rel=1e-12)
    first = float(bending.springback(one, bending.push_force(one, 1.0)))
    np.testing.assert_array_equal(bending.bend_from_push(one, [0.0, 0.5 * first, 0.999 * first]), 0.0)
    assert float(bending.bend_from_push(one, 1.05 * first)) > 0


@pytest.mark.parametrize("changes", [{}, {"relief_thickness": 3e-3, "relief_length": 50e-3}, {"bend": -2.2e-3}])
def test_forming_to_an_even_curvature_springs_back(changes):
    one = demo(bend_along=1, **changes)
    bent = Bar(one)
    near, far = (float(part) for part in bending.even_moments(one))
    held = bent.put(near, far).offset(50e-3)
    left = bent.let_go().offset(50e-3)
    size = abs(float(one.bend))
    close(left, size, one)
    for x in (10e-3, 31e-3, 44e-3):
        close(bent.offset(x), size * (x / 50e-3) ** 2, one)
    close(bending.even_springback(one), held - left, one)
    push, back = limits.bending_in(one)
    sign = np.sign(float(one.bend))
    close(push, sign * held, one)
    close(back, sign * (held - left), one)


def test_what_bending_in_does_not_know():
    flat, edge = demo(bend=0.0), demo(bend_at=5e-3)
    folded = demo(bend=float(bending.most_bend(demo())) * 1.01)
    for one in (flat, edge, folded, demo(bend_at=5e-3, bend_along=1)):
        assert np.all(np.isnan(limits.bending_in(one)))
    inward, outward = limits.bending_in(demo()), limits.bending_in(demo(bend=-2.2e-3))
    np.testing.assert_allclose(outward, [-part for part in inward], rtol=1e-12)
    assert float(bending.by_push(demo())) == 1
    assert float(bending.by_push(edge)) == float(bending.by_push(demo(bend_along=1))) == 0


# --- strain, and the band of a wide relief --------------------------------------------------------------------


def test_strain_of_the_outer_fibre():
    moment = np.array([0.0, 0.6, 1.0, 1.2, 1.4])
    expected = Row(5).load(moment).curvature * 828e6 / 113.8e9
    np.testing.assert_allclose(bending.outer_strain(demo(), moment), expected, rtol=CLOSE)
    assert np.isinf(bending.outer_strain(demo(), 1.5))
    assert float(bending.outer_strain(demo(), -0.5)) == 0.0


def test_first_yield_of_the_relief():
    # sigma w t^2/6 = 828 * 8 * 1.3^2/6 N mm; 2 sigma/(E t) = 2 * 828/(113800 * 1.3) 1/mm.
    assert float(bending.yield_moment(demo())) * 1e3 == pytest.approx(1865.76, rel=1e-12)
    assert float(bending.yield_curvature(demo())) / 1e3 == pytest.approx(2 * 828 / (113800 * 1.3), rel=1e-12)
    assert float(bending.thinning(demo())) == pytest.approx(1.3 / 3, rel=1e-14)


def test_a_wide_relief_yields_later_and_takes_less_bend():
    # Plane strain, von Mises: the strip's stress across is half of that along, so sigma sqrt(1 - 1/2 + 1/4) yields.
    one = demo()
    broad = bending.wide(one)
    assert float(broad.yield_strength) == pytest.approx(828e6 / np.sqrt(0.75), rel=1e-12)
    assert float(broad.youngs_modulus) == pytest.approx(113.8e9 / (1 - 0.342**2), rel=1e-12)
    changed = {"yield_strength", "youngs_modulus"}
    for name in set(Record._fields) - changed:
        np.testing.assert_array_equal(getattr(broad, name), getattr(one, name))
    push = float(limits.bending_in(one)[0])
    assert float(bending.bend_from_push(broad, push)) < 0.96 * float(bending.bend_from_push(one, push))
    force = bending.push_force(one, 1.3)
    share = force / bending.push_force(broad, 1.0)
    assert float(bending.bend_left(broad, share)) < 0.25 * float(bending.bend_left(one, 1.3))


# --- many bars ------------------------------------------------------------------------------------------------


@pytest.mark.slow
def test_many_bars_at_once_equal_single_calls():
    rng = np.random.default_rng(5)
    many = demo(
        bend=rng.uniform(-3e-3, 6e-3, 30) * (rng.random(30) < 0.9),
        bend_along=rng.choice([0.0, 1.0], 30, p=[0.7, 0.3]),
        bend_at=rng.choice([np.nan, 5e-3], 30, p=[0.8, 0.2]),
        bend_push_at=rng.uniform(25e-3, 50e-3, 30),
        relief_thickness=rng.uniform(1e-3, 3e-3, 30),
    )
    asks = [
        lambda one: bending.bend_left(one, 1.37),
        bending.most_bend,
        bending.root_moment,
        bending.even_springback,
        lambda one: bending.even_moments(one)[1],
        lambda one: bending.bend_from_push(one, 6e-3),
        lambda one: bending.outer_strain(one, 1.2),
        lambda one: limits.bending_in(one)[0],
    ]
    for ask in asks:
        np.testing.assert_allclose(ask(many), [float(ask(dig(many, i))) for i in range(30)], rtol=1e-11, atol=1e-15)
    grid = bending.bend_from_push(demo(relief_thickness=np.array([[1.1e-3], [1.3e-3]])), np.array([5e-3, 6e-3, 7e-3]))
    assert grid.shape == (2, 3)
    one = bending.bend_from_push(demo(relief_thickness=1.1e-3), 7e-3)
    assert float(grid[0, 2]) == pytest.approx(float(one), rel=1e-11)


def test_search_finds_the_root_of_every_design():
    record = demo(bend=np.array([[1e-3, 2e-3, 3e-3]]))
    wanted = np.array([[0.5], [4.0]])

    def miss(one, value, size):
        assert value.shape == one.bend.shape == size.shape
        return value**3 + 1e3 * one.bend - size

    found = root_per_design(miss, record, 0.0, 1.5, wanted)
    expected = np.cbrt(wanted - [[1.0, 2.0, 3.0]])
    kept = expected > 0
    assert found.shape == (2, 3)
    np.testing.assert_array_equal(np.isnan(found), ~kept)  # outside of its ends there is none
    np.testing.assert_allclose(found[kept], expected[kept], rtol=1e-12)
    rough = root_per_design(miss, record, 0.0, 1.5, wanted, close=1e-2)
    assert 1e-12 < np.max(np.abs(rough - expected)[kept]) < 1e-2
