"""Limits of a build: the demo is inside each, one changed on purpose is past it, and the words say the numbers."""

import json
import math
import re

import numpy as np
import pytest
from helpers.garden import workshop

import detentsim as ds
from detentsim.analysis.one_build.limits.margins import THUMB
from detentsim.analysis.one_build.summary import summary
from detentsim.mechanics.bar import bend, bending, remembered, service
from detentsim.mechanics.names import LIMIT_NAMES
from detentsim.shop.materials import find_material
from detentsim.show.one_build.limits.report import limits_document, limits_report
from detentsim.show.theme.tables import to_json
from detentsim.units.errors import InputError
from detentsim.units.numbers import two

NO_STOP = {"overtravel.gap": None, "overtravel.from_root": None}
CLIP = {
    "clip.material": "420",
    "clip.length": "40 mm",
    "clip.width": "8 mm",
    "clip.thickness": "1 mm",
    "clip.preset": "0.5 mm",
}
# What is changed, and the limits that the change is to pass.
PAST = {
    "fold": ({"bar.bend": "11 mm"}, {"fold"}),
    "radius": ({"bar.bend": "9.58 mm"}, {"radius"}),
    "bend": ({"bar.relief_thickness": "0.5 mm", "bar.bend": "14 mm"}, {"bend"}),
    "room": ({"overtravel.gap": "0.1 mm"}, {"room"}),
    "over-travel": ({"overtravel.gap": "3 mm"}, {"over-travel"}),
    "fatigue": ({"bar.bend": "5 mm", "bar.lockup_travel": None}, {"fatigue"}),
    "lock-up": ({"bar.lockup_travel": "1.9 mm"}, {"lock-up"}),
    "dent": ({"tang.hardness": "45 HRC"}, {"dent"}),
    "crack": (
        {
            "ball.material": "ruby",
            "ball.diameter": "0.8 mm",
            "ball.protrusion": "0.39 mm",
            "bar.relief_thickness": "1.8 mm",
        },
        {"crack"},
    ),
    "seat": ({"ball.protrusion": "0.81 mm"}, {"seat"}),
    "loose hole": ({"ball.hole_drill": "#52"}, {"hole"}),
    "bursting hole": ({"ball.hole_drill": "1.2 mm", "bar.width": "3 mm"}, {"hole"}),
    "hard press": ({"ball.hole_drill": "1.33 mm"}, {"press"}),
    "clip": (CLIP | {"clip.cloth": "8 mm"}, {"clip"}),
}


def limits_of(changes, build=None):
    return ds.limits((build or workshop()).change(changes))


def report_of(found, full=False):
    return limits_report(found, summary(found.build, known=found), full=full)


def document_of(found):
    return limits_document(found, summary(found.build, known=found))


def named(found, name):
    return next(limit for limit in found.limits if limit.name == name)


def names(limits):
    return {limit.name for limit in limits}


def test_the_demo_is_inside_every_limit():
    found = limits_of(CLIP)
    assert found.within
    assert found.passed == ()
    asked = {name for _, wanted in PAST.values() for name in wanted}
    assert names(found.limits) == asked
    assert all(limit.holds is True for limit in found.limits)


@pytest.mark.slow
@pytest.mark.parametrize("case", PAST)
def test_a_knife_changed_on_purpose_is_past_its_limit(case):
    changes, wanted = PAST[case]
    found = limits_of(changes)
    assert wanted <= names(found.passed)
    assert not found.within
    report = report_of(found)
    assert report.splitlines()[1].startswith("Not right as it is")
    assert "a limit is exceeded" in report.splitlines()[1]
    for name in wanted:
        assert re.search(rf"^  \w+ +{name} +EXCEEDED  ", report, re.MULTILINE)


@pytest.mark.slow
@pytest.mark.parametrize(
    ("case", "value", "unit", "start"),
    [
        ("room", "overtravel.gap", "mm", 0.5),
        ("over-travel", "overtravel.gap", "mm", 0.8),
        ("lock-up", "bar.lockup_travel", "mm", 1.0),
        ("seat", "ball.protrusion", "mm", 0.7),
        ("clip", "clip.cloth", "mm", 1.0),
    ],
)
def test_a_limit_turns_where_its_two_numbers_meet(case, value, unit, start):
    """Bisected from outside by the verdict alone; there what is asked equals what is borne."""
    base = CLIP if case == "clip" else {}
    low, high = start, float(PAST[case][0][value].split()[0])
    for _ in range(26):
        middle = (low + high) / 2
        holds = named(limits_of(base | {value: f"{middle!r} {unit}"}), case).holds
        low, high = (middle, high) if holds else (low, middle)
    at = named(limits_of(base | {value: f"{(low + high) / 2!r} {unit}"}), case)
    scale = max(abs(at.borne), 0.01)
    assert at.asked == pytest.approx(at.borne, abs=1e-6 * scale)


