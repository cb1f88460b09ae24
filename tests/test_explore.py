"""The explorer: its drawings follow the knobs, its words say what is wrong, and its window does what a hand asks."""

import asyncio
import json
import os
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from matplotlib.backend_bases import KeyEvent, MouseButton, MouseEvent, ResizeEvent
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.image import imread
from matplotlib.text import Text
from matplotlib.transforms import Bbox
from turned import GARDEN, KINDS, kind, put

import detentsim as ds
from detentsim.analysis.explore.session import Session
from detentsim.cli import main
from detentsim.knife.outcomes import FLAGS
from detentsim.show.explore.board import explore_figure
from detentsim.show.explore.dimple_view import DimpleView
from detentsim.show.explore.feel_view import BEYOND, FeelView, round_up
from detentsim.show.explore.quick_text import QuickText, line
from detentsim.show.explore.report import (
    UNCHANGED,
    WAITS,
    explore_document,
    explore_html,
    explore_report,
    headlines,
    sentences,
)
from detentsim.show.explore.window import Window
from detentsim.show.theme.tables import to_json
from detentsim.units.errors import InputError

SIZES = {"small": (7.2, 5.2), "as it opens": (11, 7.2), "large": (17, 10)}


class Sheet(FigureCanvasAgg):
    """A canvas that can be painted in parts and that nobody watches."""

    def blit(self, bbox=None):
        pass

    def draw_idle(self):
        """Drawn when a test asks; a window would do it when it is idle."""


def feel_of(turns, now=None):
    view = FeelView(Figure(figsize=(6, 4)).add_axes((0.1, 0.1, 0.85, 0.8)), turns.start)
    view.show(now or turns.now)
    return view


def dimple_of(turns, mirrored=False, size=(4, 4)):
    view = DimpleView(Figure(figsize=size).add_axes((0.1, 0.1, 0.8, 0.8)), turns.start, mirrored)
    view.show(turns.now)
    return view


def window(turns, size="as it opens", save_as="x-turned.toml"):
    figure = Figure(figsize=SIZES[size], dpi=100)
    Sheet(figure)
    opened = Window(figure, turns, save_as and Path(save_as))
    figure.canvas.draw()
    return opened


def pixels(opened):
    return np.array(opened.board.figure.canvas.buffer_rgba())


def by(artists, label):
    return next(artist for artist in artists if artist.get_label() == label)


# Drawings


def test_the_feel_view_shows_now_over_start_and_target():
    turns = put(ds.demo(), {"bar.bend": "2 mm"})
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
    text = GARDEN.read_text(encoding="utf-8").replace('at_least = "9 N", at_most = "13 N"', wanted)
    turns = Session(ds.Build.loads(text))
    shaded = by(feel_of(turns).ax.patches, "target").get_bbox()
    if band is None:
        start = turns.start.results["breakout_force"]
        assert shaded.y0 < 0.8 * start < shaded.y1 < start
    else:
        assert (shaded.y0, shaded.y1) == band


def test_without_a_target_nothing_is_shaded():
    text = GARDEN.read_text(encoding="utf-8").split("[target]")[0]
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
    turns = put(ds.demo(), places)
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
    view = feel_of(put(ds.demo(), {"dimple.overclose": 0}))
    texts = [text for text in view.ax.get_children() if isinstance(text, QuickText) and text.get_text()]
    across = [t for t in texts if t.get_verticalalignment() == "top" and t is not view.beyond]
    assert len(across) >= 3
    for text in across:
        x = view.ax.transData.inverted().transform(text.get_position())[0]
        assert x == pytest.approx(float(text.get_text().replace("\N{MINUS SIGN}", "-")), abs=1e-6)


def test_a_force_far_beyond_the_start_is_told_and_not_drawn_to_scale():
    turns = put(ds.demo(), {"grip.force": "20 N", "bar.bend": -1, "bar.relief_thickness": -1})
    view = feel_of(turns)
    force = turns.now.results["breakout_force"]
    assert force > BEYOND * 13
    assert view.ax.get_ylim()[1] < force
    assert "off the scale" in view.beyond.get_text()
    view.show(turns.start)
    assert view.beyond.get_text() == ""


def test_a_knife_that_is_none_leaves_only_the_start():
    turns = put(ds.demo(), {"dimple.pilot_drill": -1})
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
    turns = put(ds.demo(), {"ball.diameter": "2 mm"})
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


