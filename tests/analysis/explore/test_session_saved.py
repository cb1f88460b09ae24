"""Changes in hand-steps, and what the explorer saves."""

import math

import numpy as np
import pytest
from helpers.garden import workshop
from helpers.turned import KINDS, kind, put

import detentsim as ds
from detentsim.analysis.explore.felt import FELT_BY_HAND, felt_apart, felt_change
from detentsim.analysis.explore.session import Session
from detentsim.analysis.hand_steps import FLOOR
from detentsim.knife.outcomes import FLAGS
from detentsim.units.errors import InputError

NAMES = list(KINDS)


# In hand-steps


def test_ten_percent_more_is_one_hand_step():
    turns = put(workshop(), {"bar.bend": "3 mm"})
    now, start = turns.now, turns.start
    ratio = now.results["breakout_force"] / start.results["breakout_force"]
    assert felt_change("breakout_force", now, start) == pytest.approx(math.log(ratio) / math.log(1.1))
    for name in FELT_BY_HAND:
        assert felt_change(name, start, start) == 0.0
    heavier = felt_change("drag_force", now, start)
    assert heavier == pytest.approx(-felt_change("drag_force", start, now))


def test_a_torque_is_felt_at_the_opener():
    turns = put(workshop(), {"dimple.overclose": "0 mm"})
    now, start = turns.now, turns.start
    arm = 10.5  # [mm]
    a, b = start.results["draw_torque"] / arm, now.results["draw_torque"] / arm
    assert b < FLOOR < a
    assert felt_change("draw_torque", now, start) == pytest.approx(math.log(max(b, FLOOR) / a) / math.log(1.1))


def test_pulls_that_change_sides_have_no_steps_between_them():
    turns = put(workshop(), {"dimple.overclose": 0})
    assert turns.now.results["draw_torque"] < 0
    assert felt_change("draw_torque", turns.now, turns.start) is None


def test_sizes_that_make_no_knife_are_no_distance_from_the_start():
    turns = put(workshop(), {"dimple.pilot_drill": -1})
    assert turns.now.build is None
    assert felt_apart(turns.now, turns.start).why == "these sizes make no knife"
    assert felt_apart(turns.start, turns.start).steps == 0.0


# Saved


@pytest.mark.slow
@pytest.mark.parametrize("name", NAMES)
def test_a_saved_build_gives_the_same_curve(name, tmp_path):
    path = tmp_path / "own.toml"
    path.write_text(kind(name).text, encoding="utf-8")
    turns = put(
        ds.Build.read(path), {"bar.bend": 5, "dimple.edge_radius": 9, "ball.protrusion": 20, "ball.diameter": 3}
    )
    now = turns.settle()
    saved = turns.save(tmp_path / "turned.toml")
    again = Session(ds.Build.read(saved)).start
    assert again.flags == now.flags
    assert np.array_equal(again.angle, now.angle)
    assert np.array_equal(again.opening, now.opening, equal_nan=True)
    assert np.array_equal(again.closing, now.closing, equal_nan=True)
    assert again.results == now.results
    for line in ("# the lock bar", "# drilled in the tang"):
        assert line in saved.read_text(encoding="utf-8")


def test_saving_writes_over_nothing_but_its_own(tmp_path):
    own, other = tmp_path / "own.toml", tmp_path / "other.toml"
    own.write_text(workshop().text, encoding="utf-8")
    other.write_text("mine", encoding="utf-8")
    turns = put(ds.Build.read(own), {"bar.bend": 5})
    for path in (own, other, tmp_path, tmp_path / "no" / "where.toml", "", "  "):
        with pytest.raises(InputError) as caught:
            turns.save(path)
        assert str(caught.value).count("\n") == 0
    assert other.read_text(encoding="utf-8") == "mine"
    assert own.read_text(encoding="utf-8") == workshop().text
    free = turns.files.free()
    assert free == tmp_path / "own-turned.toml"
    turns.save(free)
    turns.turn("bar.bend", 7)
    assert turns.save(free) == free
    assert ds.Build.read(free).word("bar.bend") == turns.knob("bar.bend").stops[7].text
    free.write_text(free.read_text(encoding="utf-8") + "# a note\n", encoding="utf-8")
    with pytest.raises(InputError, match="is there already"):
        turns.save(free)
    assert free.read_text(encoding="utf-8").endswith("# a note\n")
    assert turns.files.free() == tmp_path / "own-turned-2.toml"


def test_no_knob_by_that_name():
    with pytest.raises(InputError, match=r"none of this build's knobs; they are ball\.diameter"):
        Session(workshop()).turn("bar.width", 0)


def test_only_a_build_has_knobs():
    with pytest.raises(InputError, match="is no build"):
        Session("garden.toml")


def test_flags_are_named_as_everywhere():
    turns = Session(workshop())
    for knob in turns.knobs:
        for place in (0, len(knob.stops) - 1):
            assert set(turns.turn(knob.name, place).flags) <= set(FLAGS)
