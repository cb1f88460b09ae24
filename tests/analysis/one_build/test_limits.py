"""Limits of a build: the demo is inside each, one changed on purpose is past it."""

import math
import re

import pytest
from helpers.garden import workshop
from helpers.limited import CLIP, PAST, document_of, limits_of, named, names, report_of
from scipy.optimize import brentq

import detentsim as ds
from detentsim.mechanics.bar import bending, remembered, service
from detentsim.mechanics.names import LIMIT_NAMES
from detentsim.shop.materials import find_material


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
    told = " ".join(report.split("  Warnings")[0].split())
    worst, *more = found.passed
    one = f"a limit is exceeded (the {worst.part}'s {worst.called})"
    assert (f"{len(found.passed)} limits are exceeded" if more else one) in told
    for name in wanted:
        row, listed = (
            r"^  \w+ +{} +EXCEEDED  ",
            r"^  Exceeded, as above: [^.]*\b{}\b",
        )  # the other where room is short
        called = named(found, name).called
        assert any(re.search(words.format(called), report, re.MULTILINE) for words in (row, listed))


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
    """The verdict turns where what is asked equals what is borne, within 3e-8 of the way from inside to past it."""

    def at(size):
        return named(limits_of((CLIP if case == "clip" else {}) | {value: f"{size!r} {unit}"}), case)

    past = float(PAST[case][0][value].split()[0])
    meet = brentq(lambda size: (one := at(size)).asked - one.borne, start, past, xtol=1e-12)
    assert at(meet - 3e-8 * (past - start)).holds is True
    assert at(meet + 3e-8 * (past - start)).holds is False


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
