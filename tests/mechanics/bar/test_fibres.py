"""What a section remembers of its moments, against rows of fibres that know only Hooke's law and a yield stress."""

import numpy as np
import pytest
from helpers.fibres import ARM, HEIGHT, Row

from detentsim.mechanics.bar import plastic

# What 401 fibres leave: near a hinge the curvature grows as the 3/2 power of what the moment misses.
CLOSE = 1e-4


def histories(count, length, most=1.4, seed=3):
    return np.random.default_rng(seed + length).uniform(-most, most, (count, length))


def after(moments, beta=1.0):
    """Curvature left by fibres after moments one after another."""
    row = Row(len(moments), beta)
    for moment in moments.T:
        row.load(moment)
    return row.left()


def lost(bent, back, beta):
    """Curvature that a moment takes out of fibres that another bent in, both let go."""
    row = Row(bent.size, beta).load(bent)
    before = row.left().copy()
    return before - row.load(-back).left()


# --- the model itself -----------------------------------------------------------------------------------------


def test_fibres_are_elastic_up_to_first_yield_and_bear_half_as_much_again():
    assert np.sum(ARM * HEIGHT) == pytest.approx(1.0, abs=1e-14)
    row = Row(3).load([0.3, -0.7, 0.999])
    np.testing.assert_allclose(row.curvature, [0.3, -0.7, 0.999], atol=1e-12)
    assert not row.plastic.any()
    row.bend_to(1000.0)
    np.testing.assert_allclose(row.stress() @ ARM, 1.5, atol=1e-5)
    with pytest.raises(ArithmeticError):
        Row(1).load(1.501)


def test_fibres_that_yielded_bear_less_the_other_way():
    row = Row(1, beta=0.6)
    row.bend_to(2.0)
    row.bend_to(-2.0)
    stress = row.stress()[0]
    assert stress[-1] == -0.6  # yielded in tension before
    assert stress[180] == pytest.approx(-2 * HEIGHT[180])  # never yielded
    assert Row(1, beta=0.6).load(-1.4).left()[0] == pytest.approx(-Row(1, beta=0.6).load(1.4).left()[0])


# --- one moment -----------------------------------------------------------------------------------------------


def test_curvature_left_by_one_moment():
    moment = np.linspace(0, 1.45, 59)
    np.testing.assert_allclose(plastic.permanent_curvature(moment), Row(59).load(moment).left(), atol=CLOSE)


def test_no_curvature_is_left_inside_the_elastic_range_and_a_hinge_runs_away():
    np.testing.assert_array_equal(plastic.permanent_curvature([0.0, 0.5, 1.0]), 0.0)
    assert np.isinf(plastic.permanent_curvature(1.5))
    assert np.isinf(plastic.permanent_curvature(2.5))
    assert plastic.permanent_curvature(1.5 - 1e-9) > 1e4


def test_moment_that_leaves_a_curvature():
    moment = np.linspace(1.0, 1.45, 46)
    np.testing.assert_allclose(plastic.moment_for_curvature(Row(46).load(moment).left()), moment, atol=CLOSE)
    assert float(plastic.moment_for_curvature(0.0)) == pytest.approx(1.0, abs=1e-12)
    far = np.array([1e-9, 1e-3, 30.0, 1e4])
    np.testing.assert_allclose(plastic.permanent_curvature(plastic.moment_for_curvature(far)), far, rtol=1e-6)


def test_areas_under_the_curvature_left():
    # Gauss's rule over moments; the fibres say what each leaves.
    nodes, weights = np.polynomial.legendre.leggauss(40)
    for top in (1.25, 1.33, 1.4):
        moment = 1 + (nodes + 1) / 2 * (top - 1)
        left, size = Row(40).load(moment).left(), weights * (top - 1) / 2
        plain, armed = plastic.bend_areas(top)
        assert float(plain) == pytest.approx(np.sum(left * size), rel=CLOSE)
        assert float(armed) == pytest.approx(np.sum(left * moment * size), rel=CLOSE)


def test_areas_outside_of_yield_and_hinge_count_as_their_ends():
    for outside, end in ((0.3, 1.0), (-2.0, 1.0), (1.9, 1.5)):
        assert plastic.bend_areas(outside) == plastic.bend_areas(end)
    assert plastic.bend_areas(1.0) == pytest.approx((0.0, 0.0), abs=1e-15)


# --- many moments ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize("length", range(1, 7))
def test_curvature_left_by_a_history_of_moments(length):
    moments = histories(300, length)
    np.testing.assert_allclose(plastic.permanent_after(moments), after(moments), atol=CLOSE)


def test_a_history_close_to_the_hinge():
    moments = histories(100, 4, most=1.49)
    found, fibres = plastic.permanent_after(moments), after(moments)
    np.testing.assert_allclose(found, fibres, atol=1e-3, rtol=1e-3)  # the pole is a hundred times as steep here


def test_four_cycles_of_bending_back_and_forth():
    # The first reversal takes bend out; the same moments again, three times, move nothing.
    row, seen = Row(1), []
    for moment in (1.3, -0.9) * 4:
        seen.append(row.load(moment).left()[0])
    for n in range(1, 9):
        found = plastic.permanent_after(np.array([1.3, -0.9] * 4)[:n])
        assert float(found) == pytest.approx(seen[n - 1], abs=CLOSE)
    assert seen[0] - seen[1] > 0.02
    np.testing.assert_allclose(seen[2::2], seen[0], atol=1e-12)
    np.testing.assert_allclose(seen[3::2], seen[1], atol=1e-12)