def test_the_bar_lies_where_the_ball_holds_it():
    turns = put(ds.demo(), {"ball.protrusion": "32 thou"})
    view = dimple_of(turns)
    assert view.bar.get_y() == turns.now.picture.bar_face > 0.1
    assert np.array_equal(view.was.get_ydata(), turns.start.picture.outline[:, 1])


@pytest.mark.parametrize("value", [1e-3, 0.0123, 0.99, 1.0, 7.3, 13.0, 15.1, 99.0, 1234.5])
def test_round_ends_leave_room_and_no_more_than_half(value):
    assert value <= round_up(value) * (1 + 1e-9)
    assert round_up(value) <= 1.51 * value


# Quick text


@pytest.mark.parametrize("words", ["+10.6 hand-steps", "breakout 9.8 N", "Nothing is flagged.", "°·\N{MINUS SIGN}1"])
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


# Words


def rows_of(turns):
    return {row.name: row for row in headlines(turns.now, turns.start)}


def test_headlines_at_the_start_have_not_changed():
    rows = rows_of(Session(ds.demo()))
    assert {row.change for row in rows.values()} == {UNCHANGED}
    assert rows["breakout"].now == "9.8 N"
    assert rows["flies open"].now == "yes"
    assert rows["falls shut"].now == "yes"


def test_headlines_tell_forces_in_hand_steps_angles_in_degrees_and_truths_in_words():
    turns = put(ds.demo(), {"bar.bend": "3.5 mm", "ball.diameter": "2 mm"})
    assert rows_of(turns)["flies open"] == ("flies open", WAITS, UNCHANGED)
    turns.settle()
    rows = rows_of(turns)
    assert rows["breakout"].change.endswith(" hand-steps")
    assert rows["drag at mid-swing"].change.startswith("+")
    assert rows["contact"].change.startswith("-")
    assert rows["contact"].change.endswith("°")
    assert rows["seat below the flat"].change.startswith("-")
    assert rows["seat below the flat"].change.endswith(" %")
    assert rows["stays shut to"].change.startswith("-")
    assert rows["falls shut"] == ("falls shut", "no", "was yes")
    assert rows["whole way out"].change.endswith(" hand-steps")


def test_headlines_of_what_is_gone_tell_what_it_was():
    turns = put(ds.demo(), {"bar.bend": 0, "tang.face_gap": -1})
    assert turns.settle().flags == ("floats",)
    rows = rows_of(turns)
    assert rows["breakout"] == ("breakout", "none", "was 9.8 N")
    assert rows["whole way out"].change == "none to compare"
    turns = put(ds.demo(), {"dimple.pilot_drill": -1})
    assert {row.now for row in rows_of(turns).values()} == {"none", ""}


def test_a_pull_that_changed_sides_tells_what_it_was():
    assert rows_of(put(ds.demo(), {"dimple.overclose": 0}))["draw onto the stop"].change.startswith("was ")


@pytest.mark.parametrize("name", list(KINDS))
def test_nothing_infeasible_goes_unsaid(name):
    turns = Session(kind(name))
    rng = np.random.default_rng(7)
    seen = set()
    for _ in range(40):
        for knob in turns.knobs:
            if rng.random() < 0.5:
                turns._places[knob.name] = int(rng.integers(len(knob.stops)))
        look = turns._turned()
        words = sentences(look)
        assert words
        assert all(sentence.endswith(".") for sentence in words)
        if look.build is None:
            assert words == (f"No such knife. {look.unfit}.",)
            assert "dimple." not in look.unfit
        else:
            assert {FLAGS[flag] for flag in look.flags} <= set(words)
            pressed = any(sentence.startswith("Nothing draws the blade shut") for sentence in words)
            assert ("Nothing is flagged." in words) == (not look.flags and not look.idle and not pressed)
            if look.results["breakout_force"] is None:
                assert "Nothing is flagged." not in words
        seen |= {look.build is None, *look.flags}
    assert len(seen) > 3


def test_a_blade_that_nothing_draws_shut_is_told():
    turns = Session(ds.demo().change({"dimple.radial_error": "1 mm"}))
    assert turns.start.results["draw_torque"] < 0
    assert turns.start.flags == ()
    assert sentences(turns.start)[0] == "Nothing draws the blade shut: it must be pressed onto its stop."
    proud = put(ds.demo(), {"dimple.overclose": 0})
    assert proud.now.flags == ("stands_proud",)
    assert not any("Nothing draws" in words for words in sentences(proud.now))


