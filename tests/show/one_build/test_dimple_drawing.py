"""The drawing of ball and dimple: to scale, true to the results, named as typed."""

import numpy as np
import pytest
from helpers.drawn_curves import BUILDS, axes, drawn, made
from helpers.drawn_parts import line, texts
from helpers.garden import workshop
from helpers.words import check_words
from matplotlib.patches import Circle

import detentsim as ds
from detentsim.knife.packaged import demo
from detentsim.show import curve, dimple
from detentsim.show.one_build.feel_curve.report import report
from detentsim.units.numbers import two_digits

pytestmark = pytest.mark.slow  # many pictures


@pytest.mark.parametrize("name", BUILDS)
def test_drawing_is_to_one_scale_and_shows_the_ball_whole(name):
    c = made(name)
    ax = drawn(dimple, name)
    (ball,) = [one for one in ax.patches if isinstance(one, Circle)]
    assert (ball.center, ball.radius) == (c.picture.ball, c.picture.radius)
    start, across, up = ax.transData.transform([[0, 0], [1, 0], [0, 1]])
    assert abs(across - start)[0] == pytest.approx(abs(up - start)[1])
    frame, extent = ax.bbox, ball.get_window_extent()
    assert frame.x0 < extent.x0 < extent.x1 < frame.x1
    assert frame.y0 < extent.y0 < extent.y1 < frame.y1
    unit = "[thou]" if c.build.units.length == "in" else "[mm]"
    assert all(unit in label for label in (ax.get_xlabel(), ax.get_ylabel()))


@pytest.mark.parametrize("name", ["demo", "stands proud", "rigid bar", "shallow hole"])
def test_contacts_and_their_normals_run_through_the_balls_centre(name):
    picture = made(name).picture
    ax = dimple(made(name), axes())
    dots = [one.get_xydata()[0].tolist() for one in ax.lines if one.get_label() == "contact"]
    assert dots == picture.contacts.tolist()
    angle = made(name).results["contact_angle"]
    assert any(f"ψ {angle:.0f}°" in text for text in texts(ax))
    for x, y in picture.contacts:
        slope = np.degrees(np.arctan2(abs(x - picture.ball[0]), picture.ball[1] - y))
        assert slope == pytest.approx(angle, abs=1e-3)


@pytest.mark.parametrize("name", BUILDS)
def test_contact_lies_on_the_ball_and_on_the_metal(name):
    ax = drawn(dimple, name)
    (ball,) = [one for one in ax.patches if isinstance(one, Circle)]
    dots = np.array([one.get_xydata()[0] for one in ax.lines if one.get_label() == "contact"]).reshape(-1, 2)
    assert len(dots) == len(made(name).picture.contacts)
    wall = line(ax, "tang").get_xydata()
    wall = wall[np.append(True, np.any(np.diff(wall, axis=0) != 0, axis=1))]  # two cuts may share a corner
    for dot in dots:
        assert np.hypot(*(dot - ball.center)) == pytest.approx(ball.radius, rel=1e-6)
        start, step = wall[:-1], np.diff(wall, axis=0)
        part = np.clip(np.sum((dot - start) * step, axis=1) / np.sum(step**2, axis=1), 0, 1)
        gap = np.hypot(*(start + part[:, None] * step - dot).T).min()
        assert gap < 2e-5  # [mm]; how far the short straight steps of a 0.02 mm edge cut inside its arc


def test_loose_ball_touches_nothing():
    ax = dimple(made("hangs loose"), axes())
    assert not [one for one in ax.lines if one.get_label() == "contact"]
    assert any("carries\nnothing" in text for text in texts(ax))


def test_sizes_are_those_of_the_results():
    c = made("stands proud")  # at rest in the middle, so it reaches its full seat depth
    ax = dimple(c, axes())
    assert min(line(ax, "below flat").get_ydata()) == pytest.approx(-c.results["seat_depth"])
    assert f"{c.results['seat_depth']:.2f} mm\nbelow flat" in texts(ax)
    assert max(line(ax, "to bar").get_ydata()) == c.picture.bar_face


def test_bar_lying_on_the_tang_is_said():
    assert "bar lies\non tang" in texts(dimple(made("bar on tang"), axes()))


def test_ball_beside_its_dimple_lies_on_the_drawn_tang_and_the_bar_does_not():
    build = workshop().change({"dimple.overclose": "0.9 mm"})
    c = ds.curve(build)
    ax = dimple(c, axes())
    assert "misses_dimple" in c.flags
    assert "ball lies\non tang" in texts(ax)
    assert "bar lies\non tang" not in texts(ax)
    assert line(ax, "tang").get_xdata().max() > c.picture.ball[0] + c.picture.radius


def test_ball_that_floats_is_measured_clear():
    ax = dimple(made("floats"), axes())
    assert max(line(ax, "clear").get_ydata()) > 0


def test_scale_bar_is_as_long_as_it_says():
    for name in ("demo", "big ball"):
        ax = dimple(made(name), axes())
        ends = line(ax, "scale").get_xdata()
        assert f"{ends[1] - ends[0]:g} mm" in texts(ax)


