"""What service takes back out of the bend, and what it leaves: against a bar of fibres."""

from itertools import pairwise

import numpy as np
import pytest
from helpers.bent_bars import BALL, BENT, CLOSE, ONE, THIN_STEP, TIP, close, make
from helpers.fibres import Bar, Row
from helpers.records import demo
from scipy.integrate import quad

from detentsim.mechanics.bar import beam, bending, plastic, remembered, service

# --- a share --------------------------------------------------------------------------------------------------


def test_share_is_the_root_moment_over_first_yield():
    # The push that the bar's stiffness gives over 1.2 mm, at 44 mm; M_y = 828 * 8 * 1.3^2/6 N mm.
    one = demo(calibration=0.9)
    force = float(beam.bar_stiffness(one)) * 1.2e-3
    share = force * 44 / (828 * 8 * 1.3**2 / 6)
    assert float(remembered.share_of_travel(one, 1.2e-3)) == pytest.approx(share, rel=1e-12)
    assert float(remembered.share_of_travel(one, -1e-3)) == 0.0
    assert float(remembered.travel_of_share(one, share)) == pytest.approx(1.2e-3, rel=1e-12)
    # The same push over twice the stiffness goes half as far.
    stiff = one._replace(calibration=np.asarray(1.8))
    assert float(remembered.travel_of_share(stiff, share)) == pytest.approx(0.6e-3, rel=1e-12)


def test_shares_by_place():
    # The straight line to the ball over first yield, which goes with the square of thickness.
    one, thin = demo(bend_at=20e-3), (1.3 / 3) ** 2
    np.testing.assert_allclose(
        remembered.sections(one).share, [1.0, (1 - 10 / 44) * thin, (1 - 20 / 44) * thin], rtol=1e-12
    )
    near = remembered.sections(demo(bend_at=4e-3)).share
    np.testing.assert_allclose(near[..., 2], 1 - 4 / 44, rtol=1e-12)
    beyond = demo(bend_at=46e-3, relief_length=47e-3)
    np.testing.assert_array_equal(remembered.sections(beyond).share, [1.0, 0.0, 0.0])


# --- the first fibre that yields back -------------------------------------------------------------------------


@pytest.mark.parametrize("name", BENT)
def test_first_yield_is_that_of_the_first_fibre(name):
    bar, record = make(name)
    share, place = bar.first_yield(BALL)
    found = float(remembered.first_yield(record))
    assert found == pytest.approx(share, abs=CLOSE)
    step = min(float(record.relief_length), TIP)
    assert place in (0.0, pytest.approx(step))
    before = bar.gave()
    assert np.abs(bar.push(-0.999 * share, BALL).gave() - before).max() < 1e-12
    assert np.abs(bar.push(-1.001 * share, BALL).gave() - before).max() > 1e-5
    travel = float(remembered.travel_of_share(record, found))
    assert float(remembered.travel_before_loss(record)) == pytest.approx(travel, rel=1e-12)
    for part, loses in ((0.999, False), (1.001, True)):
        assert bool(remembered.loses_bend(record, part * travel)) is loses


def test_a_flat_bar_and_one_bent_outward_have_all_of_the_elastic_range():
    for record in (demo(bend=0.0), demo(bend=-2.2e-3), demo(bend=-2.2e-3, bend_along=1), demo(bend=0.0, bend_at=5e-3)):
        assert float(remembered.first_yield(record)) == pytest.approx(1.0, abs=1e-12)
        travel = float(remembered.travel_of_share(record, 1.0))
        assert not remembered.loses_bend(record, 0.999 * travel)
        assert remembered.loses_bend(record, 1.001 * travel)
    # One that was bent outward bears even more: not counted on.
    assert Bar(demo()).push(-1.3, TIP).let_go().first_yield(BALL)[0] > 1.0


@pytest.mark.parametrize("place", [0.0, 6e-3, 20e-3])
@pytest.mark.parametrize("beta", [1.0, 0.75])
def test_a_bar_bent_over_an_edge_is_a_hinge_there(place, beta):
    record = demo(bend_at=place, reverse_yield=beta)
    edge = Row(1, beta)
    edge.bend_to(2000.0)
    edge.left()
    bears = np.min((edge.stress() - edge.low)[:, 1:] / np.linspace(0, 1, edge.low.size)[1:])
    thick = 1.0 if place <= 10e-3 else (1.3 / 3) ** 2
    share = min(bears / (thick * (1 - place / BALL)), 1.0)
    assert float(remembered.first_yield(record)) == pytest.approx(share, abs=CLOSE)
    inner = -edge.stress()[0, -1]
    np.testing.assert_allclose(remembered.residual(record)[..., 2], inner, atol=CLOSE)
    np.testing.assert_allclose(remembered.residual(record)[..., :2], 0, atol=1e-14)
    assert float(remembered.stress(record, 0.3)) == pytest.approx(
        828e6 * max(inner + 0.3 * thick * (1 - place / BALL), 0.3), rel=2e-4
    )


