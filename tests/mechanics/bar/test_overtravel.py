"""Pushing the bar out against a stop or a clip, by a small beam finite element with a spring that may not pull."""

import numpy as np
import pytest
from helpers.fibres import Bar
from helpers.records import demo, dig
from scipy.optimize import brentq

from detentsim.mechanics.bar import beam, bend, bending, overtravel, remembered

TIP, BALL, STEP = 50e-3, 44e-3, 10e-3


class Frame:
    """Two-node shear-flexible beam elements from root to tip; hinges with springs lend the give of root and step.

    What a beam leaves out (plate action, shear, give) is read from the package and has tests of its own.
    """

    def __init__(self, record, *places):
        self.record = record
        self.x = np.unique([0.0, float(record.relief_length), BALL, TIP, *places])
        self.count = 2 * self.x.size + 1  # deflection and turn of each node, and the turn beyond the step
        self.matrix = np.zeros((self.count, self.count))
        for i in range(self.x.size - 1):
            dofs = self.dofs(i)
            self.matrix[np.ix_(dofs, dofs)] += self.element(i)
        stiff = float(record.calibration * record.youngs_modulus) * float(record.width) / 12
        stiff *= float(record.relief_thickness) ** 3
        step = 2 * self.at(float(record.relief_length)) + 1
        for give, ends in ((beam.root_give(record, 1.0, 1.0), [1]), (beam.step_give(record), [step, self.count - 1])):
            signs = np.array([1.0, -1.0][: len(ends)])
            self.matrix[np.ix_(ends, ends)] += np.outer(signs, signs) * stiff / max(float(give), 1e-12)

    def at(self, place):
        return int(np.argmin(np.abs(self.x - place)))

    def dofs(self, i):
        """Deflection and turn of an element's ends; the one after the step turns by itself."""
        dofs = [2 * i, 2 * i + 1, 2 * i + 2, 2 * i + 3]
        if i == self.at(float(self.record.relief_length)):
            dofs[1] = self.count - 1
        return dofs

    def element(self, i):
        one, length = self.record, self.x[i + 1] - self.x[i]
        relief = self.x[i] < float(one.relief_length) - 1e-9
        thick = float(one.relief_thickness if relief else one.thickness)
        modulus = float(beam.plate_modulus(one) if relief else one.youngs_modulus) * float(one.calibration)
        shear = float(one.calibration * one.youngs_modulus) / (2 * (1 + float(one.poissons_ratio)))
        shear *= float(beam.shear_coefficient(one.poissons_ratio)) * float(one.width) * thick
        rigid = modulus * float(one.width) * thick**3 / 12
        soft = 12 * rigid / (shear * length**2)
        corner = np.array(
            [
                [12, 6 * length, -12, 6 * length],
                [6 * length, (4 + soft) * length**2, -6 * length, (2 - soft) * length**2],
                [-12, -6 * length, 12, -6 * length],
                [6 * length, (2 - soft) * length**2, -6 * length, (4 + soft) * length**2],
            ]
        )
        return corner * rigid / ((1 + soft) * length**3)

    def solve(self, forces):
        """Deflections under forces at places."""
        load = np.zeros(self.count)
        for place, force in forces.items():
            load[2 * self.at(place)] += force
        found = np.zeros(self.count)
        found[1:] = np.linalg.solve(self.matrix[1:, 1:], load[1:])
        return found

    def moment(self, found, place):
        """Bending moment at a node, from the element beyond it."""
        i = self.at(place)
        if i == self.x.size - 1:
            return 0.0
        return -(self.element(i) @ found[self.dofs(i)])[1]


def against(record, push, place, gap, give, preload):
    """Reaction of the stop, by search: the bar's place there is where a spring with that force in it stands."""
    frame = Frame(record, place)
    free = float(bend.free_at(record, place))

    def outward(reaction):
        return frame.solve({TIP: push, place: -reaction} if place != TIP else {TIP: push - reaction})

    def miss(reaction):
        stop = free + gap + give * max(reaction - preload, 0.0)
        return outward(reaction)[2 * frame.at(place)] - stop

    reaction = brentq(miss, 0.0, 1e5, xtol=1e-10) if miss(0.0) > 0 else 0.0
    return frame, outward(reaction), reaction


