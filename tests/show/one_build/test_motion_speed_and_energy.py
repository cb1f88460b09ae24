"""Speed and energy as drawn: the motion's own numbers."""

import numpy as np
import pytest
from helpers.drawn_motions import MOVES, OPENS, STALLS, STILL, axes, made, open_angle, under
from helpers.drawn_parts import line, lines, words

from detentsim.show import blade_strip, energy, speed
from detentsim.show.one_build.motion.strip import two_deg
from detentsim.units.numbers import two_digits

pytestmark = pytest.mark.slow  # every test here draws or solves what costs seconds


# Speed


@pytest.mark.parametrize("name", MOVES)
def test_speed_runs_through_the_motions_own_points(name):
    budget, ax = made(name).budget, speed(made(name), axes())
    moving = np.isfinite(budget.time)
    drawn = line(ax, "speed")
    at = np.interp(budget.angle[moving], drawn.get_xdata(), drawn.get_ydata())
    np.testing.assert_allclose(at, budget.speed[moving], rtol=1e-12, atol=1e-12)
    end = open_angle(name) if name in OPENS else made(name).results["stall_angle"]
    assert drawn.get_xdata()[-1] == pytest.approx(end, abs=1e-6)
    # between two points the energy's line is straight, so it never leaves the speeds at its ends
    steps = np.searchsorted(budget.angle[moving], drawn.get_xdata()[1:-1])
    both = np.append(budget.speed[moving], 0.0)
    inside = drawn.get_ydata()[1:-1]
    assert np.all(inside <= np.maximum(both[steps - 1], both[steps]) + 1e-9)


@pytest.mark.parametrize("name", OPENS)
def test_arrival_is_marked_and_said(name):
    ax, arrival = speed(made(name), axes()), made(name).results["arrival_speed"]
    mark = line(ax, "arrives")
    assert (mark.get_xdata()[0], mark.get_ydata()[0]) == (open_angle(name), arrival)
    assert f"arrives at {two_digits(arrival)} rad/s" in words(ax)
    assert not lines(ax, "stalls")


@pytest.mark.parametrize(("name", "kind"), STALLS.items())
def test_stall_is_marked_with_its_kind(name, kind):
    stall = made(name).results["stall_angle"]
    for ax in (speed(made(name), axes()), energy(made(name), axes())):
        assert list(line(ax, "stalls").get_xdata()) == [stall]
        assert not lines(ax, "arrives")
    assert f"stalls at {two_deg(stall)}: {kind}" in words(speed(made(name), axes()))
    assert f"stalls at {two_deg(stall)}: {kind}" in words(blade_strip(made(name), axes()))
    lacks = made(name).results["wrist_energy"]
    assert f"lacks {two_digits(lacks)} mJ to lock-up" in words(energy(made(name), axes()))


@pytest.mark.parametrize("name", [*MOVES, *STILL])
def test_where_the_finger_leaves_is_marked(name):
    found, ax = made(name), speed(made(name), axes())
    assert set(line(ax, "finger leaves").get_xdata()) == {found.opening.leaves}
    stays = found.opening.leaves > open_angle(name) - 1e-6
    said = "finger stays on to lock-up" if stays else f"finger leaves at {two_deg(found.opening.leaves)}"
    assert said in words(ax)
    reached = np.isnan(found.results["stall_angle"] or np.nan) or (
        found.budget.angle[0] <= found.opening.leaves <= found.results["stall_angle"]
    )
    assert len(lines(ax, "leaves here")) == reached


# Energy


@pytest.mark.parametrize("name", MOVES)
def test_energies_are_the_motions_own_and_add_up(name):
    budget, ax = made(name).budget, energy(made(name), axes())
    moving = np.isfinite(budget.time)
    count = int(moving.sum())
    drawn = {key: line(ax, key) for key in ("finger", "spent", "left")}
    for key, one in drawn.items():
        np.testing.assert_array_equal(one.get_xdata()[:count], budget.angle[moving])
        np.testing.assert_array_equal(one.get_ydata()[:count], getattr(budget, key)[moving])
    finger, spent, left = (one.get_ydata() for one in drawn.values())
    known = np.isfinite(finger)
    np.testing.assert_allclose(finger[known], (spent + left)[known], atol=1e-9 * np.nanmax(finger))
    assert len({one._dash_pattern[1] and tuple(one._dash_pattern[1]) for one in drawn.values()}) == 3


@pytest.mark.parametrize("name", MOVES)
def test_energies_are_named_on_their_lines_with_what_they_come_to(name):
    budget, said = made(name).budget, words(energy(made(name), axes()))
    moving = np.isfinite(budget.time)
    put_in = budget.finger[moving][-1]
    assert f"put in by the finger {two_digits(put_in)} mJ" in said
    taken = put_in if made(name).opening.stall == "coasted out" else budget.spent[moving][-1]
    assert f"taken by ball, pivot and weight {two_digits(taken)} mJ" in said
    if name in OPENS:
        assert f"left in the blade {two_digits(made(name).results['arrival_energy'])} mJ" in said
    else:
        assert "left in the blade" in said
        assert line(energy(made(name), axes()), "left").get_ydata()[-1] == 0


@pytest.mark.parametrize("name", STILL)
def test_where_nothing_moves_the_graph_says_so(name):
    ax = energy(made(name), axes())
    assert "it does not move" in words(ax)
    assert list(ax.get_yticks()) == [0]
    assert list(speed(made(name), axes()).get_yticks()) == [0]


def test_where_nothing_is_thrown_every_part_says_so():
    for draw in (speed, energy, blade_strip):
        ax = draw(made("floats"), axes())
        assert "no breakout: nothing is thrown" in words(ax)
    assert not lines(speed(made("floats"), axes()), "speed")
    assert "Nothing is thrown: the ball never reaches the tang." in under("floats")