def test_an_edge_beyond_the_ball_bears_any_push_on_the_ball():
    record = demo(bend_at=46e-3)
    assert float(remembered.first_yield(record)) == pytest.approx(1.0, abs=1e-12)


@pytest.mark.parametrize("name", ["usual", "far", "thin step", "along", "weaker in reverse"])
def test_what_was_pushed_back_bears_that_much_again(name):
    # Push past first yield and let go: now the bar bears that push, and no more.
    bar, record = make(name)
    share = bar.first_yield(BALL)[0] + 0.12
    bar.push(-share, BALL).let_go()
    again = bar.first_yield(BALL)[0]
    assert again == pytest.approx(share, abs=1e-9)
    back = remembered.travel_of_share(record, share)
    settled = record._replace(bend=np.asarray(bar.offset(TIP)), pushed_back=back)
    assert float(remembered.first_yield(settled)) == pytest.approx(share, abs=CLOSE)
    assert not remembered.loses_bend(settled, 0.999 * back)
    assert remembered.loses_bend(settled, 1.001 * back)
    # A push back that moved nothing raises nothing.
    light = record._replace(pushed_back=remembered.travel_of_share(record, 0.05))
    assert float(remembered.first_yield(light)) == pytest.approx(float(remembered.first_yield(record)), abs=1e-12)


# --- what is left ---------------------------------------------------------------------------------------------


@pytest.mark.slow
@pytest.mark.parametrize("changes", [{}, THIN_STEP, ONE, {"bend_push_at": 31e-3}])
@pytest.mark.parametrize("seed", range(4))
def test_offset_after_four_pushes(changes, seed):
    rng = np.random.default_rng(40 + seed)
    one = demo(**changes)
    bar, pushes = Bar(one), []
    for n in range(4):
        share, place = rng.uniform(0.9, 1.42) * (-1) ** n, rng.choice([25e-3, BALL, TIP])
        bar.push(share, place).let_go()
        pushes.append(remembered.push(one, share, place))
        for at in (18e-3, BALL, TIP):
            close(service.offset_left(one, pushes, at), bar.offset(at), one, 2e-4)


def test_offset_of_a_push_is_the_bend_it_left():
    for changes in ({}, THIN_STEP, ONE):
        one = demo(**changes)
        for share in (1.05, 1.3, 1.49):
            left = service.offset_left(one, [remembered.push(one, share, TIP)], TIP)
            assert float(left) == pytest.approx(float(bending.bend_left(one, share)), rel=1e-6)


@pytest.mark.parametrize("beta", [1.0, 0.8])
@pytest.mark.parametrize("shares", [(1.3, 0.9), (1.15, 1.1), (1.12, 1.3), (1.3, 1.4)])
@pytest.mark.parametrize("place", [25e-3, BALL])
def test_offset_lost_is_the_sum_over_the_bar(beta, shares, place):
    # SciPy's adaptive rule on the curvature lost, which the fibres have checked, section by section.
    one = demo(reverse_yield=beta, relief_thickness=2.8e-3, bend_push_at=TIP)
    ratio, whole = 2.8 / 3, 2 * 828e6 / (113.8e9 * 2.8e-3)

    def lost(x, thin):
        bent, back = (share * max(1 - x / at, 0) * thin**2 for share, at in zip(shares, (TIP, place), strict=True))
        return float(plastic.lost_curvature(bent, back, beta)) * (TIP - x) * thin

    def total(start, end, thin):
        cuts = np.linspace(start, end, 9)
        return sum(quad(lost, a, b, args=(thin,), epsabs=1e-13)[0] for a, b in pairwise(cuts))

    expected = whole * (total(0, 10e-3, 1.0) + total(10e-3, TIP, ratio))
    work, bent = remembered.push(one, -shares[1], place), remembered.push(one, shares[0], TIP)
    assert float(service.lost_offset(one, bent, work, TIP)) == pytest.approx(expected, rel=1e-8)
    if beta == 1:
        before, after = (service.offset_left(one, pushes, TIP) for pushes in ([bent], [bent, work]))
        assert float(before - after) == pytest.approx(expected, rel=1e-6)


