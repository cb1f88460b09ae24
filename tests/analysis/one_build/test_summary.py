"""Verdict on a build: the worst of warnings, limits, target and staying shut."""

import math
import re

import pytest
from helpers.garden import GARDEN_TEXT, garden

import detentsim as ds
from detentsim.analysis.one_build.checks import Check, held_shut
from detentsim.analysis.one_build.limits.margins import Limit
from detentsim.analysis.one_build.summary import Summary, summary
from detentsim.knife.outcomes import CARRY, UNSOUND
from detentsim.units.numbers import two_digits

GARDEN = garden()

BUILDS = {
    "as it is": {},
    "floats": {"bar.bend": "-2 mm"},
    "hangs loose": {"bar.bend": "0.2 mm"},
    "beside its dimple": {"dimple.overclose": "0.8 mm"},
    "bent too far": {"bar.bend": "6 mm"},
    "heavy blade": {"blade.mass": "300 gram", "blade.inertia": "400 kg*mm**2"},
    "no mass": {"blade.mass": None, "blade.inertia": None, "blade.balance_radius": None},
    "locks": {"friction.ball_on_tang": 0.9},
    "soft tang": {"tang.hardness": "45 HRC"},
}


@pytest.fixture(scope="module", params=BUILDS)
def build(request):
    return GARDEN.change(BUILDS[request.param])


@pytest.mark.slow
def test_each_check_agrees_with_the_command_it_speaks_for(build):
    verdict = summary(build)
    c, bar = ds.curve(build), ds.limits(build)
    assert (verdict["warnings"].state == "bad") == any(flag in UNSOUND for flag in c.flags)
    assert (verdict["limits"].state == "bad") == (not bar.within)
    assert (verdict["target"].state == "bad") == any(not v.met for v in c.verdicts)
    assert verdict.sound == (not verdict.bad)
    assert verdict.words.startswith("No warning, within its limits") == verdict.sound
    assert c.summary == verdict


@pytest.mark.slow
def test_staying_shut_follows_the_weight_it_holds(build):
    verdict = summary(build)["stays shut"]
    if build["blade.mass"] is None:
        assert verdict.state == "unknown"
        return
    carry = ds.motion(build).results["carry_g"]
    if carry is not None and verdict.state != "bad":
        assert verdict.state == ("good" if carry >= CARRY else "mind")
        assert carry >= 1
    if carry is not None and carry < 1:
        assert verdict.state == "bad"


@pytest.mark.parametrize("change", ["-20 %", "0 %"])
def test_a_wanted_change_has_no_base_here(change):
    text = GARDEN_TEXT.partition("[target]")[0] + f'[target]\nbreakout_force = {{ change = "{change}" }}\n'
    check = summary(ds.Build.loads(text))["target"]
    assert check.state == "unknown"
    assert "a change of" in check.words  # even of nothing: something is wanted


def test_the_documents_of_curve_hold_it():
    from detentsim.show.one_build.feel_curve.data_files import curve_document

    found = curve_document(ds.curve(GARDEN))["verdict"]
    assert set(found["checks"]) == {"warnings", "limits", "target", "stays shut", "sizes"}
    assert found["sound"] == summary(GARDEN).sound


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({"bar.stiffness": "1800 N/mm"}, "times what its sizes give"),
        ({"bar.stiffness": "1.1 N/mm"}, "times what its sizes give"),
        ({"blade.mass": "900 gram", "blade.inertia": "1100 kg*mm**2"}, "heavier than any"),
        ({"blade.inertia": "4 kg*mm**2"}, "less than 24 gram at 34 mm from the pivot has by itself"),
        (
            {"blade.inertia": None, "blade.pendulum_period": "0.1 s"},
            "period of 0.1 s is less than 24 gram at 34 mm from the pivot has by itself",
        ),
        ({"blade.open_angle": "18 deg"}, "hardly opens"),
        ({"opener.radius": "150 mm"}, "beyond the blade"),
        ({"opener.radius": "2 mm"}, "No finger gives"),
        ({"friction.ball_on_tang_static": 0.05}, "Friction at rest, 0.050, is below that of sliding, 0.12"),
        ({"finger.effort": 0.5}, "effort 0.5 pushes less than the breakout"),
        ({"attitude.close_from": "200 deg"}, "let fall from 200 deg, past lock-up at 180 deg"),
    ],
)
def test_what_no_knife_has_is_doubted(changes, says):
    check = summary(GARDEN.change(changes))["sizes"]
    assert check.state == "mind"
    assert says in check.words