def test_the_target_is_judged_in_words():
    turns = put(ds.demo(), {"bar.bend": "4 mm"})
    turns.settle()
    (told,) = [words for words in sentences(turns.now) if words.startswith("Target: ")]
    first, second = told.removeprefix("Target: ").split("; ")
    assert first.startswith("breakout force ")
    assert "missed" in first
    assert second.startswith("falls shut false: missed")


def test_what_is_left_out_of_the_build_is_told():
    words = sentences(put(ds.demo(), {"ball.diameter": "2 mm"}).now)
    assert words[-1] == "Left out here and when saved: ball.hole_drill."


def test_a_truth_that_nobody_knows_says_why_in_the_document():
    turns = Session(ds.demo().change({"blade.mass": None, "blade.inertia": None, "blade.balance_radius": None}))
    for name in ("opens_fully", "falls_shut"):
        found = explore_document(turns)["results"][name]
        assert found["value"] is None
        assert found["unit"] == ""
        assert found["why"]


def test_without_a_mass_what_the_blade_does_is_unknown():
    rows = rows_of(Session(ds.demo().change({"blade.mass": None, "blade.inertia": None, "blade.balance_radius": None})))
    assert [rows[name].now for name in ("flies open", "falls shut", "stays shut to")] == ["unknown"] * 3


def test_the_table_for_a_notebook_is_plain_and_escapes():
    turns = put(ds.demo(), {"dimple.pilot_drill": -1})
    html = explore_html(turns.now, turns.start)
    assert "<script" not in html
    assert "#53 against" in html
    assert "No such knife" in html


# The window


def test_a_turn_repaints_the_window_as_drawing_it_whole_would():
    opened = window(Session(ds.demo()))
    board = opened.board
    rng = np.random.default_rng(5)
    for name in rng.permutation(list(board.sliders)):
        board.sliders[name].set_val(int(rng.integers(board.sliders[name].valmax + 1)))
    opened.settle()
    painted = pixels(opened)
    board.figure.canvas.draw()
    assert np.array_equal(painted, pixels(opened))


def test_the_words_in_the_window_follow_the_knobs():
    opened = window(Session(ds.demo()))
    board = opened.board

    def said():
        notes = [note.get_text() for note in board._notes]
        values = {name: value.get_text() for name, value in board._values.items()}
        return [tuple(text.get_text() for text in row) for row in board._heads], [n for n in notes if n], values

    def follows():
        turns = opened.turns
        heads, notes, values = said()
        assert heads == [tuple(row) for row in headlines(turns.now, turns.start)]
        assert notes == list(sentences(turns.now))
        assert values == {knob.name: knob.stops[turns.places[knob.name]].text for knob in turns.knobs}

    follows()
    board.sliders["bar.bend"].set_val(70)
    assert WAITS in [row[1] for row in said()[0]]
    follows()
    opened.settle()
    follows()
    board.sliders["dimple.pilot_drill"].set_val(board.sliders["dimple.pilot_drill"].valmax)
    follows()
    opened.go(opened.turns.undo())
    follows()
    opened.go(opened.turns.to_start())
    follows()


@pytest.mark.parametrize("size", list(SIZES))
def test_each_knob_changes_the_window(size):
    opened = window(Session(ds.demo()), size)
    for name, slider in opened.board.sliders.items():
        before = pixels(opened)
        slider.set_val(slider.val + 1 if slider.val < slider.valmax else slider.val - 1)
        assert not np.array_equal(before, pixels(opened)), name
        assert opened.turns.places[name] == slider.val
    assert len(opened.turns.turned) == len(opened.board.sliders)


def extents(opened):
    """Boxes of all words in the window, by what they say."""
    board = opened.board
    renderer = board.figure.canvas.get_renderer()
    found = []
    texts = {id(text): text for text in board.figure.findobj(Text) if text.get_visible() and text.get_text()}
    for text in texts.values():
        if isinstance(text, QuickText):
            font = text.get_fontsize(), board.figure.dpi, text.get_fontweight(), text.get_fontstyle()
            wide = line(text.get_text(), *font).shape[1] - 4
            x, y = text.get_transform().transform(text.get_position())
            x -= {"left": 0, "center": 0.5, "right": 1}[text.get_horizontalalignment()] * wide
            tall = 0.7 * text.get_fontsize() * board.figure.dpi / 72
            y -= {"bottom": 0, "center": 0.5, "top": 1}[text.get_verticalalignment()] * tall
            found.append((text.get_text(), Bbox.from_bounds(x, y, wide, tall)))
        else:
            found.append((text.get_text(), text.get_window_extent(renderer).padded(-1)))
    return found


