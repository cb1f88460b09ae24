"""What service takes back out of the bend, and what the bar bears: against a bar of fibres."""

from itertools import pairwise
from typing import NamedTuple

import numpy as np
import pytest
from helpers.fibres import ARM, Bar, Row
from helpers.records import demo, dig
from scipy.integrate import quad

from detentsim.mechanics import names
from detentsim.mechanics.bar import beam, bend, bending, plastic, remembered, service
from detentsim.mechanics.contact import hertz
from detentsim.mechanics.detent import bar_spring, limits
from detentsim.mechanics.record import Record

TIP, BALL = 50e-3, 44e-3
CLOSE, LITTLE = 1e-4, 2e-6  # what fibres leave: of an offset, and of one bent to first yield all along

THIN_STEP = {"relief_thickness": 2.8e-3, "relief_length": 4e-3}
ONE = {"relief_thickness": 1.2e-3, "thickness": 1.2e-3, "relief_length": TIP}
BENT = {  # shape and metal, root moment of the push that bends it in (of relief and bar alike where bent along)
    "lightly": ({}, 1.1),
    "usual": ({}, 1.32),
    "far": ({}, 1.45),
    "thin step": (THIN_STEP, 1.4),
    "pushed short of the ball": ({"bend_push_at": 31e-3}, 1.35),
    "one thickness": (ONE, 1.3),
    "along": (ONE | {"bend_along": 1}, 1.15),
    "along, in two parts": ({"bend_along": 1, "relief_thickness": 2.6e-3}, 1.2),
    "weaker in reverse": ({"reverse_yield": 0.8}, 1.3),
    "thin step, weaker": (THIN_STEP | {"reverse_yield": 0.7}, 1.25),
    "along, weaker": (ONE | {"bend_along": 1, "reverse_yield": 0.85}, 1.2),
}


class Made(NamedTuple):
    """A bar bent in and let go, as fibres and as the record that knows only the bend it was left."""

    bar: Bar
    record: Record


def make(name):
    """Bend one bar of the list in."""
    changes, moment = BENT[name]
    one = demo(**changes)
    if not one.bend_along:
        bar = Bar(one).push(moment, float(one.bend_push_at)).let_go()
        return Made(bar, one._replace(bend=np.asarray(bar.offset(TIP))))
    # An even bend: the full bar gets the moment that leaves it the relief's curvature.
    left = float(Row(1).load(moment).left()[0])
    bar = Bar(one)
    far = far_moment(left / bar.thin)
    bar.put(moment, far).let_go()
    return Made(bar, one._replace(bend=np.asarray(bar.offset(TIP))))


def far_moment(left):
    """Moment that leaves one section this curvature, by halving."""
    low, high = 1.0, 1.4999
    for _ in range(45):
        middle = (low + high) / 2
        low, high = (middle, high) if Row(1).load(middle).left()[0] < left else (low, middle)
    return low


def close(found, expected, one, part=CLOSE):
    """Offsets that agree, near enough for fibres."""
    whole = 2 * one.yield_strength / (one.youngs_modulus * one.relief_thickness) * TIP**2
    np.testing.assert_allclose(found, expected, rtol=part, atol=LITTLE * float(whole))


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
        cuts = np.linspace(start, end, 40)
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


# --- shakedown, and what to do at the bench -------------------------------------------------------------------


@pytest.mark.parametrize("name", ["usual", "thin step", "along", "weaker in reverse"])
def test_pushes_to_the_same_place_take_nothing_more(name):
    bar, _ = make(name)
    share = bar.first_yield(BALL)[0] + 0.15
    bar.push(-share, BALL)
    gave, left = bar.gave(), bar.let_go().offset(TIP)
    for _ in range(4):
        bar.push(-share, BALL)
        np.testing.assert_allclose(bar.gave(), gave, atol=1e-11)
        assert bar.let_go().offset(TIP) == pytest.approx(left, abs=1e-12)
    # A little farther takes more.
    assert bar.push(-share - 0.05, BALL).let_go().offset(TIP) < left - 1e-7


