"""The blade's angle in the drawings and in the window: the dot, the ball, the arrows, slow motion, marks and tips."""

import numpy as np
import pytest
from helpers.explored import extents, feel_of, middle, pixels, window
from helpers.garden import workshop
from helpers.turned import put
from matplotlib.backend_bases import KeyEvent, MouseButton, MouseEvent
from matplotlib.figure import Figure

import detentsim as ds
from detentsim.analysis.explore.session import Session
from detentsim.knife.table.schema import INPUTS
from detentsim.show.explorer.places import SMALLEST
from detentsim.show.explorer.play import LASTS, PLAY, STOP, Play
from detentsim.show.explorer.views.dimple_view import DimpleView
from detentsim.show.explorer.window import hold_smallest_size
from detentsim.show.theme.rows import HAND_STEP
from detentsim.units.numbers import two_digits


def dimple_at(turns, angle, mirrored=False):
    view = DimpleView(Figure(figsize=(4, 4)).add_axes((0.1, 0.2, 0.8, 0.7)), turns.start, mirrored)
    view.show(turns.now, turns.swing(angle))
    return view


def length(arrow):
    """From the middle of its tail to its point."""
    points = arrow.get_xy()[:-1]
    tail = (points[0] + points[-1]) / 2
    return float(np.max(np.hypot(*(points - tail).T))) if arrow.get_visible() else 0.0


def test_the_dot_stands_on_the_curve_where_the_blade_does():
    turns = Session(workshop())
    c = ds.curve(workshop())
    view = feel_of(turns)
    for angle in (0.0, c.results["breakout_force_angle"], 1.3, c.results["let_go_angle"], 7.0):
        at = turns.swing(angle)
        view.swing(at)
        assert view.dot.get_xydata()[0] == pytest.approx([angle, at.force])
        assert at.force == pytest.approx(np.interp(angle, turns.now.angle, turns.now.opening), rel=2e-3)
    view.swing(turns.swing(60.0))
    assert len(view.dot.get_xdata()) == 0
    view.swing(None)
    assert len(view.dot.get_xdata()) == 0


def test_the_ball_climbs_and_the_arrows_grow_with_the_forces():
    turns = Session(workshop())
    top = turns.start.results["breakout_force_angle"]
    rest, climbed, flat = (dimple_at(turns, angle) for angle in (0.0, 2.0, 9.0))
    assert rest.ball.get_center()[1] < climbed.ball.get_center()[1] < flat.ball.get_center()[1] == rest.ball.radius
    assert rest.bar.get_y() < climbed.bar.get_y() < flat.bar.get_y()
    slipping = dimple_at(turns, top)
    ratio = length(slipping.pushed) / length(rest.pushed)
    assert ratio == pytest.approx(np.hypot(*turns.swing(top).pushed) / np.hypot(*turns.swing(0).pushed))
    assert ratio > 1.5
    both = length(flat.pressed) / length(rest.pressed)
    assert both == pytest.approx(turns.swing(9).pressed / turns.swing(0).pressed)
    for view in (rest, climbed, flat):
        assert view.ax.get_xlim()[1] > view.ball.get_center()[0] + view.ball.radius * 0.7
        assert view.ax.get_ylim()[1] > view.ball.get_center()[1] + view.ball.radius
    assert {view.ax.get_xlim() for view in (rest, climbed, flat)} == {rest.ax.get_xlim()}


def test_the_forces_are_told_with_the_blade_angle():
    turns = Session(workshop())
    c = ds.curve(workshop())
    view = dimple_at(turns, c.results["breakout_force_angle"])
    at = turns.riding
    said = [text.get_text() for text in view.words]
    assert said == [
        f"blade {c.results['breakout_force_angle']:.1f}°",
        f"finger {two_digits(c.results['breakout_force'])} N",
        f"bar {two_digits(at.pressed)} N",
        f"rim {two_digits(np.hypot(*at.pushed))} N",
    ]
    inch = Session(workshop().change({"units": "inch"}))
    told = dimple_at(inch, 9.0).words[2].get_text()
    assert told == f"bar {two_digits(c.results['riding_force'] / 4.4482216)} lbf"


def test_a_floating_ball_shows_no_seat_and_no_arrows():
    turns = put(workshop(), {"bar.bend": 0, "tang.face_gap": -1})
    view = dimple_at(turns, 3.0)
    assert not view.pressed.get_visible()
    assert not view.pushed.get_visible()
    assert view.touch.get_xdata().size == 0
    assert view.ball.get_center()[1] > view.ball.radius
    assert [text.get_text() for text in view.words][2:] == ["bar 0 N", "rim 0 N"]


def test_a_left_handed_blade_opens_to_the_other_side():
    turns = Session(workshop())
    right, left = dimple_at(turns, 3.0), dimple_at(turns, 3.0, mirrored=True)
    assert left.ball.get_center()[0] == -right.ball.get_center()[0] < 0
    assert left.ax.get_xlim() == pytest.approx([-end for end in right.ax.get_xlim()[::-1]])
    ends = [np.sort(view.pushed.get_xy()[:-1, 0]) for view in (left, right)]
    assert ends[0] == pytest.approx(-ends[1][::-1])


# In the window


def mouse(opened, kind, x, y, **more):
    MouseEvent(kind, opened.board.figure.canvas, x, y, **more)._process()


def at_angle(opened, angle):
    ax = opened.board.feel_at
    return ax.transData.transform((angle, 0))[0], middle(ax)[1]


