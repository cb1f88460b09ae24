"""Moment, stress and the ruler of travel as drawn: the limits' own numbers."""

import numpy as np
import pytest
from helpers.drawn_limits import BUILDS, axes, drawn, made
from helpers.drawn_parts import line, patch, texts, words

from detentsim.show import bar_moment, bar_stress, travel_ruler
from detentsim.show.one_build.limits.ruler import spread
from detentsim.units.numbers import two_digits

pytestmark = pytest.mark.slow  # every test here draws or solves what costs seconds


# Moment and stress


@pytest.mark.parametrize("name", BUILDS)
def test_lines_are_the_limits_own(name):
    side = made(name).side
    moment, stress = drawn(bar_moment, name), drawn(bar_stress, name)
    for ax, lines in ((moment, side.moment), (stress, {**side.stress, "borne": side.borne})):
        for key, values in lines.items():
            np.testing.assert_array_equal(line(ax, key).get_xdata(), side.x)
            np.testing.assert_array_equal(line(ax, key).get_ydata(), values)
        styles = {str(line(ax, key).get_linestyle()) + str(line(ax, key)._dash_pattern) for key in lines}
        assert len(styles) == len(lines)


UNKNOWN = ["over an edge", "floats", "floats far off"]
KNOWN = [name for name in BUILDS if name not in UNKNOWN]


@pytest.mark.parametrize("name", UNKNOWN)
def test_what_bending_left_is_not_drawn_where_it_is_not_known(name):
    ax = drawn(bar_stress, name)
    assert "residual" not in [one.get_label() for one in ax.lines]
    assert "What bending left is not known and left out: no margin is drawn." in words(ax)
    assert "to spare" not in words(ax)
    assert not ax.collections
    np.testing.assert_array_equal(line(drawn(bar_stress, "demo"), "residual").get_ydata(), made("demo").side.residual)


@pytest.mark.parametrize("name", KNOWN)
def test_margin_is_measured_where_it_is_least(name):
    found = made(name)
    ax, side = drawn(bar_stress, name), found.side
    left = side.borne - np.max(list(side.stress.values()), axis=0)
    asked, borne = line(ax, "least").get_ydata()
    assert borne - asked == pytest.approx(left.min(), abs=1e-9)
    size = abs(left.min()) if abs(left.min()) > 1e-6 else 0.0
    assert f"{two_digits(size)} MPa {'to spare' if left.min() > -1e-6 else 'past it'}" in words(ax)


@pytest.mark.parametrize("name", KNOWN)
def test_past_the_limit_is_hatched_and_only_there(name):
    past = [one for one in drawn(bar_stress, name).collections if one.get_label() == "past it"]
    side = made(name).side
    over = any(np.any(values > side.borne + 1e-6) for values in side.stress.values())
    assert [bool(one.get_hatch()) for one in past] == [True] * over


def test_lines_say_what_pushes():
    assert "tip pushed with 200 N against the stop" in texts(bar_moment(made("demo"), axes()))
    assert "tip pushed with 100 N against the clip" in texts(bar_stress(made("clip, pushed"), axes()))
    push = made("clip").service.stop.push
    assert f"tip pushed with {push:.0f} N against the clip, just before bend is lost" in texts(
        bar_stress(made("clip"), axes())
    )
    assert "unlocked: the ball touches nothing" in texts(bar_moment(made("floats"), axes()))


# The ruler


def signed(offset):
    return f"{round(offset, 2) + 0.0:.2f}".replace("-", "\N{MINUS SIGN}")


@pytest.mark.parametrize("name", BUILDS)
def test_every_place_is_marked_and_named_where_it_is(name):
    found = made(name)
    ax = drawn(travel_ruler, name)
    for place in found.service.places:
        assert line(ax, f"{place.name} mark").get_xdata() == [place.offset]
        assert list(line(ax, place.name).get_xdata()[:2]) == [place.offset] * 2
        (text,) = [one for one in ax.texts if one.get_text().replace("\n", " ").startswith(place.name)]
        assert text.get_text().splitlines()[-1] == signed(place.offset)
        assert line(ax, place.name).get_xdata()[2] == pytest.approx(text.xy[0])
    assert ax.get_xlim()[0] > max(p.offset for p in found.service.places)
    assert ax.get_xlim()[1] < min(p.offset for p in found.service.places)


@pytest.mark.parametrize("name", BUILDS)
def test_travels_are_measured_from_free(name):
    found = made(name)
    service, ax = found.service, drawn(travel_ruler, name)
    free, lost = (next(p.offset for p in service.places if p.name == key) for key in ("free", "bend lost"))
    loses = line(ax, f"{two_digits(service.before_loss)} mm to bend lost")
    assert list(loses.get_xdata()) == [free, lost]
    assert free - lost == pytest.approx(service.before_loss)
    if service.unlock is None:
        assert "to unlock" not in words(ax)
    else:
        start, end = line(ax, f"{two_digits(service.unlock)} mm to unlock").get_xdata()
        assert start - end == pytest.approx(service.unlock)
        assert start == free


@pytest.mark.parametrize("name", BUILDS)
def test_beyond_bend_lost_the_scale_is_hatched(name):
    ax = drawn(travel_ruler, name)
    zone = patch(ax, "bend lost")
    (lost,) = [place.offset for place in made(name).service.places if place.name == "bend lost"]
    assert (zone.get_x(), zone.get_x() + zone.get_width()) == pytest.approx((ax.get_xlim()[1], lost))
    assert zone.get_hatch()


def test_outward_lies_to_the_right_and_both_ways_are_named():
    ax = travel_ruler(made("demo"), axes())
    assert ax.xaxis_inverted()
    left, right = (next(t for t in ax.texts if key in t.get_text()) for key in ("toward the blade", "outward"))
    assert left.get_window_extent().x1 < right.get_window_extent().x0


def test_names_keep_their_order_move_little_and_never_overlap():
    rng = np.random.default_rng(7)
    for _ in range(50):
        middles, widths = np.sort(rng.uniform(0, 100, 8)), rng.uniform(2, 12, 8)
        got = spread(middles, widths, 110.0)
        gaps = np.diff(got) - (widths[1:] + widths[:-1]) / 2
        assert gaps.min() > -1e-9
        assert got[0] - widths[0] / 2 > -1e-9
        assert got[-1] + widths[-1] / 2 < 110 + 1e-9
    alone = np.array([10.0, 50.0, 90.0])
    np.testing.assert_allclose(spread(alone, np.full(3, 8.0), 110.0), alone)