def test_uses_are_shares_of_what_is_borne():
    found = limits_of(CLIP)
    for limit in found.limits:
        if limit.use is None:
            continue
        share = limit.asked / limit.borne
        assert limit.use == pytest.approx(1 / share if limit.name in ("radius", "room") else share, rel=1e-12)
    assert found.first.use == max(limit.use for limit in found.limits if limit.use is not None)


def test_results_are_the_sweeps_own():
    found = ds.limits(workshop())
    s = ds.sweep(workshop(), {"bar.bend": ["2.3 mm"]}, of=LIMIT_NAMES)
    assert set(found.results) == set(LIMIT_NAMES)
    for name in LIMIT_NAMES:
        assert found.results[name] == pytest.approx(float(s.results[name][0]), rel=1e-12)
        assert str(found[name].units) == str(s[name].units)
        assert getattr(found, name) == found[name]
    with pytest.raises(AttributeError, match="no result 'preload'"):
        _ = found.preload
    with pytest.raises(KeyError):
        found["preload"]
    assert set(LIMIT_NAMES) <= set(dir(found))


# Bending in


def test_the_push_and_its_springback_leave_the_bend():
    found = limits_of({"bar.bend": "2.3 mm"})
    b = found.bending
    assert b.way == "push"
    assert b.push - b.springback == pytest.approx(2.3, rel=1e-12)
    record = found.response.load.record
    for wanted, held in b.more:
        assert float(bending.bend_from_push(record, held * 1e-3)) * 1e3 == pytest.approx(wanted, rel=1e-9)
    assert [round(wanted, 9) for wanted, _ in b.more] == [2.3, 2.4, 2.5, 2.7]
    first = b.force * record.bend_push_at / bending.yield_moment(record)
    assert float(first) == pytest.approx(float(bending.root_moment(record)), rel=1e-12)
    # A strip that can neither curl nor narrow takes more of both, by no more than its yield strength is higher.
    assert 1 < b.wide[1] / b.force < 2 / math.sqrt(3) + 1e-9
    assert b.wide[0] > b.push


def test_taking_bend_out_leaves_what_it_says():
    found = ds.limits(workshop())
    record = found.response.load.record
    for stays, out in found.bending.less:
        moment = float(service.take_out(record, (2.3 - stays) * 1e-3))
        lost = service.lost_offset(record, remembered.bent_in(record), remembered.push(record, -moment, 50e-3), 50e-3)
        assert float(lost) * 1e3 == pytest.approx(2.3 - stays, rel=1e-8)
        elastic = float(bending.springback(record, bending.push_force(record, moment))) * 1e3
        assert out == pytest.approx(elastic - stays, rel=1e-12)


def test_the_sheet_it_is_bent_from_bears_the_radius():
    found = ds.limits(workshop())
    metal = find_material("Ti-6Al-4V", "bar", "bar.material")
    assert found.bending.least_radius == pytest.approx(4.5 * 0.9)  # ASTM B265: 4.5 t up to 1.8 mm
    assert metal.bend_radius(0.9e-3) == pytest.approx(4.05e-3)
    # Skin strain and inside radius are two sides of one curvature: strain = t/2 over (radius + t/2).
    assert found.bending.strain == pytest.approx(0.45 / (found.bending.radius + 0.45), rel=1e-12)
    steel = limits_of({"bar.material": "420"})
    assert steel.bending.least_radius is None
    assert "radius" not in names(steel.limits)


@pytest.mark.parametrize(
    ("changes", "way", "why"),
    [
        ({"bar.bend": "0 mm"}, "flat", "the bar is flat"),
        ({"bar.bend_at": "5 mm"}, "edge", "the bar is bent over an edge"),
        ({"bar.bend": "12 mm"}, "push", "the root folds before it takes that bend"),
    ],
)
def test_where_no_push_can_be_told(changes, way, why):
    found = limits_of(changes)
    assert found.bending.way == way
    assert found.push_for_bend is None
    assert found.springback is None
    assert found.why("push_for_bend") == why
    document = document_of(found)
    assert document["results"]["push_for_bend"] == {"value": None, "unit": "mm", "why": why}


def test_a_bar_bent_along_its_length_is_formed_to_an_even_curve():
    found = limits_of({"bar.relief_thickness": None, "bar.relief_length": None, "bar.thickness": "1.2 mm"})
    b = found.bending
    assert b.way == "along"
    # Even curvature: offset = curvature x_tip^2/2, of which the elastic part M/EI comes back.
    near = float(bending.even_moments(found.response.load.record)[0])
    elastic = near * 2 * 828 / (114e3 * 1.2) * 50**2 / 2
    assert b.springback == pytest.approx(elastic, rel=1e-9)
    assert "Form the bar to an even curve" in report_of(found)