@pytest.mark.parametrize("size", list(SIZES))
@pytest.mark.parametrize("name", ["demo", "stacked washer", "odd sizes"])
def test_no_words_in_the_window_overlap_or_leave_it(size, name):
    turns = put(kind(name), {"bar.bend": -1, "friction.ball_on_tang": -1, "dimple.overclose": 0})
    opened = window(turns, size)
    opened.settle()
    found = extents(opened)
    assert len(found) > 60
    frame = opened.board.figure.bbox.padded(1)
    for i, (words, box) in enumerate(found):
        assert frame.x0 <= box.x0 <= box.x1 <= frame.x1, words
        assert frame.y0 <= box.y0 <= box.y1 <= frame.y1, words
        for other, second in found[i + 1 :]:
            assert not box.overlaps(second), f"{words!r} and {other!r}"


def test_what_has_no_room_is_counted():
    opened = window(Session(ds.demo()), "small")
    opened.board.say(headlines(opened.turns.now, opened.turns.start), ["One sentence."] * 7)
    notes = [note.get_text() for note in opened.board._notes]
    assert notes == ["One sentence."] * 5 + ["... and 2 lines more: detentsim curve tells all"]


@pytest.mark.parametrize("size", list(SIZES))
def test_many_flags_and_targets_have_room(size):
    build = ds.Build.loads(ds.demo().text + 'drag_force = { at_most = "1 N" }\nopens_fully = true\n')
    places = {"bar.bend": -1, "friction.ball_on_tang": -1, "dimple.overclose": 0, "dimple.pilot_depth": 0}
    opened = window(put(build, places), size)
    opened.settle()
    notes = " ".join(note.get_text() for note in opened.board._notes)
    assert len(opened.turns.now.flags) >= 3
    assert len(opened.turns.now.verdicts) == 4
    assert " ".join(sentences(opened.turns.now)) == notes.strip()


def test_another_size_of_the_window_leaves_nothing_where_it_was():
    opened = window(Session(ds.demo()))
    for size in ("small", "large"):
        opened.board.figure.set_size_inches(*SIZES[size])
        ResizeEvent("resize_event", opened.board.figure.canvas)._process()
        opened.board.figure.canvas.draw()
        assert np.array_equal(pixels(opened), pixels(window(Session(ds.demo()), size))), size


def test_sentences_are_broken_anew_for_another_size():
    turns = put(ds.demo(), {"dimple.pilot_drill": -1})
    opened = window(turns, "large")
    opened.board.figure.set_size_inches(*SIZES["small"])
    ResizeEvent("resize_event", opened.board.figure.canvas)._process()
    fresh = window(put(ds.demo(), {"dimple.pilot_drill": -1}), "small")
    assert [n.get_text() for n in opened.board._notes] == [n.get_text() for n in fresh.board._notes]


def test_a_window_opens_with_its_knobs_where_they_stand():
    turns = put(ds.demo(), {"bar.bend": 4, "grip.force": 3})
    opened = window(turns)
    assert opened.board.sliders["bar.bend"].val == 4
    assert opened.board._values["bar.bend"].get_text() == "0.2 mm"
    mouse(opened, "scroll_event", *middle(opened.board.sliders["bar.bend"].ax), step=1)
    assert turns.places["bar.bend"] == 5
    press(opened, 0)
    assert opened.board.sliders["bar.bend"].val == turns.places["bar.bend"]


def test_a_turn_starts_the_wait_for_what_takes_longer():
    class Waiting(Sheet):
        started = 0

        def new_timer(self, interval):
            canvas = self
            timer = super().new_timer(interval)
            own = timer.start

            def start(*given):
                canvas.started += 1
                own(*given)

            timer.start = start
            return timer

    figure = Figure(figsize=(11, 7.2), dpi=100)
    canvas = Waiting(figure)
    opened = Window(figure, Session(ds.demo()))
    opened.board.sliders["bar.bend"].set_val(3)
    assert canvas.started == 1
    assert [call[0] for call in opened._timer.callbacks] == [opened.settle]


def test_a_left_handed_knife_is_mirrored_in_the_window():
    assert window(Session(kind("left hand"))).board.dimple.side == -1
    assert window(Session(ds.demo())).board.dimple.side == 1


def mouse(opened, kind_, x, y, **more):
    MouseEvent(kind_, opened.board.figure.canvas, x, y, **more)._process()


