"""The explorer's drawings follow the knobs."""

import numpy as np
import pytest
from helpers.explored import feel_of
from helpers.garden import GARDEN_FILE, workshop
from helpers.turned import kind, put
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

import detentsim as ds
from detentsim.analysis.explore.session import Session
from detentsim.show.explorer.report import (
    NO_WARNINGS,
)
from detentsim.show.explorer.views.dimple_view import DimpleView
from detentsim.show.explorer.views.feel_view import BEYOND, round_up
from detentsim.show.explorer.views.quick_text import QuickText, line


def dimple_of(turns, mirrored=False, size=(4, 4)):
    view = DimpleView(Figure(figsize=size).add_axes((0.1, 0.1, 0.8, 0.8)), turns.start, mirrored)
    view.show(turns.now)
    return view


def by(artists, label):
    return next(artist for artist in artists if artist.get_label() == label)


# Drawings


def test_the_feel_view_shows_now_over_start_and_target():
    turns = put(workshop(), {"bar.bend": "2 mm"})
    view = feel_of(turns)
    lines = view.ax.lines
    assert np.array_equal(by(lines, "opening").get_ydata(), turns.now.opening, equal_nan=True)
    assert np.array_equal(by(lines, "closing").get_ydata(), turns.now.closing, equal_nan=True)
    assert np.array_equal(by(lines, "at the start").get_ydata(), turns.start.opening, equal_nan=True)
    band = by(view.ax.patches, "target").get_bbox()
    assert (band.y0, band.y1) == (9, 13)
    assert view.breakout.get_xydata()[0] == pytest.approx(
        [turns.now.results["breakout_force_angle"], turns.now.results["breakout_force"]]
    )
    (x, y) = view.let_go.get_xydata()[0]
    assert x == turns.now.results["let_go_angle"]
    assert y == pytest.approx(np.interp(x, turns.now.angle, turns.now.opening))
    assert y > 0.1
    assert {text.get_text() for text in view.ax.texts} >= {"blade angle [deg]", "force at the opener [N]"}
    assert {text.get_text() for text in view.ax.get_legend().get_texts()} == {
        "target",
        "at the start",
        "opening",
        "closing",
    }


@pytest.mark.parametrize(
    ("wanted", "band"),
    [('at_least = "9 N"', (9, 1e6)), ('at_most = "12 N"', (0, 12)), ('change = "-20 %"', None)],
)
def test_the_target_band_is_shaded_whatever_it_is_given_by(wanted, band):
    text = GARDEN_FILE.read_text(encoding="utf-8").replace('at_least = "9 N", at_most = "13 N"', wanted)
    turns = Session(ds.Build.loads(text))
    shaded = by(feel_of(turns).ax.patches, "target").get_bbox()
    if band is None:
        start = turns.start.results["breakout_force"]
        assert shaded.y0 < 0.8 * start < shaded.y1 < start
    else:
        assert (shaded.y0, shaded.y1) == band


def test_without_a_target_nothing_is_shaded():
    text = GARDEN_FILE.read_text(encoding="utf-8").split("[target]")[0]
    view = feel_of(Session(ds.Build.loads(text)))
    assert "target" not in [patch.get_label() for patch in view.ax.patches]
    floats = ds.Build.loads(text + '[target]\nbreakout_force = { change = "-20 %" }\n').change({"bar.bend": "-1 mm"})
    view = feel_of(Session(floats))
    assert "target" not in [patch.get_label() for patch in view.ax.patches]


@pytest.mark.parametrize(
    "places",
    [
        {"bar.bend": 0},
        {"bar.bend": -1},
        {"dimple.overclose": 0},
        {"friction.ball_on_tang": -1},
        {"dimple.overclose": -1, "dimple.pilot_drill": 0, "dimple.rim_drill": "1.2 mm"},
    ],
)
def test_both_curves_lie_inside_the_feel_view(places):
    turns = put(workshop(), places)
    view = feel_of(turns)
    (left, right), (low, high) = view.ax.get_xlim(), view.ax.get_ylim()
    assert left <= 0
    assert all(0 <= look.results["let_go_angle"] < right for look in (turns.now, turns.start))
    for look in (turns.now, turns.start):
        for force in (look.opening, look.closing):
            seen = force[(look.angle <= right) & np.isfinite(force)]
            assert low <= seen.min()
            assert seen.max() <= high


def test_numbers_stand_at_the_ticks():
    view = feel_of(put(workshop(), {"dimple.overclose": 0}))
    texts = [text for text in view.ax.get_children() if isinstance(text, QuickText) and text.get_text()]
    across = [t for t in texts if t.get_verticalalignment() == "top" and t is not view.beyond]
    assert len(across) >= 3
    for text in across:
        x = view.ax.transData.inverted().transform(text.get_position())[0]
        assert x == pytest.approx(float(text.get_text().replace("\N{MINUS SIGN}", "-")), abs=1e-6)


def test_a_force_far_beyond_the_start_is_told_and_not_drawn_to_scale():
    turns = put(workshop(), {"grip.force": "20 N", "bar.bend": -1, "bar.relief_thickness": -1})
    view = feel_of(turns)
    force = turns.now.results["breakout_force"]
    assert force > BEYOND * 13
    assert view.ax.get_ylim()[1] < force
    assert "off the scale" in view.beyond.get_text()
    view.show(turns.start)
    assert view.beyond.get_text() == ""