@pytest.mark.parametrize("name", BENT)
@pytest.mark.parametrize("over", [0.05, 0.2])
def test_offset_that_a_push_takes_out(name, over):
    bar, record = make(name)
    share = bar.first_yield(BALL)[0] + over
    before = [bar.offset(at) for at in (25e-3, BALL, TIP)]
    bar.push(-share, BALL).let_go()
    work = remembered.push(record, -share, BALL)
    for at, was in zip((25e-3, BALL, TIP), before, strict=True):
        found = service.lost_offset(record, remembered.bent_in(record), work, at)
        close(found, was - bar.offset(at), record, 5e-4)


@pytest.mark.parametrize("name", BENT)
def test_first_push_to_a_place_and_the_bend_it_leaves(name):
    # Travel of the ball is what springs back and what is lost there; the spring has tests of its own.
    bar, record = make(name)
    share = bar.first_yield(BALL)[0] + 0.15
    free, tip = bar.offset(BALL), bar.offset(TIP)
    bar.push(-share, BALL).let_go()
    elastic = share * 828e6 * 8e-3 * float(record.relief_thickness) ** 2 / 6 / BALL / float(beam.bar_stiffness(record))
    travel = elastic + free - bar.offset(BALL)
    assert float(service.unlock_share(record, travel)) == pytest.approx(share, abs=CLOSE)
    close(service.bend_after(record, travel), bar.offset(TIP), record)
    assert bar.offset(TIP) < tip
    # Up to the first yield, and for none at all, it keeps every bit.
    kept = float(remembered.travel_before_loss(record))
    np.testing.assert_array_equal(service.bend_after(record, [0.0, 0.5 * kept, kept]), float(record.bend))


@pytest.mark.parametrize("share", [0.7, 0.85, 1.05, 1.2])
def test_travel_of_a_slender_bar_by_fibres_alone(share):
    # Nothing but bending counts: held, the fibres say where the ball stands.
    thin = {"thickness": 0.05e-3, "relief_thickness": 0.05e-3, "relief_length": TIP, "slab_root": 0}
    one = demo(poissons_ratio=0.0, **thin)
    bar = Bar(one).push(1.35, TIP).let_go()
    record = one._replace(bend=np.asarray(bar.offset(TIP)))
    free = bar.offset(BALL)
    travel = free - bar.push(-share, BALL).offset(BALL)
    assert float(service.unlock_share(record, travel)) == pytest.approx(share, abs=CLOSE)
    close(service.bend_after(record, travel), bar.let_go().offset(TIP), record)
    # The same push again is elastic: it goes as far as the spring alone.
    again = bar.offset(BALL)
    assert again - bar.push(-share, BALL).offset(BALL) == pytest.approx(
        float(remembered.travel_of_share(record, share)), rel=CLOSE
    )


def test_a_push_that_takes_nothing_out_is_elastic():
    record = demo(relief_thickness=1.1e-3)
    share = np.random.default_rng(6).uniform(0, 1, 200) * float(remembered.first_yield(record))
    found = service.unlock_share(record, remembered.travel_of_share(record, share))
    np.testing.assert_allclose(found, share, rtol=1e-9)


def test_push_that_takes_out_so_much():
    for name in ("usual", "thin step", "pushed short of the ball", "weaker in reverse"):
        bar, record = make(name)
        at = float(record.bend_push_at)
        share = bar.first_yield(at)[0] + 0.15
        was = bar.offset(TIP)
        bar.push(-share, at).let_go()
        assert float(service.take_out(record, was - bar.offset(TIP))) == pytest.approx(share, abs=2e-4)


def test_what_cannot_be_known():
    edge, folds = demo(bend_at=5e-3), demo(bend=8e-3)
    assert np.isnan(service.unlock_share(edge, 6e-3))
    assert np.isnan(service.take_out(edge, 1e-3))
    assert np.all(np.isnan(remembered.bent_in(edge).near))
    assert np.isnan(service.bend_after(edge, 6e-3))
    assert float(service.bend_after(edge, 0.1e-3)) == float(edge.bend)
    assert np.isnan(service.unlock_share(folds, 0.5))  # half a metre
    assert np.isnan(service.settled_bend(demo(bend=float(bending.most_bend(demo()))), 5e-3))