DRILLS = "1.5 mm", "1.55 mm"
DEEP = {"contact.rim": "elastic", "dimple.rim_feed": "0.3 mm"}


@pytest.mark.parametrize("rim", ["elastic", "rigid"])
@pytest.mark.parametrize("friction", [0.31, 0.32])
def test_a_breakout_near_wedging_is_doubted_on_an_elastic_rim(rim, friction):
    """What friction takes is mu tan(psi), as of any wedge; the contact angle is largest where the ball rests."""
    build = GARDEN.change(DEEP | {"contact.rim": rim, "dimple.rim_drill": DRILLS[0], "friction.ball_on_tang": friction})
    taken = friction * math.tan(math.radians(ds.curve(build).results["contact_angle"]))
    words = summary(build)["sizes"].words
    assert (f"Friction takes {taken:.2f} of what the rim carries" in words) == (rim == "elastic" and taken > 0.9)


def test_a_rim_steeper_than_any_that_was_checked_is_doubted():
    """A ball of 1.588 mm rests at 71 deg in a hole of 1.50 mm, at 78 deg in one of 1.55 mm: the sine is their ratio."""
    words = [summary(GARDEN.change(DEEP | {"dimple.rim_drill": drill}))["sizes"].words for drill in DRILLS]
    assert ["meets its rim at" in one for one in words] == [False, True]
    rigid = ds.curve(GARDEN.change(DEEP | {"contact.rim": "rigid", "dimple.rim_drill": DRILLS[1]}))
    assert words[1].endswith(f'contact.rim = "rigid" it is {two_digits(rigid.results["breakout_force"])} N.')


def test_a_rim_that_the_ball_does_not_touch_yet_is_not_doubted():
    """The bar's face lies on the tang: beside the ball, where it hangs in the air, no friction wedges it."""
    lying = GARDEN.change({"ball.protrusion": "0.4 mm", "friction.ball_on_tang": 0.6, "contact.rim": "elastic"})
    c = ds.curve(lying)
    assert "bar_on_tang" in c.flags
    assert c.results["breakout_torque"]
    assert "Friction takes" not in summary(lying)["sizes"].words


def test_a_doubted_rim_without_a_lever_is_compared_by_its_torque():
    short = {"dimple.rim_drill": DRILLS[1], "opener.push_angle": "120 deg"}
    torque = ds.curve(GARDEN.change(DEEP | short | {"contact.rim": "rigid"})).results["breakout_torque"]
    words = summary(GARDEN.change(DEEP | short))["sizes"].words
    assert words.endswith(f'this breakout torque: with contact.rim = "rigid" it is {two_digits(torque)} N*mm.')


@pytest.mark.parametrize("ratio", [0.71, 1.0, 1.29])
def test_a_stiffness_near_what_the_sizes_give_is_not_doubted(ratio):
    stiff = ds.curve(GARDEN).results["bar_stiffness"] * ratio
    assert summary(GARDEN.change({"bar.stiffness": f"{stiff} N/mm"}))["sizes"].state == "good"


def test_a_ball_that_falls_through_its_hole_is_not_to_be_pressed():
    build = GARDEN.change({"ball.hole_drill": "2 mm"})
    (step,) = [step.do for step in ds.curve(build).bench.steps if "ress the ball" in step.do]
    assert step.startswith("Do not press the ball")
    assert summary(build)["limits"].state == "bad"