def middle(ax):
    return ax.bbox.x0 + ax.bbox.width / 2, ax.bbox.y0 + ax.bbox.height / 2


def test_a_knob_is_dragged_scrolled_and_stepped_by_keys():
    opened = window(Session(ds.demo()))
    slider = opened.board.sliders["bar.bend"]
    x, y = middle(slider.ax)
    mouse(opened, "button_press_event", x, y, button=MouseButton.LEFT)
    mouse(opened, "motion_notify_event", x + 40, y, button=MouseButton.LEFT)
    mouse(opened, "button_release_event", x + 40, y, button=MouseButton.LEFT)
    dragged = slider.val
    assert dragged > opened.turns.knob("bar.bend").start
    mouse(opened, "scroll_event", x, y, step=-1)
    assert slider.val == dragged - 1
    for key, step in (("right", 1), ("up", 1), ("left", -1), ("down", -1)):
        before = slider.val
        KeyEvent("key_press_event", opened.board.figure.canvas, key, x, y)._process()
        assert slider.val == before + step
    assert opened.turns.places["bar.bend"] == slider.val
    mouse(opened, "scroll_event", 5, 5, step=1)  # beside the knobs
    assert list(opened.turns.turned) == ["bar.bend"]


def press(opened, place):
    x, y = middle(opened.board.buttons[place].ax)
    mouse(opened, "button_press_event", x, y, button=MouseButton.LEFT)
    mouse(opened, "button_release_event", x, y, button=MouseButton.LEFT)


def test_buttons_and_keys_undo_go_back_and_save(tmp_path):
    path = tmp_path / "own.toml"
    path.write_text(ds.demo().text, encoding="utf-8")
    turns = Session(ds.Build.read(path))
    opened = window(turns, save_as=tmp_path / "new.toml")
    opened.board.sliders["bar.bend"].set_val(9)
    opened.board.sliders["ball.diameter"].set_val(1)
    press(opened, 0)
    assert list(turns.turned) == ["bar.bend"]
    assert opened.board.sliders["ball.diameter"].val == turns.knob("ball.diameter").start
    press(opened, 1)
    assert turns.turned == {}
    assert opened.board.sliders["bar.bend"].val == turns.knob("bar.bend").start
    KeyEvent("key_press_event", opened.board.figure.canvas, "ctrl+z", 0, 0)._process()
    assert list(turns.turned) == ["bar.bend"]
    press(opened, 2)
    assert opened.saved == str(tmp_path / "new.toml")
    assert opened.board._status.get_text().startswith("Saved as ")
    opened.board.sliders["bar.bend"].set_val(12)
    assert opened.board._status.get_text() == ""
    KeyEvent("key_press_event", opened.board.figure.canvas, "ctrl+z", 0, 0)._process()
    opened.board.sliders["bar.bend"].set_val(9)
    assert ds.curve(ds.Build.read(opened.saved)).results == ds.curve(turns.build).results
    KeyEvent("key_press_event", opened.board.figure.canvas, "home", 0, 0)._process()
    assert turns.turned == {}
    (tmp_path / "new.toml").unlink()
    KeyEvent("key_press_event", opened.board.figure.canvas, "ctrl+s", 0, 0)._process()
    assert (tmp_path / "new.toml").read_text(encoding="utf-8") == path.read_text(encoding="utf-8")


def test_a_name_that_has_been_taken_since_gives_way_to_the_next(tmp_path):
    path = tmp_path / "own.toml"
    path.write_text(ds.demo().text, encoding="utf-8")
    one, other = (window(Session(ds.Build.read(path)), save_as=None) for _ in range(2))
    for opened, bend in ((one, 3), (other, 4)):
        opened.board.sliders["bar.bend"].set_val(bend)
        opened.save()
    assert [Path(opened.saved).name for opened in (one, other)] == ["own-turned.toml", "own-turned-2.toml"]
    assert other.board.buttons[2].label.get_text() == "Save as own-turned-2.toml"
    painted = pixels(other)
    other.board.figure.canvas.draw()
    assert np.array_equal(painted, pixels(other))


@pytest.mark.parametrize("size", list(SIZES))
def test_what_is_saved_and_hinted_stays_in_the_window(size, tmp_path):
    folder = tmp_path / ("a_long_name_of_a_folder_" * 4)
    folder.mkdir()
    opened = window(Session(ds.demo()), size, save_as=folder / "garden-folder-turned.toml")
    for _ in range(2):
        status = next(box for words, box in extents(opened) if words == opened.board._status.get_text())
        assert status.x1 <= opened.board.figure.bbox.x1
        opened.save()