@pytest.mark.slow
def test_the_dot_is_dragged_along_the_curve_and_painted_as_the_whole_would_be():
    opened = window(Session(workshop()))
    before = pixels(opened)
    mouse(opened, "button_press_event", *at_angle(opened, 1.0), button=MouseButton.LEFT)
    mouse(opened, "motion_notify_event", *at_angle(opened, 3.0), button=MouseButton.LEFT)
    assert opened.turns.angle == pytest.approx(3.0, abs=0.05)
    mouse(opened, "motion_notify_event", 5000, 0, button=MouseButton.LEFT)
    assert opened.turns.angle == opened.board.feel.end
    mouse(opened, "motion_notify_event", *at_angle(opened, 2.0), button=MouseButton.LEFT)
    mouse(opened, "button_release_event", *at_angle(opened, 2.0), button=MouseButton.LEFT)
    mouse(opened, "motion_notify_event", *at_angle(opened, 5.0))
    assert opened.turns.angle == pytest.approx(2.0, abs=0.05)
    painted = pixels(opened)
    assert not np.array_equal(before, painted)
    opened.board.figure.canvas.draw()
    assert np.array_equal(painted, pixels(opened))
    opened.board.sliders["bar.bend"].set_val(60)
    assert opened.board.feel.dot.get_xydata()[0] == pytest.approx([opened.turns.angle, opened.turns.riding.force])


@pytest.mark.slow
def test_the_longest_words_under_the_ball_keep_clear_of_the_results():
    turns = put(workshop().change({"units": "inch"}), {"bar.bend": 0, "tang.face_gap": -1})
    turns.swing(4.4)
    opened = window(turns, "small")
    found = extents(opened)
    said = {text.get_text() for text in opened.board.dimple.words}
    assert "finger 0.018 lbf" in said
    for words, box in (one for one in found if one[0] in said):
        assert [other for other, second in found if box.overlaps(second)] == [words]


@pytest.mark.slow
def test_keys_and_the_wheel_step_the_blade_over_the_curve():
    opened = window(Session(workshop()))
    step = opened.board.feel.end / 100
    mouse(opened, "scroll_event", *at_angle(opened, 3.0), step=1)
    assert opened.turns.angle == pytest.approx(step)
    KeyEvent("key_press_event", opened.board.figure.canvas, "right", *at_angle(opened, 3.0))._process()
    assert opened.turns.angle == pytest.approx(2 * step)
    assert opened.turns.turned == {}


@pytest.mark.slow
def test_play_opens_the_blade_once_and_stops_when_told():
    opened, now = window(Session(workshop())), [100.0]
    opened._play = Play(opened.swing, lambda: now[0])
    opened.play()
    assert opened.board.buttons[3].label.get_text() == STOP
    seen = []
    for part in (0, 0.1, 0.5, 0.9, 1.3):
        now[0] = 100 + part * LASTS
        opened._played()
        seen.append(opened.turns.angle)
    assert seen == pytest.approx([part * opened.board.feel.end for part in (0, 0.1, 0.5, 0.9, 1)])
    assert opened.board.buttons[3].label.get_text() == PLAY
    opened._played()
    assert opened.turns.angle == seen[-1]
    KeyEvent("key_press_event", opened.board.figure.canvas, " ", 0, 0)._process()
    opened._played()
    opened.play()
    now[0] += LASTS
    opened._played()
    assert opened.turns.angle == 0
    assert opened.board.buttons[3].label.get_text() == PLAY


@pytest.mark.slow
def test_the_target_is_marked_on_each_track_once_the_knobs_rest():
    opened = window(Session(workshop()))
    assert not any(marks.met for marks in opened.board.marks.values())
    while len(opened.turns.met) < len(opened.turns.knobs):
        opened.settle()
    for name, marks in opened.board.marks.items():
        met = opened.turns.met[name]
        ends = [path.vertices[:, 0] for path in marks.get_paths()]
        shown = [any(low <= place <= high for low, high in ends) for place in range(len(met))]
        assert shown == list(met), name
        assert any(met), name
    painted = pixels(opened)
    opened.board.figure.canvas.draw()
    assert np.array_equal(painted, pixels(opened))
    opened.board.sliders["bar.bend"].set_val(60)
    assert [name for name, marks in opened.board.marks.items() if marks.met] == ["bar.bend"]


@pytest.mark.slow
def test_a_tip_stands_beside_the_mouse_and_goes_with_it():
    opened = window(Session(workshop()), "small")
    board, clean = opened.board, pixels(opened)
    x, y = board.heads[0][2].get_position()
    mouse(opened, "motion_notify_event", x + 5, y)
    assert board.tip.words.endswith(HAND_STEP)
    box = board.tip.paper.get_window_extent()
    frame = board.figure.bbox
    assert frame.x0 <= box.x0 < box.x1 <= frame.x1
    assert frame.y0 <= box.y0 < box.y1 <= frame.y1
    assert not np.array_equal(clean, pixels(opened))
    ax = board.sliders["dimple.rim_feed"].ax
    mouse(opened, "motion_notify_event", ax.bbox.x0 - 40, middle(ax)[1])
    assert board.tip.words.lower().startswith(INPUTS["dimple.rim_feed"].help.lower()[:60])
    mouse(opened, "motion_notify_event", *middle(board.dimple_at))
    assert board.tip.words == ""
    assert np.array_equal(clean, pixels(opened))


def test_a_window_is_held_to_its_least_size_by_every_toolkits_name():
    class Held:
        size = None

        def setMinimumSize(self, width, height):  # as one toolkit calls it
            self.size = width, height

    class AsOne:
        size = None

        def SetMinSize(self, size):  # and another
            self.size = size

    for kind in (Held, AsOne):
        one = kind()
        hold_smallest_size(one)
        assert one.size == SMALLEST == (640, 480)
    hold_smallest_size(None)
