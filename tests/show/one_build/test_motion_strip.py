"""The strip of blades and the handles by attitude as drawn: the motion's own angles."""

import itertools

import numpy as np
import pytest
from helpers.drawn_motions import BUILDS, MOVES, OPENS, STALLS, axes, made, open_angle
from helpers.drawn_parts import lines, words
from matplotlib.figure import Figure

from detentsim.show import attitudes, blade_strip
from detentsim.show.one_build.motion.strip import blade_length, two_deg
from detentsim.units.numbers import two_digits

pytestmark = pytest.mark.slow  # every test here draws or solves what costs seconds


def patches(ax, gid):
    return [np.asarray(one.get_xy())[:-1] for one in ax.patches if one.get_gid() == gid]


def directions(shapes, middle=(0.0, 0.0)):
    """Where the tips of drawn blades point from the pivot [deg]: the farthest corner."""
    tips = [shape[np.argmax(np.hypot(*(shape - middle).T))] - middle for shape in shapes]
    return np.array([np.degrees(np.arctan2(y, x)) for x, y in tips])


def turn_between(one, other):
    return np.abs((np.asarray(one) - np.asarray(other) + 180) % 360 - 180)


# The strip


@pytest.mark.parametrize("name", MOVES)
def test_blades_stand_at_equal_times(name):
    budget, ax = made(name).budget, blade_strip(made(name), axes())
    timed = np.isfinite(budget.time)
    side = -1 if made(name).build.hand == "left" else 1
    shapes = [shape * (side, 1) for shape in patches(ax, "blade")]
    assert 6 <= len(shapes) <= 9
    times = np.linspace(0, budget.time[timed][-1], len(shapes))
    angles = np.interp(times, budget.time[timed], budget.angle[timed])
    np.testing.assert_allclose(turn_between(directions(shapes), angles), 0, atol=1e-6)
    assert f"blade every {two_digits((times[1] - times[0]) * 1e3)} ms" in words(ax)
    assert "not to scale" in words(ax)
    if name in OPENS:
        assert f"lock-up at {times[-1] * 1e3:.0f} ms" in words(ax)
        assert made(name).opening.speeds
    shades = [np.mean(one.get_facecolor()[:3]) for one in ax.patches if one.get_gid() == "blade"]
    assert np.all(np.diff(shades) < 0)
    start, across, up = ax.transData.transform([[0, 0], [1, 0], [0, 1]])
    assert (across - start)[0] == pytest.approx((up - start)[1])


@pytest.mark.parametrize("name", STALLS)
def test_strip_draws_the_blade_where_it_stalls(name):
    side = -1 if made(name).build.hand == "left" else 1
    shapes = [shape * (side, 1) for shape in patches(blade_strip(made(name), axes()), "stalls")]
    np.testing.assert_allclose(turn_between(directions(shapes), made(name).results["stall_angle"]), 0, atol=1e-6)
    assert not patches(blade_strip(made("demo"), axes()), "stalls")


def test_times_beside_blades_are_those_of_the_blades():
    ax, budget = blade_strip(made("demo"), axes()), made("demo").budget
    step = budget.time[-1] / (len(patches(ax, "blade")) - 1)
    said = [text.get_text() for text in ax.texts if text.get_text().endswith(" ms") and "\n" not in text.get_text()]
    assert len(said) >= 3
    assert set(said) <= {f"{i * step * 1e3:.0f} ms" for i in range(10)}


def test_a_left_handed_knife_is_mirrored():
    for draw in (blade_strip, attitudes):
        right, left = draw(made("demo"), axes()), draw(made("left hand"), axes())
        for gid in {one.get_gid() for one in right.patches}:
            for one, other in zip(patches(right, gid), patches(left, gid), strict=True):
                np.testing.assert_allclose(other[:, 1], one[:, 1], atol=1e-9)
                np.testing.assert_allclose(np.diff(other[:, 0]), -np.diff(one[:, 0]), atol=1e-9)


