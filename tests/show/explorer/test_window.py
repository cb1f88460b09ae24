"""The explorer's window shows what its knobs say, at every size, and no words overlap."""

import numpy as np
import pytest
from helpers.explored import SIZES, extents, pixels, rest, window
from helpers.turned import kind, put
from matplotlib.backend_bases import ResizeEvent

import detentsim as ds
from detentsim.analysis.explore.session import Session
from detentsim.show.explorer.report import WAITS, headlines, sentences

pytestmark = pytest.mark.slow


# The window


def test_a_turn_repaints_the_window_as_drawing_it_whole_would():
    opened = window(Session(ds.demo()))
    board = opened.board
    rng = np.random.default_rng(5)
    for name in rng.permutation(list(board.sliders)):
        board.sliders[name].set_val(int(rng.integers(board.sliders[name].valmax + 1)))
    rest(opened)
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
    rest(opened)
    follows()
    board.sliders["dimple.pilot_drill"].set_val(board.sliders["dimple.pilot_drill"].valmax)
    follows()
    opened.go(opened.turns.undo())
    follows()
    opened.go(opened.turns.to_start())
    follows()


def test_each_knob_changes_the_window():
    opened = window(Session(ds.demo()), "small")
    for name, slider in opened.board.sliders.items():
        before = pixels(opened)
        slider.set_val(slider.val + 1 if slider.val < slider.valmax else slider.val - 1)
        assert not np.array_equal(before, pixels(opened)), name
        assert opened.turns.places[name] == slider.val
    assert len(opened.turns.turned) == len(opened.board.sliders)


@pytest.mark.parametrize(
    ("size", "name"),
    [*((size, "stacked washer") for size in SIZES), ("small", "odd sizes")],
)
def test_no_words_in_the_window_overlap_or_leave_it(size, name):
    turns = put(kind(name), {"bar.bend": -1, "friction.ball_on_tang": -1, "dimple.overclose": 0})
    opened = window(turns, size)
    rest(opened)
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
    assert notes == ["One sentence."] * 5 + ["... and 2 lines more: detentsim curve lists all"]


@pytest.mark.parametrize("size", ["small", "flat"])
def test_many_flags_and_targets_have_room(size):
    build = ds.Build.loads(ds.demo().text + 'drag_force = { at_most = "1 N" }\nopens_fully = true\n')
    places = {"bar.bend": -1, "friction.ball_on_tang": -1, "dimple.overclose": 0, "dimple.pilot_depth": 0}
    opened = window(put(build, places), size)
    rest(opened)
    notes = " ".join(note.get_text() for note in opened.board.notes)
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
    assert [n.get_text() for n in opened.board.notes] == [n.get_text() for n in fresh.board.notes]