STOPS = {  # place, gap, give [m/N], preload [N]
    "rigid": (35e-3, 0.4e-3, 0.0, 0.0),
    "soft": (35e-3, 0.2e-3, 2e-4, 0.0),
    "clip": (28e-3, 0.0, 5e-4, 9.0),
    "at the tip": (TIP, 0.8e-3, 1e-5, 0.0),
    "at the ball": (BALL, 0.5e-3, 0.0, 0.0),
    "behind the relief": (6e-3, 0.02e-3, 1e-4, 0.0),
}
BARS = {
    "usual": {"bend": 1.2e-3},
    "calibrated, clamped": {"bend": 1.2e-3, "calibration": 0.85, "slab_root": 0},
    "both faces": {"bend": 0.9e-3, "relief_side": 0, "relief_thickness": 1.8e-3},
}


def test_frame_gives_as_the_bar_does():
    one = demo()
    frame = Frame(one, 30e-3)
    for load, at in ((TIP, TIP), (TIP, BALL), (30e-3, BALL), (BALL, STEP)):
        give = frame.solve({load: 1.0})[2 * frame.at(at)]
        assert give == pytest.approx(float(beam.flexibility(one, load, at)), rel=1e-9)


@pytest.mark.parametrize("shape", BARS)
@pytest.mark.parametrize("stop", STOPS)
@pytest.mark.parametrize("push", [2.0, 9.0, 40.0])
def test_bar_against_a_stop(shape, stop, push):
    record, (place, gap, give, preload) = demo(**BARS[shape]), STOPS[stop]
    frame, found, reaction = against(record, push, place, gap, give, preload)
    one = overtravel.pushed_out(record, push, place, gap, give, preload)
    assert float(one.reaction) == pytest.approx(reaction, rel=1e-7, abs=1e-7)
    assert float(one.travel) == pytest.approx(found[2 * frame.at(BALL)], rel=1e-7)
    thin = float(record.relief_thickness)
    first = [828e6 * 8e-3 * thick**2 / 6 for thick in (thin, 3e-3, thin if place < STEP else 3e-3)]
    moments = [frame.moment(found, at) for at in (0.0, STEP, place)]
    expected = np.array(moments) / first
    np.testing.assert_allclose(one.moments[..., [0, 1, 3]], expected, rtol=1e-6, atol=1e-9)
    bears = [*remembered.borne(record)[:2], 1.0]
    assert float(one.use) == pytest.approx(np.max(np.abs(expected) / bears), rel=1e-6)


def test_stops_are_met_and_missed_and_the_preload_is_passed():
    pushes = np.array([0.5, 9.0, 40.0])
    for stop in STOPS.values():
        reaction = overtravel.pushed_out(demo(**BARS["usual"]), pushes, *stop).reaction
        assert reaction[0] == 0
        assert reaction[2] > stop[3]
    held = overtravel.pushed_out(demo(bend=0.0), 9.0, 28e-3, 0.0, 5e-4, 200.0)
    alone = overtravel.pushed_out(demo(bend=0.0), 9.0, 28e-3, 0.0, 0.0)
    assert float(held.reaction) == pytest.approx(float(alone.reaction), rel=1e-13)  # a clip that never lifts is rigid


def test_a_moment_turned_round_is_borne_up_to_what_bent_the_bar():
    # Beyond a rigid stop a hard push bends the root inward; the bar remembers the push that bent it in.
    record = demo(bend=2e-3, relief_length=20e-3, slab_root=0)
    one = overtravel.pushed_out(record, 8000.0, 30e-3, 0.0, 0.0)
    assert float(one.moments[0]) < 0
    root = -float(one.moments[0]) / float(bending.root_moment(record))
    thin = float(
        one.moments[1] / bending.thinning(record) ** 2
    )  # the relief's own end at the step bears 1, unbent there
    assert float(one.use) == pytest.approx(max(root, thin), rel=1e-12)
    assert root < thin < -float(one.moments[0]) / float(remembered.borne(record)[0])


