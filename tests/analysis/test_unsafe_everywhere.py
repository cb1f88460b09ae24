"""What one command calls unsafe no other calls fine: stop in the bar's way, pressing that cracks the ball, no draw."""

import json

import numpy as np
import pytest
from helpers.garden import WORKSHOP_TEXT, workshop

import detentsim as ds
from detentsim.analysis.in_hand.advise.advise import advise
from detentsim.analysis.one_build.summary import summary
from detentsim.knife.model import Build
from detentsim.mechanics.bar import bend, overtravel
from detentsim.show.in_hand.advise.report import advise_report
from detentsim.show.in_hand.compare.report import compare_report
from detentsim.show.one_build.feel_curve.report import report as curve_report
from detentsim.show.one_build.limits.report import limits_document, limits_report
from detentsim.show.one_build.motion.report import motion_report

KNIFE = workshop()

STOPPED = {"overtravel.gap": "0.05 mm"}

CRACKS = {"ball.hole_drill": "1.33 mm", "ball.hole_depth": "1 mm"}

NO_DRAW = {"dimple.overclose": "0.023 mm", "dimple.radial_error": "0.205 mm", "dimple.edge_radius": "0.065 mm"}


def reports(build):
    """Texts of every command that opens with a verdict on the build."""
    bar = ds.limits(build)
    return {
        "curve": curve_report(ds.curve(build)),
        "limits": limits_report(bar, summary(build, bar)),
        "motion": motion_report(ds.motion(build)),
        "compare": compare_report(ds.compare(build, KNIFE)),
        "advise": advise_report(advise(build)),
    }


@pytest.mark.slow
@pytest.mark.parametrize(
    ("changes", "words"),
    [
        (STOPPED, "over-travel stop meets the bar before the ball is out"),
        (CRACKS, "under a hard flat punch it cracks at about"),
        (NO_DRAW, "Nothing draws the blade shut"),
    ],
)
def test_every_command_says_it_in_its_verdict(changes, words):
    for command, text in reports(KNIFE.change(changes)).items():
        plain = " ".join(text.split())
        assert "Not right as it is" in plain, command
        assert words in plain, command


def test_a_stop_in_the_bars_way_is_a_warning_and_nothing_opens():
    build = KNIFE.change(STOPPED)
    c, m = ds.curve(build), ds.motion(build)
    assert "stopped_short" in c.flags
    assert "stopped_short" in m.flags
    assert c.breakout_force is None
    assert c.why("breakout_force") == "the over-travel stop keeps the ball in its dimple"
    assert m.results["opens_fully"] is None
    assert "flies open" not in motion_report(m).partition("Does it fall shut")[0]


def test_the_stop_is_in_the_way_from_just_where_the_ball_cannot_reach_the_flat():
    """At the tip the room is what the tip moves, so the gap follows from the ball's travel by the bar's own shape."""
    record = ds.curve(KNIFE.change(STOPPED)).response.load.record
    tip = bend.unlock_travel(record) / overtravel.reach(record, record.stop_from_root)
    gap = float(tip - bend.free_at(record, record.stop_from_root)) * 1e3
    for off, short in ((-1e-6, True), (1e-6, False)):
        build = KNIFE.change({"overtravel.gap": f"{gap + off:.9f} mm"})
        assert ("stopped_short" in ds.curve(build).flags) is short
        assert any(one.name == "room" for one in ds.limits(build).passed) is short


def test_a_sweep_marks_where_the_stop_is_in_the_way():
    s = ds.sweep(KNIFE, {"overtravel.gap": ("0.02 mm", "0.6 mm", 30)}, of=["breakout_force"])
    short = s.flags["stopped_short"]
    assert 0 < np.count_nonzero(short) < short.size
    np.testing.assert_array_equal(np.isnan(s["breakout_force"].m), short)


def test_pressing_is_a_limit_in_report_json_and_bench_steps():
    build = KNIFE.change(CRACKS)
    bar = ds.limits(build)
    press = next(one for one in bar.limits if one.name == "press")
    assert press.asked == bar.hold.force > press.borne == bar.contact.ball_cracks
    assert press.holds is False
    document = json.loads(json.dumps(limits_document(bar, summary(build, bar))))
    assert document["within"] is False
    assert {"name": "press", "part": "ball", "holds": False}.items() <= document["limits"][-1].items()
    step = next(step for step in ds.curve(build).bench.steps if step.do.startswith("Press the ball"))
    assert "Warning: pressing the ball in takes up to" in step.do
    assert "Warning" not in " ".join(step.do for step in ds.curve(KNIFE).bench.steps)


def test_pressing_that_a_ball_bears_holds():
    bar = ds.limits(KNIFE.change({"ball.hole_drill": "1.57 mm", "ball.hole_depth": "1 mm"}))
    assert next(one for one in bar.limits if one.name == "press").holds is True


def test_a_blade_that_nothing_draws_shut_is_bad_whatever_its_flags():
    build = KNIFE.change(NO_DRAW)
    c = ds.curve(build)
    assert c.results["draw_torque"] < 0
    assert "stands_proud" not in c.flags
    check = summary(build)["stays shut"]
    assert check.state == "bad"
    assert build.units.two_digits(-c.results["draw_torque"], "N*mm") in check.words


def test_what_nobody_can_tell_meets_no_target():
    """A blade that its stop keeps shut is not thrown: whether it flies open is not known, whatever is wanted."""
    build = Build.loads(WORKSHOP_TEXT.replace("falls_shut = true", "opens_fully = false")).change(STOPPED)
    assert summary(build)["target"].state == "bad"
    s = ds.sweep(build, {"overtravel.gap": ["0.05 mm", "0.7 mm"]}, of=["opens_fully", "breakout_force"])
    assert s.unknown("opens_fully").tolist() == [True, False]
    assert s["opens_fully"].tolist() == [False, True]
    assert not s.meets_target.any()
    assert not ds.batch(build, 64).inside.any()