# Service


@pytest.mark.slow
def test_a_bar_that_loses_bend_says_what_stays_and_how_to_keep_it():
    build = workshop().change({"bar.relief_thickness": "1.2 mm", "bar.bend": "4 mm", "overtravel.gap": "4 mm"})
    found = ds.limits(build)
    s = found.service
    assert "loses_bend" in found.flags
    assert s.use > 1
    assert s.bend_after < 4
    # What stays after the first unlock needs no more than it has been pushed back to.
    settled = ds.limits(build.change({"bar.bend": f"{s.bend_after!r} mm", "bar.pushed_back": f"{s.unlock!r} mm"}))
    assert settled.service.use <= 1
    assert settled.service.bend_after == pytest.approx(s.bend_after, rel=1e-12)
    # Bent over by that much first, its own bend is left.
    over = ds.limits(build.change({"bar.bend": f"{s.over_bend!r} mm"}))
    assert over.service.bend_after == pytest.approx(4, abs=2e-6)
    report = " ".join(report_of(found).split())
    assert f"So bend it to {s.over_bend:.2f} mm" in report
    assert "Let that outward push be the last" in report


def test_places_along_the_ruler():
    found = ds.limits(workshop())
    places = {place.name: place for place in found.service.places}
    record = found.response.load.record
    free = float(bend.free_offset(record)) * 1e3
    assert places["free"].offset == pytest.approx(free)
    assert places["rides and unlocks"].offset == pytest.approx(free - found.results["travel_to_unlock"])
    assert places["bend lost"].offset == pytest.approx(free - found.results["travel_before_loss"])
    assert places["bend lost"].stress == pytest.approx(828, rel=1e-9)
    assert places["flat"].offset == 0
    offsets = [place.offset for place in found.service.places]
    assert offsets == sorted(offsets, reverse=True)
    assert places["rides and unlocks"].stress == pytest.approx(found.results["working_stress"], rel=1e-12)
    riding = float(found.response.results["riding_force"])
    assert places["rides and unlocks"].moment == pytest.approx(riding * 44, rel=1e-9)


def test_without_a_stop_a_thumb_is_the_measure():
    found = limits_of(NO_STOP)
    limit = named(found, "over-travel")
    assert limit.holds is None
    assert found.within
    assert found.service.stop is None
    assert f"{two(THUMB[0])} to {two(THUMB[1])} N" in limit.words
    push = found.service.push_before_loss
    assert f"{two(push)} N" in limit.words


@pytest.mark.slow
def test_a_stiff_stop_saves_more_than_a_soft_one():
    uses = [
        limits_of({"overtravel.stiffness": stiffness}).service.stop.use
        for stiffness in ("5 N/mm", "50 N/mm", "5000 N/mm", "rigid")
    ]
    assert uses == sorted(uses, reverse=True)
    assert uses[-1] < 1 < uses[0]


def test_a_clip_is_a_soft_stop_and_judged_only_when_asked():
    behind = NO_STOP | CLIP | {"clip.gap": "1 mm", "clip.from_root": "45 mm"}
    found = limits_of(behind)
    stop = found.service.stop
    assert (stop.kind, stop.judged) == ("clip", False)
    assert named(found, "over-travel").holds is None
    assert stop.push == pytest.approx(stop.before_loss, rel=1e-9)
    assert stop.use == pytest.approx(1, rel=1e-6)
    for push, holds in ((0.99, True), (1.01, False)):
        asked = limits_of(behind | {"overtravel.push": f"{push * stop.before_loss!r} N"})
        assert named(asked, "over-travel").holds is holds
    # It stands on the handle with its preset, so it gives only beyond that force.
    assert found.clip.rest == pytest.approx(found.clip.stiffness * 0.5)
    assert found.clip.grip == pytest.approx(found.clip.stiffness * 1.5)


def test_fatigue_counts_the_residual_in_the_mean():
    found = ds.limits(workshop())
    f = found.fatigue
    record = found.response.load.record
    residual = float(remembered.residual(record)[..., 0]) * 828
    work = found.results["working_stress"] - residual
    assert f.high == pytest.approx(residual + work, rel=1e-12)
    locked = found.results["lockup_force"] * 50 / (828 * 8 * 0.9**2 / 6) * 828
    assert f.low == pytest.approx(residual + locked, rel=1e-9)
    # Published for R -1: Janecek et al., Acta Phys. Pol. A 128 (2015) 497.
    assert f.endurance == pytest.approx(460, rel=1e-9)
    mean = (f.high + f.low) / 2 / 895
    assert f.use_for_ever == pytest.approx((f.high - f.low) / 2 / f.endurance + mean, rel=1e-12)
    # A hundred thousand lies half way, in logarithms, from a thousand to ten million.
    assert f.strength == pytest.approx(math.sqrt(0.9 * 895 * f.endurance), rel=1e-12)
    assert f.use == pytest.approx((f.high - f.low) / 2 / f.strength + mean, rel=1e-12)