def test_four_pushes_out_take_bend_once():
    # Shakedown: let go between, the same push out finds the section elastic.
    row = Row(1).load(1.35)
    row.left()
    row.load(-0.9)
    plastic_strain, once = row.plastic.copy(), row.left()[0]
    for _ in range(3):
        row.load(-0.9)
        np.testing.assert_allclose(row.plastic, plastic_strain, atol=1e-12)
        assert row.left()[0] == pytest.approx(once, abs=1e-12)
    for pushes in range(1, 5):
        assert float(plastic.permanent_after([1.35] + [-0.9] * pushes)) == pytest.approx(once, abs=CLOSE)


def test_a_hinge_ends_the_history():
    found = plastic.permanent_after([[1.5, -0.9], [-1.6, 1.2], [0.4, 1.7], [1.49, -1.49]])
    assert list(np.isinf(found)) == [True, True, True, False]
    assert list(np.sign(found[:3])) == [1, -1, 1]


def test_histories_end_as_one_moment_does_right_up_to_the_hinge():
    last = np.array([1.2, 1.4999, 1.5 - 1e-6, 1.5 - 1e-9])
    np.testing.assert_allclose(
        plastic.permanent_after(np.stack([-0.9 + 0 * last, last], axis=-1)),
        plastic.permanent_curvature(last),
        rtol=1e-6,
    )


def test_what_lies_between_counts_once():
    # A loop inside a loop closes: it leaves no trace.
    plain, looped = plastic.permanent_after([1.3, -0.8]), plastic.permanent_after([1.3, 0.2, 0.9, -0.8])
    assert float(looped) == pytest.approx(float(plain), abs=1e-13)
    assert float(plastic.permanent_after([0.9, 1.3])) == pytest.approx(float(plastic.permanent_after([1.3])), abs=1e-13)


# --- bent in, and pushed back ---------------------------------------------------------------------------------


def pairs(beta):
    """Moments in and back that the section bears, in one row each."""
    bent, back = (part.ravel() for part in np.meshgrid(np.linspace(0.9, 1.4, 26), np.linspace(0.1, 1.4, 27)))
    core = np.where(bent > 1, 3 - 2 * bent, 1)  # the square of what of the height stayed elastic
    bears = 1.5 * (beta * (1 - core) + core)
    keep = (back < bears - 0.02) & (bent - 1 < beta)
    return bent[keep], back[keep]


def test_curvature_lost_by_an_ideal_metal():
    bent, back = pairs(1.0)
    assert np.any(back > bent) and np.any((bent <= 1) & (back > 1))  # noqa: PT018
    np.testing.assert_allclose(plastic.lost_curvature(bent, back), lost(bent, back, 1.0), atol=CLOSE)


@pytest.mark.parametrize("beta", [0.9, 0.8, 0.65, 0.5])
def test_curvature_lost_by_a_metal_that_is_weaker_in_reverse(beta):
    # Exact until fibres yield that the bend left elastic: their front, (1 + beta)/dk, reaches 1/k where s = beta m.
    bent, back = pairs(beta)
    found, fibres = plastic.lost_curvature(bent, back, beta), lost(bent, back, beta)
    exact = (bent <= 1) | (back <= beta * bent)
    assert 100 < np.count_nonzero(exact) < exact.size
    np.testing.assert_allclose(found[exact], fibres[exact], atol=CLOSE)
    # Beyond, up to first yield of a section that no one bent: too much, and never too little.
    beyond = ~exact & (back <= 1)
    assert np.all(found[beyond] > fibres[beyond] - CLOSE)
    assert np.max(found[beyond] - fibres[beyond]) > 1e-3


@pytest.mark.parametrize("beta", [0.9, 0.8, 0.65])
def test_curvature_lost_goes_on_growing_past_the_moment_that_bent_it(beta):
    bent = np.array([1.05, 1.15, 1.25])
    near = plastic.lost_curvature(bent, bent * (1 - 1e-9), beta), plastic.lost_curvature(bent, bent * (1 + 1e-9), beta)
    np.testing.assert_allclose(near[1], near[0], rtol=1e-6)
    back = np.linspace(0.5, 1.4, 200)
    assert np.all(np.diff(plastic.lost_curvature(1.15, back, beta)) >= 0)


@pytest.mark.slow
def test_lost_curvature_of_many_equals_single_calls():
    bent, back = pairs(0.8)
    beta = np.linspace(0.6, 1.0, bent.size)
    single = [float(plastic.lost_curvature(*one)) for one in zip(bent, back, beta, strict=True)]
    np.testing.assert_array_equal(plastic.lost_curvature(bent, back, beta), single)
    assert plastic.lost_curvature(bent[:, None], back[:7], 0.9).shape == (bent.size, 7)


@pytest.mark.slow
def test_histories_in_one_call_equal_single_calls():
    moments = histories(40, 5, most=1.6)
    single = [float(plastic.permanent_after(one)) for one in moments]
    assert 0 < np.count_nonzero(np.isinf(single)) < 40
    np.testing.assert_allclose(plastic.permanent_after(moments), single, rtol=1e-13)
    np.testing.assert_array_equal(
        plastic.permanent_after(moments.reshape(5, 8, 5)), plastic.permanent_after(moments).reshape(5, 8)
    )