def test_drills_are_named_as_typed():
    words = texts(dimple(made("demo"), axes()))
    assert "first drill\n1.8 mm\n0.6 mm deep" in words
    assert f"second drill\n1.9 mm\nfed {demo()['dimple.rim_feed'].text}" in words
    assert not any("second drill" in text for text in texts(dimple(made("square on, no rim drill"), axes())))


def test_left_hand_mirrors_the_drawing_and_nothing_else():
    right, left = dimple(made("demo"), axes()), dimple(made("left hand"), axes())
    assert left.get_xlim() == right.get_xlim()[::-1]
    assert left.get_ylim() == right.get_ylim()
    assert texts(left) == texts(right)
    sides = []
    for ax in (right, left):
        (ball,) = [one for one in ax.patches if isinstance(one, Circle)]
        dot, centre = ax.transData.transform([line(ax, "contact").get_xydata()[0], ball.center])
        sides.append(float((dot - centre)[0]))
    assert sides[0] > 1
    assert sides[1] == pytest.approx(-sides[0])
    forces = [line(curve(made(name), axes()), "opening").get_ydata() for name in ("demo", "left hand")]
    np.testing.assert_array_equal(*forces)


def test_sizes_and_forces_in_inches_are_those_of_the_report():
    """Labels, axes and scale bar of a build in inches agree with its report."""
    c = made("inch")
    told = " ".join(report(c, full=True).split())
    ax, drawn = dimple(c, axes()), curve(c, axes())
    words = [text.replace("\n", " ") for text in (*texts(ax), *texts(drawn))]
    seat = next(text.removesuffix(" below flat") for text in words if text.endswith("below flat"))
    assert f"Ball seats below the flat {seat}" in told
    drag = next(text for text in words if text.startswith("drag "))
    assert f"Drag at mid-swing {drag.split(' at ')[0].removeprefix('drag ')}" in told
    assert seat.endswith(" thou")
    assert "lbf" in drag
    assert (ax.get_ylabel(), drawn.get_ylabel()) == ("height over the tang [thou]", "force at the opener [lbf]")
    breakout = next(text for text in words if text.startswith("breakout"))
    assert f"Breakout {breakout.removeprefix('breakout ')}" in told


def test_ticks_in_inches_stand_where_they_say():
    """1 thou is 0.0254 mm, 1 lbf is 4.4482 N (international yard and pound, 1959)."""
    ax, drawn = dimple(made("inch"), axes()), curve(made("inch"), axes())
    for axis, per in ((ax.xaxis, 0.0254), (ax.yaxis, 0.0254), (drawn.yaxis, 4.4482216152605)):
        ticks = [float(text.get_text().replace("\N{MINUS SIGN}", "-")) for text in axis.get_ticklabels()]
        assert len(ticks) > 2
        assert [per * tick for tick in ticks] == pytest.approx(list(axis.get_ticklocs()), abs=1e-9)


def test_scale_bar_in_inches_is_as_long_as_it_says():
    ax = dimple(made("inch"), axes())
    ends = line(ax, "scale").get_xdata()
    assert f"{(ends[1] - ends[0]) / 0.0254:g} thou" in texts(ax)


COATED = {"tang.coating": "25 um", "ball.coating": "5 um", "bar.coating": "1 thou"}


@pytest.mark.parametrize("change", [{"dimple.burr": "0.02 mm"}, {"dimple.burr": "0.1 mm", **COATED}, {"hand": "left"}])
def test_burr_is_drawn_to_scale_and_coats_are_named_clear_of_all_other_words(change):
    c = ds.curve(workshop().change(change))
    ax = dimple(c)
    check_words(ax.figure)
    height, said = 1e3 * c.build.si("dimple.burr", 0.0), "\n".join(texts(ax))
    surface = line(ax, "tang").get_xydata()
    assert surface[:, 1].max() == pytest.approx(height)
    crest = np.abs(surface[surface[:, 1] > 0, 0])
    mouth = ds.curve(c.build.change({"dimple.burr": None})).picture.outline[-2, 0]
    assert crest == pytest.approx(np.full(2 if height else 0, mouth))
    assert ("burr" in said) == (height > 0)
    coats = [
        f"{part} {c.build.word(f'{part}.coating')}" for part in ("tang", "ball", "bar") if "tang.coating" in change
    ]
    assert ("\n".join(["coated", *coats]) in said) if coats else ("coated" not in said)


def test_a_ball_off_its_middle_is_said_to_rest_where_it_is_drawn():
    """It reaches less deep than a seated ball, of which every report says how deep it lies."""
    c = ds.curve(workshop().change({"dimple.overclose": "0.1 mm"}))
    low = c.picture.radius - c.picture.ball[1]
    assert two_digits(low) != two_digits(c.results["seat_depth"])
    assert f"rests\n{two_digits(low)} mm\nbelow flat" in texts(dimple(c, axes()))