# Contact and hole


def test_contact_numbers_hang_together():
    found = ds.limits(workshop())
    c = found.contact
    assert c.force == pytest.approx(float(found.response.results["riding_force"]), rel=1e-12)
    assert c.pressure == pytest.approx(found.results["contact_pressure"], rel=1e-12)
    assert c.pressure == pytest.approx(3 * c.force / (2 * math.pi * c.radius**2) * 1e6, rel=1e-9)
    assert c.approach == pytest.approx(c.radius**2 / (25.4 / 32 * 1e3), rel=1e-9)
    assert c.force_at_limit == pytest.approx(c.force * (c.limit / c.pressure) ** 3, rel=1e-9)
    assert c.yield_force == pytest.approx(c.force * (c.yield_pressure / c.pressure) ** 3, rel=1e-9)
    assert c.dent == 0
    pressed = limits_of({"grip.force": "20 N"}).contact
    assert pressed.force > c.yield_force
    assert pressed.dent > 0


def test_a_steel_ball_cracks_by_no_toughness_and_a_hole_may_be_unknown():
    found = limits_of({"ball.material": "440C", "ball.hole_drill": None})
    assert {"crack", "hole"}.isdisjoint(names(found.limits))
    assert found.hold.hole is None
    assert found.hold.force is None
    assert found.within


def test_the_nearest_edge_is_what_the_hole_has_round_it():
    near = limits_of({"bar.tip_from_root": "46 mm", "overtravel.from_root": "45 mm", "bar.lockup_travel": None}).hold
    assert near.around == pytest.approx(4)
    assert ds.limits(workshop()).hold.around == pytest.approx(8)
    on_the_tip = limits_of({"bar.tip_from_root": "44 mm", "overtravel.from_root": "44 mm"})
    assert named(on_the_tip, "hole").holds is False


# Words, documents, notebooks


def everything():
    yield from (changes for changes, _ in PAST.values())
    yield from ({"bar.bend": "0 mm"}, {"bar.bend": "-1 mm"}, {"tang.face_gap": "3 mm"}, {"grip.force": "-10 N"})
    yield from (NO_STOP, {"bar.bend_at": "5 mm"}, {"bar.bend_at": "along"}, {"bar.lockup_travel": None})
    yield {"bar.reverse_yield": 0.55, "bar.pushed_back": "5 mm", "bar.bend_push_at": "20 mm"}
    yield {"friction.ball_on_tang": 1.2}
    yield NO_STOP | CLIP | {"clip.gap": "0 mm"}


@pytest.mark.slow
@pytest.mark.parametrize("changes", list(everything()), ids=str)
def test_every_report_and_document_can_be_written(changes):
    found = limits_of(changes)
    text = report_of(found, full=True)
    assert all(len(line) <= 96 for line in text.splitlines())
    assert not re.search(r"\b(nan|inf|None|-0\b)", text.partition("\n\n")[2])
    document = json.loads(
        to_json(document_of(found)),
        parse_constant=lambda word: pytest.fail(word),
    )
    assert document["within"] is found.within
    assert [limit["name"] for limit in document["limits"]] == [limit.name for limit in found.limits]
    for name in LIMIT_NAMES:
        value = document["results"][name]
        assert value["unit"]
        assert (value["value"] is None) == ("why" in value)
        assert value["value"] is None or np.isfinite(value["value"])
    for word in ("within", "past"):
        assert (word in repr(found)) == (found.within == (word == "within"))
    assert found._repr_html_().count("<tr>") == len(found.limits) + len(found.flags)


def test_targets_on_limits_are_judged():
    text = workshop().text.replace("falls_shut = true", 'working_stress = { at_most = "500 MPa" }')
    found = ds.limits(ds.Build.loads(text))
    (verdict,) = found.verdicts
    assert verdict.met is False
    assert abs(verdict.short_by) == pytest.approx(found.results["working_stress"] - 500)
    assert "Against the target" in report_of(found, full=True)


def test_what_is_no_build_is_said():
    with pytest.raises(InputError, match=r'read one with ds.Build.read\("mine.toml"\)'):
        ds.limits("mine.toml")
