"""Figures of motion: they show the motion's own numbers, no words collide, and every kind of throw draws."""

from dataclasses import replace
from functools import cache

import matplotlib
import numpy as np
import pytest
from helpers.garden import workshop
from helpers.words import boxes, check_words
from matplotlib.figure import Figure

from detentsim.analysis.one_build.motion.motion import motion as compute
from detentsim.knife.model import Build
from detentsim.knife.outcomes import FLAGS
from detentsim.knife.packaged import demo, demo_text
from detentsim.show import attitudes, blade_strip, energy, motion_figure, speed
from detentsim.show.one_build.motion.strip import blade_length, two_deg
from detentsim.show.theme.saving import save_figure
from detentsim.units.numbers import two

pytestmark = pytest.mark.slow  # every test here draws or solves what costs seconds

LONG = "The long-named garden folder with a second lock bar and a name that nobody types in full, " + "ever. " * 15
BUILDS = {
    "demo": {},
    "coasts": {"friction.ball_on_tang": 0.3, "finger.speed_limit": "0.6 m/s"},
    "stuck": {"pivot.friction_torque": "120 N*mm", "opener.leaves_at": None, "finger.effort": 1.02},
    "weak": {"finger.effort": 0.9},
    "leaves first": {"opener.leaves_at": "0 deg"},
    "floats": {"bar.bend": "-1 mm"},
    "no mass": {"blade.mass": None, "blade.balance_radius": None},
    "short swing": {"blade.open_angle": "90 deg"},
    "full circle": {"blade.open_angle": "360 deg", "finger.speed_limit": "6 m/s"},
    "follows": {"opener.push": "follows"},
    "stays on": {"opener.push": "follows", "opener.leaves_at": None},
    "hangs": {"attitude.down_angle": "90 deg", "finger.speed_limit": "0.4 m/s"},
    "own attitude": {"attitude.down_angle": "30 deg", "attitude.close_from": "120 deg"},
    "long name": {"name": LONG},
    "left hand": {"hand": "left"},
    "left, coasts": {"hand": "left", "finger.speed_limit": "0.3 m/s"},
    "slow": {"finger.speed_limit": "0.05 m/s"},
    "known length": {"blade.length": "75 mm", "blade.root_width": "22 mm", "blade.tip_width": "4 mm"}
    | {"blade.thickness": "3 mm", "blade.mass": None, "blade.balance_radius": None, "blade.inertia": None},
}
OPENS = ["demo", "no mass", "short swing", "full circle", "follows", "stays on", "long name", "left hand"]
STALLS = {
    "coasts": "coasted out",
    "hangs": "coasted out",
    "left, coasts": "coasted out",
    "stuck": "finger stuck",
    "weak": "finger too weak",
    "leaves first": "finger leaves first",
}
STILL = ["weak", "leaves first"]
MOVES = [*OPENS, *(name for name in STALLS if name not in STILL)]
DRAWN = {"speed": speed, "energy": energy, "strip": blade_strip, "attitudes": attitudes}


@cache
def made(name):
    elastic = {"bar.youngs_modulus": "113.8 GPa", "bar.poissons_ratio": 0.342}  # whatever the table says
    return compute(replace(workshop().change(elastic | BUILDS[name]), demo=True))


@cache
def page(name):
    return motion_figure(made(name))


def axes():
    return Figure(figsize=(6.7, 2.6)).add_axes((0.1, 0.2, 0.88, 0.78))


def lines(ax, label):
    return [one for one in ax.lines if one.get_label() == label]


def line(ax, label):
    (found,) = lines(ax, label)
    return found


def patches(ax, gid):
    return [np.asarray(one.get_xy())[:-1] for one in ax.patches if one.get_gid() == gid]


def words(ax):
    return " ".join(text.get_text() for text in ax.texts).replace("\n", " ")


def open_angle(name):
    return np.degrees(made(name).build.si("blade.open_angle"))


def directions(shapes, middle=(0.0, 0.0)):
    """Where the tips of drawn blades point from the pivot [deg]: the farthest corner."""
    tips = [shape[np.argmax(np.hypot(*(shape - middle).T))] - middle for shape in shapes]
    return np.array([np.degrees(np.arctan2(y, x)) for x, y in tips])


def turn_between(one, other):
    return np.abs((np.asarray(one) - np.asarray(other) + 180) % 360 - 180)


# What all share


@pytest.mark.parametrize("name", BUILDS)
def test_no_words_collide_and_none_are_cut_off(name):
    figure = page(name)
    assert len(boxes(figure)) > 20
    check_words(figure)


@pytest.mark.parametrize("name", BUILDS)
def test_a_page_wide_nothing_smaller_than_seven_points_and_units_on_every_scale(name):
    figure = page(name)
    assert figure.get_figwidth() * 25.4 == pytest.approx(170)
    assert figure.get_figheight() * 25.4 < 240
    assert min(text.get_fontsize() for text in figure.findobj(matplotlib.text.Text) if text.get_text()) >= 7
    strip, fast, mj, row = figure.axes
    assert (fast.get_ylabel(), mj.get_ylabel()) == ("blade speed [rad/s]", "energy [mJ]")
    assert (fast.get_xlabel(), mj.get_xlabel()) == ("", "blade angle [deg]")
    assert fast.get_xlim() == mj.get_xlim()
    assert fast.get_position().x0 == mj.get_position().x0
    assert not strip.axison
    assert not row.axison
    assert mj.get_xlim()[1] > open_angle(name)
    assert all(text.get_text() == "" for ax in (fast, mj) for text in [ax.yaxis.get_offset_text()])


