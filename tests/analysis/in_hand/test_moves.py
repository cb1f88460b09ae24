"""Moves of the bench: each does to the numbers what the build file would say, and what mechanics says to the knife."""

from functools import cache

import numpy as np
import pytest
from helpers.garden import workshop

from detentsim.analysis.in_hand.advise.moves.moves import moves
from detentsim.analysis.in_hand.advise.trials.proposed import changes_of
from detentsim.analysis.in_hand.advise.trials.solved import Trial
from detentsim.analysis.in_hand.advise.trials.trials import Trials
from detentsim.knife.record.fields import assemble
from detentsim.knife.record.record import plain
from detentsim.mechanics.record import Record

BUILDS = {
    "demo": {},
    "washer stack": {"tang.face_gap": None, "pivot.washer_thickness": "1.5 mm", "pivot.handle_pocket": "1 mm"},
    "loose ball": {"dimple.rim_feed": None, "dimple.loose_ball_height": "1.1 mm"},
    "measured": {"bar.measured.pull": "10 N", "bar.measured.travel": "1 mm", "bar.measured.at": "46 mm"},
    "stiffness": {"bar.stiffness": "9 N/mm"},
    "angle": {"dimple.overclose": "0.4 deg"},
    "proud": {"dimple.overclose": "-0.02 mm"},
    "one drill": {"dimple.rim_drill": "none", "dimple.rim_feed": None},
    "no relief": {"bar.relief_thickness": None, "bar.relief_length": None, "bar.thickness": "1.2 mm"},
    "washers": {"pivot.kind": "washers", "pivot.friction_torque": None},
    "static": {"friction.ball_on_tang_static": 0.15},
    "stop": {"stop.radius": "9 mm", "stop.pin_change": "0.03 mm"},
    "stop from the first": {"stop.radius": "9 mm"},
    "pull": {"pivot.friction_torque": None, "pivot.pull.force": "0.2 N", "pivot.pull.at": "60 mm"},
    "along": {"bar.bend_at": "along", "bar.pushed_back": "0.3 mm"},
    "burr": {"dimple.burr": "0.02 mm"},
    "metric ball": {"ball.diameter": "2 mm", "dimple.pilot_drill": "1.7 mm", "dimple.rim_drill": "1.8 mm"},
}
LENGTHS = 1e-12  # text of twelve digits


@cache
def made(name):
    build = workshop().change(BUILDS[name])
    return build, plain(build)


def own_moves(name):
    return {move.name: move for move in moves(*made(name))}


def amounts(move):
    """Both outermost ends of a move and one between; all that is sold."""
    return move.only or tuple(np.linspace(move.low, move.high, 3))


@pytest.mark.slow
@pytest.mark.parametrize("name", BUILDS)
def test_columns_are_the_record_of_what_the_build_file_would_hold(name):
    build, numbers = made(name)
    for move in moves(build, numbers):
        values = np.array(amounts(move))
        laid = assemble({**numbers, **move.columns(values)})
        for i, value in enumerate(values):
            tried = Trial((move,), (float(value),), 0.0, 0.0, True, True, (), (), 0.0)
            changed = assemble(plain(build.change(changes_of(build, numbers, tried))))
            for field in Record._fields:
                asked = np.broadcast_to(getattr(laid, field), values.shape)[i]
                held = getattr(changed, field)
                assert np.allclose(asked, held, rtol=1e-9, atol=LENGTHS, equal_nan=True), (move.name, value, field)


def test_a_build_has_the_moves_that_its_parts_allow():
    demo = set(own_moves("demo"))
    assert {"feed deeper", "break the edge", "bend in", "bend out", "thin the relief", "press the ball deeper"} <= demo
    assert {"larger ball", "other ball material", "washer thicker", "washer thinner", "polish the track"} <= demo
    assert {"move the opener", "dress the stop", "pivot tension"} <= demo
    assert "stop pin" not in demo
    assert "stop pin" in own_moves("stop")
    assert "feed deeper" not in own_moves("one drill")
    assert "thin the relief" not in own_moves("no relief")
    assert "dress the stop" not in own_moves("angle")
    assert "pivot tension" not in own_moves("pull")


def test_what_is_bought_stays_as_it_is_sold():
    larger, other = own_moves("demo")["larger ball"], own_moves("demo")["other ball material"]
    assert [f"{size * 1e3:.4f}" for size in larger.only] == sorted(f"{size * 1e3:.4f}" for size in larger.only)
    assert all(size > larger.start for size in larger.only)
    assert other.start not in other.only
    assert "silicon nitride" not in {other.words(value) for value in other.only}


def test_words_tell_where_a_move_ends_and_by_how_much():
    bend = own_moves("demo")["bend in"]
    assert bend.words(2.5e-3) == "Bend the bar in by 0.200 mm, to 2.50 mm"
    out = own_moves("demo")["bend out"]
    assert out.words(2.27e-3) == "Bend the bar out by 0.030 mm, to 2.27 mm"
    assert "0.115" in own_moves("demo")["polish the track"].words(0.115)


# What mechanics says