def test_a_knife_that_is_none_leaves_only_the_start():
    turns = put(workshop(), {"dimple.pilot_drill": -1})
    view, dimple = feel_of(turns), dimple_of(turns)
    assert view.opening.get_xdata().size == 0
    assert len(view.breakout.get_xdata()) == 0
    assert not dimple.ball.get_visible()
    assert dimple.was_ball.get_visible()
    view.show(turns.start)
    dimple.show(turns.start)
    assert dimple.ball.get_visible()
    assert view.opening.get_xdata().size > 0


def test_the_dimple_is_drawn_to_one_scale_and_the_bar_measures_it():
    turns = put(workshop(), {"ball.diameter": "2 mm"})
    for size in ((4, 4), (3, 6), (8, 3)):
        view = dimple_of(turns, size=size)
        box, (left, right), (low, high) = view.ax.bbox, view.ax.get_xlim(), view.ax.get_ylim()
        assert (right - left) / box.width == pytest.approx((high - low) / box.height)
        x = view.scale.get_xdata()
        assert f"{x[1] - x[0]:g} mm" == view.length.get_text()
        assert left < x[0] < x[1] < right
        now = turns.now.picture
        assert view.ball.get_radius() == now.radius == 1.0
        assert view.ball.get_center() == pytest.approx(now.ball)
        assert high > now.ball[1] + now.radius
        assert low < now.outline[:, 1].min()


def test_a_left_handed_knife_is_mirrored():
    turns = put(kind("left hand"), {"dimple.overclose": "0.15 mm"})
    right, left = dimple_of(turns), dimple_of(turns, mirrored=True)
    assert left.ball.get_center()[0] == -right.ball.get_center()[0] != 0
    assert np.array_equal(left.tang.get_xy()[:, 0], -right.tang.get_xy()[:, 0])
    assert np.array_equal(left.touch.get_xdata(), -right.touch.get_xdata())
    assert np.array_equal(left.was.get_xdata(), -right.was.get_xdata())
    assert left.was_ball.get_center()[0] == -right.was_ball.get_center()[0] != 0


def test_burr_and_coats_are_named_over_the_ball_and_nothing_is_without_them():
    change = {"dimple.burr": "0.05 mm", "tang.coating": "3 um", "bar.coating": "2 um"}
    said = [[text.get_text() for text in dimple_of(Session(workshop().change(one))).finish] for one in (change, {})]
    assert said == [["burr 0.05 mm", "coated", "tang 3 um", "bar 2 um", ""], [""] * 5]


def test_the_bar_lies_where_the_ball_holds_it():
    turns = put(workshop(), {"ball.protrusion": "32 thou"})
    view = dimple_of(turns)
    assert view.bar.get_y() == turns.now.picture.bar_face > 0.1
    assert np.array_equal(view.was.get_ydata(), turns.start.picture.outline[:, 1])


@pytest.mark.parametrize("value", [1e-3, 0.0123, 0.99, 1.0, 7.3, 13.0, 15.1, 99.0, 1234.5])
def test_round_ends_leave_room_and_no_more_than_half(value):
    assert value <= round_up(value) * (1 + 1e-9)
    assert round_up(value) <= 1.51 * value


# Quick text


@pytest.mark.parametrize("words", ["+10.6 hand-steps", "breakout 9.8 N", NO_WARNINGS, "°·\N{MINUS SIGN}1"])
def test_quick_text_is_as_long_and_as_dark_as_plain_text(words):
    figure = Figure(figsize=(4, 1), dpi=100)
    canvas = FigureCanvasAgg(figure)
    found = {}
    for name, text in (("plain", figure.text), ("quick", lambda *a, **k: figure.add_artist(QuickText(*a, **k)))):
        artist = text(20, 50, words, transform=None, va="center", size=9)
        canvas.draw()
        dark = 255 - np.array(canvas.buffer_rgba())[..., 0].astype(float)
        columns = np.flatnonzero(dark.sum(axis=0) > 50)
        rows = np.flatnonzero(dark.sum(axis=1) > 50)
        found[name] = columns[0], columns[-1], dark.sum(), rows.mean()
        artist.remove()
    plain, quick = found["plain"], found["quick"]
    assert quick[0] == pytest.approx(plain[0], abs=1.5)
    assert quick[1] == pytest.approx(plain[1], abs=2.5)
    assert quick[2] == pytest.approx(plain[2], rel=0.12)
    assert quick[3] == pytest.approx(plain[3], abs=3)


def test_quick_text_is_held_where_plain_text_is():
    wide = line("opening", 8, 100, "normal", "normal").shape[1] - 4
    figure = Figure(figsize=(3, 1), dpi=100)
    canvas = FigureCanvasAgg(figure)
    left = {}
    for ha in ("left", "center", "right"):
        text = figure.add_artist(QuickText(150, 50, "opening", transform=None, ha=ha, va="center", size=8))
        canvas.draw()
        left[ha] = np.flatnonzero(np.array(canvas.buffer_rgba())[..., 0].min(axis=0) < 200)[0]
        text.remove()
    assert left["left"] - left["center"] == pytest.approx(wide / 2, abs=1)
    assert left["left"] - left["right"] == pytest.approx(wide, abs=1)


def test_quick_text_in_a_vector_file_is_plain_text(tmp_path):
    figure = Figure(figsize=(3, 1))
    figure.add_artist(QuickText(0.5, 0.5, "opening"))
    figure.savefig(tmp_path / "x.svg")
    assert "<!-- opening -->" in (tmp_path / "x.svg").read_text(encoding="utf-8")