def test_four_cycles_of_bending_in_and_pushing_out():
    # Each inward push that yields opens the loss again, to the same end.
    one = demo()
    bar, pushes, seen = Bar(one), [], []
    for _ in range(4):
        for share, place in ((1.4, TIP), (-0.85, BALL)):
            bar.push(share, place).let_go()
            pushes.append(remembered.push(one, share, place))
            seen.append(bar.offset(TIP))
            close(service.offset_left(one, pushes, TIP), seen[-1], one)
    np.testing.assert_allclose(seen[2::2], seen[0], rtol=1e-9)
    np.testing.assert_allclose(seen[3::2], seen[1], rtol=1e-9)
    assert seen[0] - seen[1] > 20e-6


def test_bending_in_last_is_lost_again_in_service():
    # Bend in, push past full travel, bend in again to the final bend: the next push takes of it again.
    one = demo()
    service_share, past = 0.85, 0.95
    bar = Bar(one).push(1.4, TIP).let_go()
    wanted = bar.offset(TIP)
    bar.push(-past, BALL).let_go()
    assert bar.first_yield(BALL)[0] == pytest.approx(past, abs=1e-9)
    low, high = 1.0, 1.45
    for _ in range(40):
        middle = (low + high) / 2
        trial = Bar(one, 81).push(1.4, TIP).push(-past, BALL).push(middle, TIP).let_go()
        low, high = (middle, high) if trial.offset(TIP) < wanted else (low, middle)
    bar.push(low, TIP).let_go()
    assert bar.offset(TIP) == pytest.approx(wanted, rel=1e-3)
    assert bar.first_yield(BALL)[0] == pytest.approx(2 - low, abs=1e-6)
    assert 2 - low < service_share
    held = bar.offset(TIP)
    bar.push(-service_share, BALL).let_go()
    lost = held - bar.offset(TIP)
    assert lost > 20e-6
    pushes = [remembered.push(one, s, x) for s, x in ((1.4, TIP), (-past, BALL), (low, TIP), (-service_share, BALL))]
    before, after = (service.offset_left(one, pushes[:n], TIP) for n in (3, 4))
    close(before - after, lost, one)


@pytest.mark.slow
@pytest.mark.parametrize(
    "changes",
    [
        {},
        {"reverse_yield": 0.85},
        THIN_STEP | {"bend": 0.4e-3},
        {"bend_push_at": 33e-3, "bend": 1.4e-3},
        ONE | {"bend_along": 1, "bend": 5e-3},
    ],
)
@pytest.mark.parametrize("over", [1.2, 1.5])
def test_bending_over_and_pushing_out_last_holds(changes, over):
    # Bend over by what one push will take, and push the ball to its farthest: service keeps the wanted bend.
    one = demo(**changes)
    travel = over * float(remembered.travel_before_loss(one))
    more = one._replace(bend=service.settled_bend(one, travel))
    assert float(more.bend) > float(one.bend)
    bent, bar = remembered.bent_in(more), Bar(one)
    if one.bend_along:
        bar.put(float(bent.near), float(bent.far))
    else:
        bar.push(float(bent.near), float(one.bend_push_at))
    bar.let_go()
    close(bar.offset(TIP), float(more.bend), one)
    farther = travel + float(bend.free_offset(more) - bend.free_offset(one))
    share = float(service.unlock_share(more, farther))
    free = bar.offset(BALL)
    bar.push(-share, BALL).let_go()
    close(float(remembered.travel_of_share(one, share)) + free - bar.offset(BALL), farther, one)
    close(bar.offset(TIP), float(one.bend), one)
    for _ in range(4):
        assert bar.push(-share, BALL).let_go().offset(TIP) == pytest.approx(bar.offset(TIP), abs=1e-12)
    close(bar.offset(TIP), float(one.bend), one)
    settled = one._replace(pushed_back=np.asarray(travel))
    assert not remembered.loses_bend(settled, 0.999 * travel)
    assert float(remembered.travel_before_loss(settled)) == pytest.approx(travel, rel=1e-12)


def test_a_bend_that_service_leaves_alone_needs_nothing_more():
    one = demo()
    near = 0.9 * float(remembered.travel_before_loss(one))
    assert float(service.settled_bend(one, near)) == pytest.approx(float(one.bend), abs=1e-9)