def test_length_is_the_blades_or_goes_with_what_is_known():
    assert blade_length(made("known length")) == pytest.approx(75)
    assert blade_length(made("demo")) == pytest.approx(34 / 0.45)
    assert blade_length(made("no mass")) == pytest.approx(6 * 10.5)
    (blade, *_) = patches(blade_strip(made("known length"), axes()), "blade")
    assert np.hypot(*blade.T).max() == pytest.approx(75)


# Attitudes


@pytest.mark.parametrize("name", [name for name in BUILDS if name != "no mass"])
def test_handles_hang_as_the_attitude_says_and_blades_where_they_come_to(name):
    found, ax = made(name), attitudes(made(name), axes())
    side = -1 if found.build.hand == "left" else 1
    start = np.degrees(found.build.si("attitude.close_from"))
    middles = [np.array([one.get_xdata()[0], one.get_ydata()[0]]) for h in found.attitudes for one in lines(ax, h.name)]
    assert len(middles) == len(found.attitudes) >= 5
    shown = zip(found.attitudes, middles, patches(ax, "let go"), patches(ax, "comes to"), strict=True)
    for hang, middle, let_go, comes_to in shown:
        tips = directions([(shape - middle) * (side, 1) for shape in (let_go, comes_to)])
        down = tips[0] - min(start, open_angle(name)) + hang.down_angle  # the closed blade's direction and to down
        assert turn_between(down, -90) < 1e-6
        assert turn_between(tips[0] - tips[1], min(start, open_angle(name)) - (hang.hangs or 0.0)) < 1e-6


def test_each_attitude_is_named_with_what_becomes_of_the_blade():
    ax = attitudes(made("demo"), axes())
    said = [text.get_text().replace("\n", " ") for text in ax.texts if text.get_text()]
    assert said[:2] == ["falls shut", "as given: tilted 45 deg, slot up"]
    for hang, became, name in zip(made("demo").attitudes[1:], said[2::2], said[3::2], strict=True):
        assert name == hang.name
        stays = hang.hangs is not None and hang.hangs > 90 - 1e-6
        assert became == (
            ("swings open" if hang.opens else "stays open") if stays else f"hangs at {two_deg(hang.hangs)}"
        )
    assert "as given: down at 30 deg" in words(attitudes(made("own attitude"), axes()))
    assert "hangs at 6.1 deg" in words(ax)


@pytest.mark.parametrize("name", ["demo", "own attitude", "known length"])
def test_no_attitude_reaches_the_next(name):
    ax = attitudes(made(name), axes())
    shapes = zip(patches(ax, "handle"), patches(ax, "let go"), patches(ax, "comes to"), strict=True)
    across = [np.concatenate(parts)[:, 0] for parts in shapes]
    gaps = [right.min() - left.max() for left, right in itertools.pairwise(across)]
    assert min(gaps) > 0.3  # blade lengths


def test_without_a_mass_no_attitude_is_drawn():
    ax = attitudes(made("no mass"), axes())
    assert "How the blade falls is not known" in words(ax)
    assert not ax.patches


@pytest.mark.parametrize("name", ["demo", "own attitude"])
def test_narrow_axes_draw_two_rows_whose_names_stay_whole(name):
    """The report page's width, 91 mm of axes: side by side every name would wrap."""
    figure = Figure(figsize=(95 / 25.4, 78 / 25.4))
    ax = attitudes(made(name), figure.add_axes((2 / 95, 4 / 78, 91 / 95, 71 / 78)))
    handles = np.array([shape.mean(axis=0) for shape in patches(ax, "handle")])
    shared = {hang.name for hang in made(name).attitudes} - {"as given"}
    assert shared <= {text.get_text() for text in ax.texts}
    figure.canvas.draw()
    boxes = [text.get_window_extent() for text in ax.texts if text.get_text()]
    assert not any(one.overlaps(other) for one, other in itertools.combinations(boxes, 2))
    assert all(ax.bbox.x0 - 6 <= box.x0 and box.x1 <= ax.bbox.x1 + 6 for box in boxes)
    assert handles[3:, 1].max() < handles[:3, 1].min() - 1  # blade lengths