@pytest.mark.parametrize("draw", DRAWN.values(), ids=DRAWN)
def test_axes_are_taken_and_returned_and_settings_left_alone(draw):
    ax, before = axes(), dict(matplotlib.rcParams)
    assert draw(made("demo"), ax) is ax
    assert dict(matplotlib.rcParams) == before


@pytest.mark.parametrize("draw", DRAWN.values(), ids=DRAWN)
@pytest.mark.parametrize("name", ["demo", "coasts", "weak", "floats", "no mass"])
def test_without_axes_a_notebook_gets_a_figure_that_can_be_read(draw, name, monkeypatch):
    monkeypatch.setenv("MPLBACKEND", "agg")
    plt = pytest.importorskip("matplotlib.pyplot")
    plt.switch_backend("agg")
    ax = draw(made(name))
    try:
        assert plt.get_fignums() == [ax.figure.number]
        check_words(ax.figure)
    finally:
        plt.close(ax.figure)


@pytest.mark.parametrize("ending", ["png", "svg", "pdf"])
def test_same_figure_gives_the_same_bytes(tmp_path, ending):
    paths = [save_figure(motion_figure(made("demo")), tmp_path / f"{i}.{ending}") for i in range(2)]
    assert paths[0].read_bytes() == paths[1].read_bytes()


def test_builds_here_do_what_they_are_named_for():
    for name in OPENS:
        assert made(name).opens_fully is True
    for name, kind in STALLS.items():
        assert made(name).opens_fully is False
        assert made(name).opening.stall == kind
    assert made("floats").opens_fully is None
    assert made("no mass").attitudes == ()
    assert made("coasts").flags


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
    assert f"arrives at {two(arrival)} rad/s" in words(ax)
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
    assert f"lacks {two(lacks)} mJ to lock-up" in words(energy(made(name), axes()))


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
    assert f"put in by the finger {two(put_in)} mJ" in said
    taken = put_in if made(name).opening.stall == "coasted out" else budget.spent[moving][-1]
    assert f"taken by ball, pivot and weight {two(taken)} mJ" in said
    if name in OPENS:
        assert f"left in the blade {two(made(name).results['arrival_energy'])} mJ" in said
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
    assert f"blade every {two((times[1] - times[0]) * 1e3)} ms" in words(ax)
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


def test_without_a_mass_no_attitude_is_drawn():
    ax = attitudes(made("no mass"), axes())
    assert "How the blade falls is not known" in words(ax)
    assert not ax.patches


# The page


def under(name):
    return " ".join(text.get_text().replace("\n", " ") for text in page(name).texts[1:])


@pytest.mark.parametrize("name", BUILDS)
def test_foot_gives_the_verdict_over_finger_speeds_and_the_flags(name):
    found, said = made(name), under(name)
    for one in found.opening.speeds:
        (told,) = [part for part in page(name).texts[1].get_text().splitlines() if f" at {two(one.limit)} m/s" in part]
        if one.opens:
            assert told.endswith(f"opens in {one.time * 1e3:.0f} ms, arriving at {two(one.speed)} rad/s.")
        else:
            assert told.endswith(f"stalls at {two_deg(one.stall)}, {two(one.lacks)} mJ short of lock-up.")
        assert ("this build, drawn" in told) == (one.limit == found.build.si("finger.speed_limit"))
    assert ("lowest breakout" in said) == (found.opening.launch is not None)
    assert ("Stalled, the blade" in said) == bool(found.opening.after)
    for flag in found.flags:
        assert FLAGS[flag] in said
    assert said.startswith(found.summary.words)
    assert ("No warning" in said) == found.summary.sound


def test_what_a_stalled_blade_does_is_said():
    assert "Stalled, the blade falls back and hangs at 112 deg." in under("hangs")
    assert "Stalled, the blade stays there." in under("coasts")
    assert "Stalled, the blade falls shut again." in under("left, coasts")


def test_title_is_the_builds_name_and_says_demo():
    assert page("demo").texts[0].get_text() == f"{demo().name} (demo)"
    assert motion_figure(compute(Build.loads(demo_text()))).texts[0].get_text() == demo().name
    title = page("long name").texts[0].get_text()
    assert title.count("\n") == 1
    assert title.endswith("... (demo)")
    odd = compute(demo().change({"name": "cost $5 & $6, \\alpha_1 <b>"}))
    assert motion_figure(odd).texts[0].get_text() == "cost $5 & $6, \\alpha_1 <b> (demo)"


def test_a_build_in_inches_has_its_energies_in_inches():
    """The same lines, drawn in ozf*in: 1 ozf*in is 7.061552 mJ (16 oz to the pound of 4.4482216 N)."""
    metric, inch = (compute(Build.loads(f'units = "{units}"\n{demo_text()}')) for units in ("metric", "inch"))
    one, other = energy(metric, axes()), energy(inch, axes())
    assert (one.get_ylabel(), other.get_ylabel()) == ("energy [mJ]", "energy [ozf*in]")
    for name in ("finger", "spent", "left"):
        drawn = [next(line for line in ax.lines if line.get_label() == name).get_ydata() for ax in (one, other)]
        assert drawn[0] == pytest.approx(7.061552 * drawn[1], rel=1e-6, nan_ok=True)
    assert " mJ" not in "".join(text.get_text() for text in motion_figure(inch).texts) + words(other)
    check_words(motion_figure(inch))
