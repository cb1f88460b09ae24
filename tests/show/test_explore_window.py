"""The explorer's window does what a hand asks."""

from pathlib import Path

import numpy as np
import pytest
from helpers.explored import Sheet, middle
from helpers.turned import kind, put
from matplotlib.backend_bases import KeyEvent, MouseButton, MouseEvent, ResizeEvent
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.text import Text
from matplotlib.transforms import Bbox

import detentsim as ds
from detentsim.analysis.explore.session import Session
from detentsim.show.explorer.quick_text import QuickText, line
from detentsim.show.explorer.report import WAITS, headlines, sentences
from detentsim.show.explorer.window import Window

pytestmark = pytest.mark.slow

SIZES = {"small": (7.2, 5.2), "as it opens": (11, 7.2), "large": (17, 10)}


def window(turns, size="as it opens", save_as="x-turned.toml"):
    figure = Figure(figsize=SIZES[size], dpi=100)
    Sheet(figure)
    opened = Window(figure, turns, save_as and Path(save_as))
    figure.canvas.draw()
    return opened


def pixels(opened):
    return np.array(opened.board.figure.canvas.buffer_rgba())


# The window


@pytest.mark.slow
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
        notes = [note.get_text() for note in board.notes]
        values = {name: value.get_text() for name, value in board.values.items()}
        return [tuple(text.get_text() for text in row) for row in board.heads], [n for n in notes if n], values

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


@pytest.mark.slow
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
    notes = [note.get_text() for note in opened.board.notes]
    assert notes == ["One sentence."] * 5 + ["... and 2 lines more: detentsim curve tells all"]


@pytest.mark.parametrize("size", list(SIZES))
def test_many_flags_and_targets_have_room(size):
    build = ds.Build.loads(ds.demo().text + 'drag_force = { at_most = "1 N" }\nopens_fully = true\n')
    places = {"bar.bend": -1, "friction.ball_on_tang": -1, "dimple.overclose": 0, "dimple.pilot_depth": 0}
    opened = window(put(build, places), size)
    opened.settle()
    notes = " ".join(note.get_text() for note in opened.board.notes)
    assert len(opened.turns.now.flags) >= 3
    assert len(opened.turns.now.verdicts) == 4
    assert " ".join(sentences(opened.turns.now)) == notes.strip()


@pytest.mark.slow
def test_another_size_of_the_window_leaves_nothing_where_it_was():
    opened = window(Session(ds.demo()))
    for size in ("small", "large"):
        opened.board.figure.set_size_inches(*SIZES[size])
        ResizeEvent("resize_event", opened.board.figure.canvas)._process()
        opened.board.figure.canvas.draw()
        assert np.array_equal(pixels(opened), pixels(window(Session(ds.demo()), size))), size


@pytest.mark.slow
def test_sentences_are_broken_anew_for_another_size():
    turns = put(ds.demo(), {"dimple.pilot_drill": -1})
    opened = window(turns, "large")
    opened.board.figure.set_size_inches(*SIZES["small"])
    ResizeEvent("resize_event", opened.board.figure.canvas)._process()
    fresh = window(put(ds.demo(), {"dimple.pilot_drill": -1}), "small")
    assert [n.get_text() for n in opened.board.notes] == [n.get_text() for n in fresh.board.notes]


def test_a_window_opens_with_its_knobs_where_they_stand():
    turns = put(ds.demo(), {"bar.bend": 4, "grip.force": 3})
    opened = window(turns)
    assert opened.board.sliders["bar.bend"].val == 4
    assert opened.board.values["bar.bend"].get_text() == "0.2 mm"
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
    assert opened.board.status.get_text().startswith("Saved as ")
    opened.board.sliders["bar.bend"].set_val(12)
    assert opened.board.status.get_text() == ""
    KeyEvent("key_press_event", opened.board.figure.canvas, "ctrl+z", 0, 0)._process()
    opened.board.sliders["bar.bend"].set_val(9)
    assert ds.curve(ds.Build.read(opened.saved)).results == ds.curve(turns.build).results
    KeyEvent("key_press_event", opened.board.figure.canvas, "home", 0, 0)._process()
    assert turns.turned == {}
    (tmp_path / "new.toml").unlink()
    KeyEvent("key_press_event", opened.board.figure.canvas, "ctrl+s", 0, 0)._process()
    assert (tmp_path / "new.toml").read_text(encoding="utf-8") == path.read_text(encoding="utf-8")


@pytest.mark.slow
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
        status = next(box for words, box in extents(opened) if words == opened.board.status.get_text())
        assert status.x1 <= opened.board.figure.bbox.x1
        opened.save()


def test_what_cannot_be_saved_is_said(tmp_path):
    opened = window(Session(ds.demo()), save_as=tmp_path / "new.toml")
    opened.board.sliders["dimple.pilot_drill"].set_val(opened.board.sliders["dimple.pilot_drill"].valmax)
    opened.save()
    assert opened.saved == ""
    assert opened.board.status.get_text().startswith("Not saved. no knife can have these sizes:")
    assert list(tmp_path.iterdir()) == []


@pytest.mark.slow
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


@pytest.mark.slow
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