def solved(name, move, values):
    """Results of a move at a few amounts, the build's own first."""
    _, numbers = made(name)
    bench = Trials(numbers, ())
    at = np.array([own_moves(name)[move].start, *values])
    names = ("breakout_force", "drag_force", "draw_torque", "rest_angle", "hang_angle", "preload", "falls_shut")
    return bench.solve(own_moves(name)[move].columns(at), names)


def test_a_fed_rim_raises_breakout_at_equal_drag():
    found = solved("demo", "feed deeper", np.linspace(0.1e-3, 0.14e-3, 9)).results
    assert np.all(np.diff(found["breakout_force"][1:]) > 0)  # under 0.1 mm the ball leaves by the first drill's edge
    assert found["breakout_force"][-1] > 1.2 * found["breakout_force"][0]
    assert np.ptp(found["drag_force"]) <= 1e-9 * found["drag_force"][0]


def test_bend_raises_breakout_and_drag():
    found = solved("demo", "bend in", np.linspace(2.4e-3, 3.6e-3, 9)).results
    assert np.all(np.diff(found["breakout_force"]) > 0)
    assert np.all(np.diff(found["drag_force"]) > 0)
    less = solved("demo", "bend out", np.linspace(2.2e-3, 1.2e-3, 9)).results
    assert np.all(np.diff(less["breakout_force"]) < 0)
    assert np.all(np.diff(less["drag_force"]) < 0)


def test_a_thicker_washer_is_as_less_bend():
    """The ball stands a gap's change farther off, as a bend does at the ball; of the drag, all the spring does."""
    gap, bend = solved("demo", "washer thicker", [0.6e-3]).results, solved("demo", "bend out", [2.2e-3]).results
    for found in (gap, bend):
        assert found["drag_force"][1] < found["drag_force"][0]
        assert found["breakout_force"][1] < found["breakout_force"][0]


def test_a_polished_track_drags_less_and_draws_more():
    found = solved("demo", "polish the track", [0.1, 0.08]).results
    assert np.all(np.diff(found["drag_force"]) < 0)
    assert np.all(np.diff(found["draw_torque"]) > 0)


def test_a_stop_pin_trades_draw_and_proud():
    """A smaller pin lets the blade sink: less over-close, less draw, and in the end it stands proud of its stop."""
    values = np.linspace(0.22e-3, -0.22e-3, 27)
    found = solved("stop", "stop pin", values).results
    draw, rest = found["draw_torque"][1:], found["rest_angle"][1:]
    assert draw[0] > draw[-1]
    assert np.all(rest >= 0)
    assert rest[0] == 0
    assert rest[-1] > 0
    assert np.all(np.diff(rest) >= -1e-12)
    assert np.all(draw[rest > 0] <= 1e-9)


def test_only_less_spring_or_friction_makes_a_blade_fall_shut():
    build = workshop().change({"bar.bend": "2.5 mm"})
    numbers = plain(build)
    bench = Trials(numbers, ())
    own = bench.solve({}, ("falls_shut", "riding_force", "drag_torque")).results
    assert own["falls_shut"][0] == 0
    made_fall = set()
    for move in moves(build, numbers):
        values = np.array(move.only or np.linspace(move.low, move.high, 41))
        found = bench.solve(move.columns(values), ("falls_shut", "riding_force", "drag_torque"))
        falls = (found.results["falls_shut"] > 0) & ~found.flags["floats"]
        if np.any(falls):
            made_fall.add(move.name)
            less_spring = found.results["riding_force"][falls] < own["riding_force"][0] - 1e-9
            friction = found.results["drag_torque"][falls] < own["drag_torque"][0] - 1e-9
            assert np.all(less_spring | friction | (move.name == "pivot tension")), move.name
    assert {"bend out", "washer thicker", "polish the track", "press the ball deeper", "thin the relief"} <= made_fall
    assert not made_fall & {"bend in", "washer thinner", "feed deeper", "break the edge", "move the opener"}


def test_a_burr_that_is_sanded_off_is_gone():
    move = own_moves("burr")["sand the flat"]
    for none in (0.0, 0.4e-6):  # what a bench reads as nothing
        assert move.words(none) == "Sand the tang's flat on a hard block until the burr round the dimple is gone"
        assert move.short(none) == "sand the flat until the burr is gone"
    assert move.words(5e-6).endswith("stands 0.005 mm high")
    assert move.short(5e-6) == "sand the flat to 0.005 mm"


def test_a_stop_pin_is_told_thicker_or_thinner_and_friction_in_two_digits():
    pin, polish = own_moves("stop")["stop pin"], own_moves("demo")["polish the track"]
    assert pin.words(pin.start + 3e-5) == "Fit a pin 0.030 mm thicker than now at the closed stop"
    assert pin.words(pin.start - 3e-5) == "Fit a pin 0.030 mm thinner than now at the closed stop"
    assert pin.short(pin.start - 3e-5) == "stop pin 0.030 mm thinner"
    assert polish.words(0.10149) == "Polish the ball's track and oil it, so that friction falls to about 0.10"
    assert polish.short(0.10149) == "polish the track, for a friction of 0.10"
