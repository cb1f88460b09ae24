"""Shakedown under repeated pushes, stress along the bar, limits and many bars at once: against a bar of fibres."""

import numpy as np
import pytest
from helpers.bent_bars import BALL, BENT, CLOSE, ONE, THIN_STEP, TIP, close, make
from helpers.fibres import ARM, Bar, Row
from helpers.records import demo, dig

from detentsim.mechanics import names
from detentsim.mechanics.bar import beam, bend, bending, remembered, service
from detentsim.mechanics.contact import hertz
from detentsim.mechanics.detent import bar_spring, limits

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