@pytest.mark.slow
def test_targets_of_limits_and_motion_are_judged_in_every_command(build):
    wanted = '\n[target]\ncarry_g = { at_least = 3 }\nworking_stress = { at_most = "700 MPa" }\nfalls_shut = true\n'
    other = ds.Build.loads(build.text.partition("[target]")[0] + wanted)
    c, bar = ds.curve(other), ds.limits(other)
    judged = {verdict.name: verdict for verdict in c.verdicts}
    assert judged["working_stress"] == bar.verdicts[0]
    if build["blade.mass"] is not None:
        own = {verdict.name: verdict for verdict in ds.motion(other).verdicts}
        assert judged["carry_g"] == own["carry_g"]
        assert judged["falls_shut"] == own["falls_shut"]
        assert judged["falls_shut"].met == c.falls_shut.falls


def test_staying_shut_that_is_not_known_names_its_reason():
    shut = summary(GARDEN.change(BUILDS["no mass"]))["stays shut"]
    assert (shut.state, shut.words) == ("unknown", "Not known: blade.mass or blade.balance_radius is not given.")


def test_a_locked_blade_stays_shut():
    assert summary(GARDEN.change(BUILDS["locks"]))["stays shut"].state == "good"


SOUND = {"warnings": "good", "limits": "good", "target": "good", "stays shut": "good", "sizes": "good"}


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({}, "No warning, within its limits, on target."),
        ({"target": "unknown"}, "No warning, within its limits."),
        ({"stays shut": "mind"}, "No warning, within its limits, on target, but held shut lightly."),
        ({"layout": "good"}, "No warning, within its limits, on target."),
        ({"layout": "mind"}, "No warning, within its limits, on target; but check its layout."),
        (
            {"layout": "mind", "sizes": "mind"},
            "No warning, within its limits, on target; but check its sizes and layout.",
        ),
    ],
)
def test_the_verdict_in_one_sentence_tells_what_is_weak(changed, words):
    checks = tuple(Check(name, state, "") for name, state in (SOUND | changed).items())
    assert Summary(checks, GARDEN).words == words


def test_the_verdict_does_not_vouch_for_limits_that_are_not_known():
    bare = ds.demo().change({"overtravel.gap": None, "overtravel.from_root": None})
    check = summary(bare)["limits"]
    assert (check.exceeded, check.unknown) == ((), ("the bar's over-travel",))
    assert summary(bare).words == "No warning, within all limits that are known, on target."
    assert summary(ds.demo())["limits"].unknown == ()
    bent = summary(bare.change({"bar.bend": "9.58 mm", "bar.lockup_travel": None}))
    assert {"the bar's bend", "the bar's radius"} <= set(bent["limits"].exceeded)
    assert bent["limits"].unknown == check.unknown
    assert f"{len(bent['limits'].exceeded)} limits are exceeded" in bent.words


@pytest.mark.parametrize("carry", [5.96, 5.9999, 5.94, 6.0, 6.04])
def test_what_is_held_too_lightly_does_not_read_as_enough(carry):
    check = held_shut(carry)
    told = float(re.search(r"holds ([\d.]+) times", check.words)[1])
    assert told == pytest.approx(carry, rel=0.01)
    assert (check.state == "mind") == (carry < CARRY) == (told < CARRY)


@pytest.mark.parametrize("use", [0.806, 0.9949, 0.9951, 0.99951, 0.999999, 1.0, 1.000001, 1.0004, 1.004, 1.3])
def test_use_of_a_limit_is_not_rounded_onto_it(use):
    told = Limit("bend", "bar", use, 1.0, "mm", use, use <= 1, "").used
    number = float(re.search(r"[\d.]+", told)[0])
    assert number == pytest.approx(100 * use, abs=0.5)
    assert (told == "100 %") == (use == 1)
    assert use == 1 or (number > 100 or "over" in told) == (use > 1)


@pytest.mark.parametrize("name", ["warnings", "limits", "target", "stays shut"])
def test_one_bad_check_is_enough_to_say_that_a_build_is_not_right(name):
    checks = tuple(Check(one, "bad" if one == name else state, "") for one, state in SOUND.items())
    assert Summary(checks, GARDEN).words.startswith("Not right as it is: ")