def test_no_stop_leaves_the_bar_to_its_push():
    one = overtravel.pushed_out(demo(), 7.0, 30e-3, np.inf, 0.0)
    assert float(one.reaction) == 0.0
    assert float(one.travel) == pytest.approx(7.0 * float(beam.flexibility(demo(), TIP, BALL)), rel=1e-12)


def test_distance_to_a_stop_and_reach():
    one = demo()
    assert float(overtravel.stop_distance(one, BALL, 0.3e-3)) == pytest.approx(
        float(bend.free_offset(one)) + 0.3e-3, rel=1e-12
    )
    frame = Frame(one, 30e-3)
    found = frame.solve({TIP: 3.0})
    ratio = found[2 * frame.at(BALL)] / found[2 * frame.at(30e-3)]
    assert float(overtravel.reach(one, 30e-3)) == pytest.approx(ratio, rel=1e-9)


def bent(moment, **changes):
    """A bar pushed in, by fibres and by its record."""
    one = demo(**changes)
    bar = Bar(one).push(moment, TIP).let_go()
    return bar, one._replace(bend=np.asarray(bar.offset(TIP)))


@pytest.mark.parametrize("changes", [{}, {"reverse_yield": 0.8}, {"relief_thickness": 2.8e-3, "relief_length": 4e-3}])
@pytest.mark.parametrize("moment", [1.15, 1.4])
def test_push_that_takes_no_bend_back(changes, moment):
    bar, record = bent(moment, **changes)
    first = 828e6 * 8e-3 * float(record.relief_thickness) ** 2 / 6
    share, _ = bar.first_yield(TIP)
    assert float(overtravel.push_before_loss(record)) == pytest.approx(share * first / TIP, rel=2e-4)
    use = overtravel.pushed_out(record, share * first / TIP, TIP, np.inf, 0.0).use
    assert float(use) == pytest.approx(1.0, rel=2e-4)


def least_room(bar, record, push, stop):
    """How many times the bending of a push against a stop the worst place of a bar of fibres bears outward."""
    reaction = against(record, push, *stop)[2]
    least = np.inf
    for row, x, thick in zip(bar.rows, bar.x, (1.3e-3, 3e-3), strict=True):
        moment = push * (TIP - x) - reaction * np.maximum(stop[0] - x, 0)
        unit = np.maximum(moment, 0) / (828e6 * 8e-3 * thick**2 / 6)
        stress = row.stress()[:, -1] - row.low[:, -1]
        least = min(least, np.min(stress[unit > 0] / unit[unit > 0]))
    return least


@pytest.mark.parametrize("stop", ["soft", "clip"])
@pytest.mark.parametrize("moment", [1.2, 1.4])
def test_push_against_a_stop_that_takes_no_bend_back(stop, moment):
    # The frame says how push and reaction bend the bar, the fibres which of them yields first.
    bar, record = bent(moment)
    found = float(overtravel.push_against(record, *STOPS[stop]))
    assert least_room(bar, record, 0.999 * found, STOPS[stop]) > 1.0
    assert least_room(bar, record, 1.001 * found, STOPS[stop]) < 1.0


@pytest.mark.parametrize("place", [12e-3, 20e-3, 28e-3])
def test_push_against_a_rigid_stop_near_the_relief(place):
    bar, record = bent(1.2)
    found = float(overtravel.push_against(record, place, 0.3e-3, 0.0))
    assert least_room(bar, record, 0.999 * found, (place, 0.3e-3, 0.0, 0.0)) > 1.0


def test_a_stop_that_no_push_overcomes():
    assert np.isnan(overtravel.push_against(demo(bend=0.0), TIP, 0.0, 0.0))
    free = overtravel.push_against(demo(), 30e-3, np.inf, 0.0)
    assert float(free) == pytest.approx(float(overtravel.push_before_loss(demo())), rel=1e-9)