def test_bending_anew_forgets_what_was_pushed_back():
    one = demo()
    travel = 1.5 * float(remembered.travel_before_loss(one))
    settled = one._replace(pushed_back=np.asarray(travel))
    assert float(service.settled_bend(settled, travel)) == float(service.settled_bend(one, travel)) > 2.25e-3


# --- stress ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", BENT)
def test_stress_of_the_inner_face(name):
    bar, record = make(name)
    residual = remembered.residual(record)
    faces = [face[0] for face in bar.face()]
    np.testing.assert_allclose(residual[..., 0], faces[0], atol=CLOSE)
    if float(record.relief_length) < TIP:
        np.testing.assert_allclose(residual[..., 1], faces[1], atol=CLOSE)
    limit = bar.first_yield(BALL)[0]
    for share in (0.0, 0.4 * limit, 0.99 * limit):
        most = max(face.max() for face in bar.push(-share, BALL).face())
        assert float(remembered.stress(record, share)) == pytest.approx(most * 828e6, rel=2e-4, abs=2e-4 * 828e6)


@pytest.mark.parametrize("name", ["usual", "thin step", "weaker in reverse", "along, in two parts"])
def test_stress_along_the_bar(name):
    bar, record = make(name)
    step = float(record.relief_length)
    x = np.concatenate(bar.x)
    found, limit = remembered.residual_along(record, x)
    face = np.concatenate(bar.face())
    np.testing.assert_allclose(found, face, atol=CLOSE)
    yielded = np.concatenate([row.plastic[:, -1] != 0 for row in bar.rows])
    weaker = np.where(yielded, float(record.reverse_yield), 1.0)
    clear = np.abs(np.concatenate([row.plastic[:, -1] for row in bar.rows])) > 1e-3
    np.testing.assert_array_equal(limit[clear | ~yielded], weaker[clear | ~yielded])
    assert x[bar.x[0].size - 1] == x[bar.x[0].size] == step  # the step stands twice, as relief and as full bar


@pytest.mark.parametrize("name", ["usual", "far", "weaker in reverse"])
def test_stress_after_a_push_that_took_bend_back(name):
    bar, record = make(name)
    share = bar.first_yield(BALL)[0] + 0.04
    bar.push(-share, BALL).let_go()
    settled = record._replace(bend=np.asarray(bar.offset(TIP)), pushed_back=remembered.travel_of_share(record, share))
    np.testing.assert_allclose(remembered.residual(settled)[..., 0], bar.face()[0][0], atol=CLOSE)
    # Farther out the bend that is left stands for the one that was bent in: a small change of moment.
    found = remembered.residual_along(settled, bar.x[0])[0]
    np.testing.assert_allclose(found, bar.face()[0], atol=3e-3)
    held = bar.push(-share, BALL).face()[0].max()
    assert float(remembered.stress(settled, share)) == pytest.approx(held * 828e6, rel=2e-4)


def test_residual_stress_of_a_section_carries_no_moment():
    row = Row(1).load(1.3)
    row.left()
    assert row.stress()[0] @ ARM == pytest.approx(0.0, abs=1e-12)
    assert -row.stress()[0, -1] == pytest.approx(0.3, abs=1e-9)


# --- lock-up, and the list of limits --------------------------------------------------------------------------


def test_push_of_the_tip_onto_the_tang():
    # The tip's own stiffness times how far it is held from where it would stand.
    one = demo(lockup_travel=0.4e-3, calibration=1.2)
    stiffness = 1.2 / float(beam.flexibility(one, TIP, TIP))
    expected = stiffness * (2.2e-3 - float(one.face_gap) - 0.4e-3)
    assert float(limits.lockup_force(one)) == pytest.approx(expected, rel=1e-12)
    assert float(limits.lockup_force(demo(lockup_travel=3e-3))) == 0.0
    assert np.isnan(limits.lockup_force(demo()))