def test_what_cannot_be_saved_is_said(tmp_path):
    opened = window(Session(ds.demo()), save_as=tmp_path / "new.toml")
    opened.board.sliders["dimple.pilot_drill"].set_val(opened.board.sliders["dimple.pilot_drill"].valmax)
    opened.save()
    assert opened.saved == ""
    assert opened.board._status.get_text().startswith("Not saved. these sizes make no knife:")
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("name", ["demo", "thin liner", "one drill", "over-close by angle", "left hand"])
def test_knobs_at_both_ends_together_are_drawn(name):
    opened = window(Session(kind(name)), "small")
    for end in ("valmin", "valmax"):
        for slider in opened.board.sliders.values():
            slider.set_val(getattr(slider, end))
        opened.settle()
    opened.go(opened.turns.to_start())
    opened.settle()
    whole = pixels(opened)
    opened.board.figure.canvas.draw()
    assert np.array_equal(whole, pixels(opened))


def test_a_canvas_that_cannot_be_painted_in_parts_is_drawn_whole():
    class Plain(FigureCanvasAgg):
        supports_blit = False

    figure = Figure(figsize=(8, 6), dpi=100)
    Plain(figure)
    opened = Window(figure, Session(ds.demo()), Path("x.toml"))
    opened.board.paint()
    before = pixels(opened)
    opened.board.sliders["bar.bend"].set_val(5)
    assert not np.array_equal(before, pixels(opened))
    same = window(put(ds.demo(), {"bar.bend": 5}))
    assert same.turns.now.results == opened.turns.now.results


# What is left when the window is closed


def test_the_report_tells_what_was_turned_and_what_came_of_it():
    turns = put(ds.demo(), {"bar.bend": "3 mm", "dimple.rim_drill": "#52"})
    turns.settle()
    text = explore_report(turns, "First.", "new.toml")
    assert text.startswith("First.\n82 mm garden folder: turned as below.\n")
    assert "second drill  dimple.rim_drill  #53     #52" in text
    assert text.endswith("Saved as new.toml.\n")
    assert "every knob is where it started" in explore_report(Session(ds.demo()))


def test_the_document_has_every_result_or_why_not():
    turns = put(ds.demo(), {"bar.bend": 0, "tang.face_gap": -1})
    turns.settle()
    document = json.loads(to_json(explore_document(turns)))
    assert document["turned"]["bar.bend"] == {"from": "2.3 mm", "to": "0 mm"}
    assert document["build"]["name"] == "82 mm garden folder"
    assert document["build"]["given"]["bar.bend"] == "0 mm"
    assert document["results"]["breakout_force"] == {
        "value": None,
        "unit": "N",
        "why": "the ball never reaches the tang",
    }
    assert document["results"]["falls_shut"] is True
    assert document["flags"] == ["floats"]
    assert document["saved"] is None
    turns = put(ds.demo(), {"dimple.pilot_drill": -1})
    document = json.loads(to_json(explore_document(turns)))
    assert "smaller than the first" in document["unfit"]
    assert document["build"]["given"]["dimple.pilot_drill"] == "#54"
    assert document["results"] == {}


# At the command line


@pytest.fixture
def run(capsys, monkeypatch):
    """The command, with a window that a given hand uses in place of a screen."""

    def call(*words, hand=lambda _: None):
        def closed(turns, save_as):
            figure = Figure(figsize=(11, 7.2), dpi=100)
            Sheet(figure)
            opened = Window(figure, turns, save_as)
            hand(opened)
            turns.settle()
            return opened

        monkeypatch.setattr("detentsim.show.explore.window.open_window", closed)
        status = main(["explore", *(str(word) for word in words)])
        out, err = capsys.readouterr()
        return status, out, err

    return call


def test_the_command_tells_what_was_turned(run, tmp_path):
    path = tmp_path / "own.toml"
    path.write_text(GARDEN.read_text(encoding="utf-8"), encoding="utf-8")

    def hand(opened):
        opened.board.sliders["bar.bend"].set_val(4)
        opened.save()

    status, out, err = run(path, "--json", hand=hand)
    assert (status, err) == (0, "")
    found = json.loads(out)
    assert found["turned"] == {"bar.bend": {"from": "1.6 mm", "to": "0.2 mm"}}
    assert found["saved"] == str(tmp_path / "own-turned.toml")
    assert ds.Build.read(found["saved"]).word("bar.bend") == "0.2 mm"
    status, out, _ = run(path, "-o", tmp_path / "named.toml", "--press", "5 N", hand=hand)
    assert status == 0
    assert "bend  bar.bend  1.6 mm  0.2 mm" in out
    assert ds.Build.read(tmp_path / "named.toml").word("grip.force") == "5 N"