def test_a_bar_bent_over_an_edge_gives_there_first():
    record = demo(bend_at=20e-3, thickness=1.6e-3)
    place = 20e-3
    first = 828e6 * 8e-3 * 1.6e-3**2 / 6
    expected = min(0.5 * first / (TIP - place), 828e6 * 8e-3 * 1.3e-3**2 / 6 / TIP)
    assert float(overtravel.push_before_loss(record)) == pytest.approx(expected, rel=1e-9)
    moments = overtravel.pushed_out(record, 2.0, 35e-3, np.inf, 0.0).moments
    assert float(moments[2]) == pytest.approx(2.0 * 30e-3 / first, rel=1e-12)
    np.testing.assert_allclose(overtravel.pushed_out(record, 2.0, 35e-3, np.inf, 0.0).use, 2.0 / expected, rtol=1e-9)


def test_a_bar_that_was_pushed_back_bears_more():
    record = demo(bend=2.2e-3)
    settled = record._replace(pushed_back=remembered.travel_of_share(record, 0.9))
    before, after = (float(overtravel.push_before_loss(one)) for one in (record, settled))
    assert after > before
    assert after == pytest.approx(0.9 * 828e6 * 8e-3 * 1.3e-3**2 / 6 / TIP, rel=1e-9)


def test_a_clip_as_its_own_cantilever():
    # Tip stiffness and root stress of a strip by the frame's own element.
    one = demo(
        relief_thickness=1e-3,
        thickness=1e-3,
        relief_length=40e-3,
        slab_root=0,
        poissons_ratio=0.0,
        youngs_modulus=200e9,
    )
    strip = Frame(one._replace(tip_from_root=np.asarray(TIP)))
    found = strip.solve({40e-3: 6.0})
    stiff = float(overtravel.cantilever_stiffness(200e9, 8e-3, 1e-3, 40e-3))
    lifted = found[2 * strip.at(40e-3)]
    assert 6.0 / lifted == pytest.approx(stiff, rel=1e-3)  # a strip this slender shears by 0.05 %
    stress = strip.moment(found, 0.0) / (8e-3 * 1e-3**2 / 6)
    assert float(overtravel.cantilever_stress(200e9, 1e-3, 40e-3, 6.0 / stiff)) == pytest.approx(
        stress, rel=1e-5
    )  # nu 0 still shears


@pytest.mark.slow
def test_many_bars_at_once_equal_single_calls():
    rng = np.random.default_rng(9)
    many = demo(
        bend=rng.uniform(0, 2.5e-3, 12),
        bend_at=rng.choice([np.nan, 6e-3], 12, p=[0.8, 0.2]),
        relief_thickness=rng.uniform(1e-3, 2e-3, 12),
        pushed_back=rng.choice([0.0, 2e-3], 12),
    )
    push = rng.uniform(1, 30, 12)
    stop = 33e-3, 0.3e-3, 1e-4, 3.0
    found = overtravel.pushed_out(many, push, *stop)
    against_it, alone = overtravel.push_against(many, *stop), overtravel.push_before_loss(many)
    assert 0 < np.count_nonzero(found.reaction) < 12
    for i in range(12):
        one = dig(many, i)
        for many_part, one_part in zip(found, overtravel.pushed_out(one, push[i], *stop), strict=True):
            np.testing.assert_allclose(many_part[i], one_part, rtol=1e-12, atol=1e-15)
        np.testing.assert_allclose(against_it[i], overtravel.push_against(one, *stop), rtol=1e-9)
        np.testing.assert_allclose(alone[i], overtravel.push_before_loss(one), rtol=1e-10)
    grid = overtravel.pushed_out(dig(many, 0), np.array([[3.0], [9.0]]), np.array([20e-3, 30e-3, 40e-3]), 0.2e-3, 0.0)
    assert grid.travel.shape == grid.use.shape == (2, 3)
    assert grid.moments.shape == (2, 3, 4)