def test_list_of_limits():
    record = demo(lockup_travel=0.3e-3)
    found = limits.limit_results(bar_spring.solve(record))
    assert tuple(found) == names.LIMIT_NAMES
    travel = float(bend.free_offset(record) - record.face_gap + record.protrusion)
    share = travel * float(beam.bar_stiffness(record)) * BALL / (828e6 * 8e-3 * 1.3e-3**2 / 6)
    bar = Bar(record).push(float(bending.root_moment(record)), TIP).let_go()
    most = max(face.max() for face in bar.push(-share, BALL).face())
    assert float(found["working_stress"]) == pytest.approx(most * 828e6, rel=2e-4)
    riding = float(beam.bar_stiffness(record)) * travel
    assert float(found["contact_pressure"]) == pytest.approx(float(hertz.pressure_on_tang(record, riding)), rel=1e-9)
    assert float(found["contact_pressure_limit"]) == 4200e6
    assert float(found["travel_to_unlock"]) == pytest.approx(travel, rel=1e-12)
    assert float(found["yield_strength"]) == 828e6
    short = limits.limit_results(bar_spring.solve(demo(bend=0.0, face_gap=1e-3)))
    assert np.isnan(short["travel_to_unlock"])  # the ball never reaches the flat
    assert float(short["working_stress"]) == 0.0


# --- many bars ------------------------------------------------------------------------------------------------


def scatter(n, seed):
    rng = np.random.default_rng(seed)
    return demo(
        bend=rng.uniform(-1e-3, 6e-3, n) * (rng.random(n) < 0.9),
        bend_along=rng.choice([0.0, 1.0], n, p=[0.7, 0.3]),
        bend_at=rng.choice([np.nan, 5e-3, 25e-3], n, p=[0.8, 0.1, 0.1]),
        bend_push_at=rng.uniform(25e-3, TIP, n),
        relief_thickness=rng.uniform(1e-3, 3e-3, n),
        reverse_yield=rng.choice([1.0, 0.8, 0.65], n),
        pushed_back=rng.choice([0.0, 3e-3], n),
        youngs_modulus=rng.uniform(80e9, 200e9, n),
    )


def test_loses_bend_is_travel_past_that_before_loss():
    many = scatter(3000, 7)
    limit = remembered.travel_before_loss(many)
    travel = np.random.default_rng(8).uniform(0, 12e-3, 3000)
    clear = np.abs(travel - limit) > 1e-6
    verdict = remembered.loses_bend(many, travel)
    assert 300 < np.count_nonzero(verdict) < 2700
    np.testing.assert_array_equal(verdict[clear], (travel > limit)[clear])
    for part, loses in ((0.9999, False), (1.0001, True)):
        some = limit > 1e-5
        np.testing.assert_array_equal(remembered.loses_bend(many, part * limit)[some], loses)


@pytest.mark.slow
def test_many_bars_at_once_equal_single_calls():
    many = scatter(12, 3)
    travel = np.linspace(0, 9e-3, 12)
    asks = [
        lambda one, t: remembered.loses_bend(one, t),
        lambda one, t: remembered.first_yield(one),  # noqa: ARG005
        lambda one, t: remembered.travel_before_loss(one),  # noqa: ARG005
        service.unlock_share,
        service.bend_after,
        service.settled_bend,
        lambda one, t: service.take_out(one, t / 20),
        lambda one, t: remembered.stress(one, remembered.share_of_travel(one, t)),
        lambda one, t: remembered.residual(one).sum(axis=-1),  # noqa: ARG005
        lambda one, t: remembered.borne(one).sum(axis=-1),  # noqa: ARG005
        lambda one, t: service.offset_left(
            one, [remembered.push(one, 1.3, TIP), remembered.push(one, -t * 100, BALL)], TIP
        ),
    ]
    for ask in asks:
        single = np.array([float(ask(dig(many, i), travel[i])) for i in range(12)])
        found = ask(many, travel)
        assert found.shape == (12,)
        np.testing.assert_allclose(found, single, rtol=1e-8, atol=1e-12)
    one = demo(bend=np.array([[1e-3], [2.2e-3]]))
    assert service.bend_after(one, np.array([3e-3, 5e-3, 7e-3])).shape == (2, 3)
    assert remembered.stress(one, np.array([0.2, 0.3, 0.4])).shape == (2, 3)