def test_without_a_build_it_is_the_demo(run):
    status, out, err = run()
    assert (status, err) == (0, "")
    assert out.startswith("No build file given: this is the packaged demo")


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["nosuch.toml"], "nosuch.toml: there is no such file"),
        (["own.toml", "-o", "own.toml"], '-o: "own.toml" is there already; give another name, such as own-turned.toml'),
        (["own.toml", "-o", ""], "-o: names no file; give one, such as own-turned.toml"),
        (["own.toml", "-o", "no/new.toml"], '-o: "no/new.toml" lies in no folder that there is'),
        (["own.toml", "--figure", "y.svg", "-o", "y.toml"], "-o: stands beside --figure, which opens no window"),
        (["own.toml", "--figure", "own.toml"], "--figure: own.toml is the build file"),
        (["own.toml", "--figure", "x.gif"], '--figure: "x.gif" must end in .png, .svg or .pdf'),
        (["own.toml", "-o", "~nobody-at-all/x.toml"], '-o: "~nobody-at-all/x.toml" lies in no folder that there is'),
        (["own.toml", "--press", "5"], '--press: "5" has no unit'),
    ],
)
def test_wrong_words_are_told_in_a_line(run, tmp_path, monkeypatch, words, said):
    monkeypatch.chdir(tmp_path)
    Path("own.toml").write_text(ds.demo().text, encoding="utf-8")
    status, out, err = run(*words)
    assert (status, out) == (2, "")
    assert err.startswith(said)
    assert err.count("\n") == 1


@pytest.mark.parametrize("kind_of", ["png", "svg", "pdf"])
def test_the_window_as_it_opens_is_a_figure_without_a_screen(run, tmp_path, kind_of):
    path = tmp_path / f"x.{kind_of}"

    def nobody(_):
        raise AssertionError("no window is opened")

    status, out, err = run("--figure", path, hand=nobody)
    assert (status, err) == (0, "")
    assert "every knob is where it started" in out
    assert path.stat().st_size > 10_000
    if kind_of == "svg":
        text = path.read_text(encoding="utf-8")
        for words in (
            "2.5",
            "20",
            "force at the opener [N]",
            "1/16 in",
            "Nothing is flagged.",
            "9.8 N",
            "Back to start",
        ):
            assert f"<!-- {words} -->" in text
    first = path.read_bytes()
    run("--figure", path)
    assert path.read_bytes() == first


def test_every_knob_shows_in_the_figure(tmp_path):
    figure = explore_figure(Session(ds.demo()), "x.png")
    figure.savefig(tmp_path / "x.png", dpi=figure.dpi)
    seen = np.array(imread(tmp_path / "x.png"))
    for ax in figure.axes:
        if ax.get_label() in {knob.name for knob in Session(ds.demo()).knobs}:
            y = middle(ax)[1]
            row = seen[seen.shape[0] - 1 - round(y), round(ax.bbox.x0) : round(ax.bbox.x1), :3]
            assert np.ptp(row) > 0.1, ax.get_label()
            assert row[-5:].max() < 0.95, ax.get_label()  # the track, not white paper


def test_a_way_of_drawing_that_there_is_not_is_told(tmp_path):
    for words in (["explore"], ["curve", "--figure", str(tmp_path / "x.png")]):
        call = [sys.executable, "-m", "detentsim", *words]
        done = subprocess.run(call, capture_output=True, text=True, check=False, env=os.environ | {"MPLBACKEND": "foo"})
        assert (done.returncode, done.stdout) == (2, "")
        assert done.stderr.startswith('MPLBACKEND: "foo" is no way of drawing')
        assert done.stderr.count("\n") == 1


@pytest.mark.parametrize("kit", ["agg", "svg", "tkagg", "webagg"])
def test_without_a_screen_one_line_says_what_is_needed(kit):
    if sys.platform != "linux" and kit == "tkagg":
        pytest.skip("there is always a screen here")
    around = {name: value for name, value in os.environ.items() if name not in ("DISPLAY", "WAYLAND_DISPLAY")}
    words = [sys.executable, "-m", "detentsim", "explore"]
    done = subprocess.run(words, capture_output=True, text=True, check=False, env=around | {"MPLBACKEND": kit})
    assert done.returncode == 2
    assert done.stdout == ""
    assert done.stderr.startswith("explore: no window can be opened here")
    assert "ds.show.explore(build)" in done.stderr
    assert done.stderr.count("\n") == 1


