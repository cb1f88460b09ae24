"""The explorer's window does what a hand asks: knobs, keys, undo, saving."""

from pathlib import Path

import numpy as np
import pytest
from helpers.explored import Sheet, extents, middle, pixels, rest, window
from helpers.garden import workshop
from helpers.turned import KINDS, put
from matplotlib.backend_bases import FigureCanvasBase, KeyEvent, MouseButton, MouseEvent
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

import detentsim as ds
from detentsim.analysis.explore.session import Session
from detentsim.show.explorer.window import Window

pytestmark = pytest.mark.slow


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


def test_a_wait_that_ends_while_the_window_closes_paints_nothing():
    """A closing window takes its canvas away before its timers stop."""
    opened = window(Session(ds.demo()))
    opened.board.sliders["bar.bend"].set_val(3)
    before = opened.board.figure.canvas
    FigureCanvasBase(opened.board.figure)
    assert opened.board.figure.canvas is not before
    while not opened.turns.now.settled:
        opened.settle()
    assert opened.turns.turned["bar.bend"]


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


@pytest.mark.parametrize("size", ["small", "large"])
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


UNLIKE = KINDS["thin liner"] | KINDS["one drill"] | KINDS["over-close by angle"] | KINDS["left hand"]


@pytest.mark.parametrize("changes", [{}, UNLIKE])
def test_knobs_at_both_ends_together_are_drawn(changes):
    opened = window(Session(workshop().change(changes)), "small")
    assert opened.board.dimple.side == (-1 if changes else 1)  # a left-handed knife is mirrored
    for end in ("valmin", "valmax"):
        for slider in opened.board.sliders.values():
            slider.set_val(getattr(slider, end))
        rest(opened)
    opened.go(opened.turns.to_start())
    rest(opened)
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
    assert put(ds.demo(), {"bar.bend": 5}).now.results == opened.turns.now.results
