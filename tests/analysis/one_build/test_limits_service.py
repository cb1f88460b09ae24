"""Limits in service, of contact and of the ball's hole, and their words and documents."""

import json
import math
import re
from statistics import NormalDist

import numpy as np
import pytest
from helpers.garden import workshop
from helpers.limited import CLIP, PAST, document_of, limits_of, named, names, report_of

import detentsim as ds
from detentsim.analysis.one_build.limits.margins import THUMB
from detentsim.mechanics.bar import bend, remembered
from detentsim.mechanics.names import LIMIT_NAMES
from detentsim.show.theme.tables import to_json
from detentsim.units.errors import InputError
from detentsim.units.numbers import two_digits

NO_STOP = {"overtravel.gap": None, "overtravel.from_root": None}


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
    assert f"a weak thumb pushes {two_digits(THUMB[0])} N, a strong one {two_digits(THUMB[1])} N" in limit.words
    push = found.service.push_before_loss
    assert f"{two_digits(push)} N" in limit.words


def test_weak_and_strong_thumbs_stand_about_the_published_means():
    """Means of 8 women and 23 men: Choi et al. 2020, Applied Sciences 10(1):194; spread of 25 % assumed, normal."""
    z = NormalDist().inv_cdf(0.95)
    assert THUMB[0] == pytest.approx(100.6 * (1 - 0.25 * z), rel=0.04)
    assert THUMB[1] == pytest.approx(136.7 * (1 + 0.25 * z), rel=0.04)


def test_a_bar_that_no_thumb_bends_back_holds_without_a_stop():
    thick = {"bar.relief_thickness": None, "bar.relief_length": None, "bar.bend": "0.7 mm"}
    found = limits_of(NO_STOP | thick | {"bar.material": "UNS S17400 H900"})
    limit, push = named(found, "over-travel"), found.service.push_before_loss
    assert push > THUMB[1]
    assert limit.holds
    assert limit.use == pytest.approx(THUMB[1] / push)
    assert "a strong thumb's 200 N" in limit.words


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


def test_pure_titanium_bears_mean_stress_to_half_its_ultimate_strength_alone():
    """Iwata, MATEC Web Conf. 321 (2020) 11012: for grade 2 only the line to half the ultimate strength is safe."""
    pure, alloy = (
        limits_of({"bar.material": metal, "bar.bend": "0.9 mm"}) for metal in ("CP titanium grade 2", "Ti-6Al-4V")
    )
    for found, part in ((pure, 0.5), (alloy, 1.0)):
        f = found.fatigue
        amplitude, mean = (f.high - f.low) / 2, (f.high + f.low) / 2
        assert mean > 0
        assert f.use_for_ever == pytest.approx(amplitude / f.endurance + mean / (part * f.ultimate), rel=1e-9)
    assert "by a line to 0.5 of the ultimate strength" in named(pure, "fatigue").words
    assert "by Goodman's line" in named(alloy, "fatigue").words


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