# In a notebook


def test_without_the_extra_one_line_says_what_to_install(monkeypatch):
    monkeypatch.setitem(sys.modules, "ipywidgets", None)
    with pytest.raises(InputError, match=r'^explore: needs ipywidgets; install .*pip install -e "\.\[notebook\]"$'):
        ds.show.explore(ds.demo())


@pytest.fixture
def shown(tmp_path):
    pytest.importorskip("ipywidgets")
    path = tmp_path / "own.toml"
    path.write_text(ds.demo().text, encoding="utf-8")
    return ds.show.explore(ds.Build.read(path))


def images(shown):
    return [bytes(part.widget.value) for part in (shown._feel, shown._dimple)]


def test_each_slider_changes_its_pictures(shown):
    for name, slider in shown.sliders.items():
        before = images(shown)
        slider.value = slider.value + 1
        assert images(shown) != before, name
        assert all(image.startswith(b"\x89PNG") for image in images(shown))
        assert shown.turns.places[name] == slider.value
        assert slider.options[slider.value][0] == shown.turns.knob(name).stops[slider.value].text


def test_the_notebook_undoes_goes_back_and_saves(shown, tmp_path):
    undo, start, save = shown._buttons.values()
    first = bytes(shown._feel.widget.value)
    shown.sliders["bar.bend"].value = 5
    shown.sliders["friction.ball_on_tang"].value = 20
    assert "hand-steps" in shown.words.value
    undo.click()
    assert shown.sliders["friction.ball_on_tang"].value == shown.turns.knob("friction.ball_on_tang").start
    assert list(shown.turns.turned) == ["bar.bend"]
    assert shown.build.word("bar.bend") == "0.25 mm"
    save.click()
    assert shown.status.value == f"Saved as {tmp_path / 'own-turned.toml'}"
    assert ds.Build.read(tmp_path / "own-turned.toml").word("bar.bend") == "0.25 mm"
    start.click()
    assert bytes(shown._feel.widget.value) == first
    shown.file.value = str(tmp_path / "own.toml")
    save.click()
    assert shown.status.value.startswith("Not saved. ")
    assert repr(shown) == "<Explorer of '82 mm garden folder': 0 of 14 knobs turned>"


def test_plain_code_sees_what_takes_longer_at_once(shown):
    shown.sliders["bar.bend"].value = 80
    assert shown.turns.now.settled
    assert WAITS not in shown.words.value


def test_only_the_last_turn_waits(shown):
    async def hand():
        shown.sliders["bar.bend"].value = 3
        first = shown._waiting
        shown.sliders["bar.bend"].value = 4
        return first, shown._waiting

    first, second = asyncio.run(hand())
    assert first.cancelled()
    assert not second.cancelled()


def test_a_notebook_shows_the_widget(shown):
    bundle = shown._repr_mimebundle_()
    found = bundle[0] if isinstance(bundle, tuple) else bundle
    assert found["application/vnd.jupyter.widget-view+json"]["model_id"] == shown.widget.model_id


def test_in_a_kernel_a_turn_is_answered_and_then_settles(tmp_path):
    nbformat, nbclient = pytest.importorskip("nbformat"), pytest.importorskip("nbclient")
    pytest.importorskip("ipywidgets")
    pytest.importorskip("ipykernel")
    cells = [
        "import asyncio, detentsim as ds\ne = ds.show.explore(ds.demo())\ne",
        "e.sliders['bar.bend'].value = 3\nprint(e.turns.now.settled, '...' in e.words.value)",
        "await asyncio.sleep(1)\nprint(e.turns.now.settled, '...' in e.words.value)",
    ]
    notebook = nbformat.v4.new_notebook(cells=[nbformat.v4.new_code_cell(cell) for cell in cells])
    options = {"kernel_name": "python3", "timeout": 120, "extra_arguments": ["--log-level=ERROR"]}
    nbclient.NotebookClient(notebook, resources={"metadata": {"path": str(tmp_path)}}, **options).execute()
    assert "application/vnd.jupyter.widget-view+json" in notebook.cells[0].outputs[0]["data"]
    assert [cell.outputs[0]["text"].strip() for cell in notebook.cells[1:]] == ["False True", "True False"]
