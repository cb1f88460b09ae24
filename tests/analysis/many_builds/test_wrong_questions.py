"""Wrong questions in Python: each is one sentence with what was given, what is allowed, and an example."""

import numpy as np
import pytest
from helpers.garden import garden

import detentsim as ds
from detentsim.analysis.one_build.wear.stages import Stage
from detentsim.units.errors import InputError

GARDEN = garden()


@pytest.fixture(scope="module")
def knives():
    return ds.batch(GARDEN, 16)


@pytest.mark.parametrize("wrong", ["bar.bend", 5, None, np.ones(1)])
def test_changes_are_a_mapping(wrong):
    with pytest.raises(InputError, match=r'is no mapping of inputs; give one such as \{"bar.bend": "2.4 mm"\}'):
        GARDEN.change(wrong)


def test_a_result_in_words_has_a_name():
    c = ds.curve(GARDEN)
    with pytest.raises(InputError, match='"breakout_froce" is no result; did you mean breakout_force'):
        c.in_words("breakout_froce")
    for ask in (c.in_words, c.is_unlikely):
        with pytest.raises(InputError, match='"x" is no result; there are bar_stiffness, '):
            ask("x")
        with pytest.raises(InputError, match=r'"opens_fully" is no result here; ds.motion\(build\) gives it'):
            ask("opens_fully")
    with pytest.raises(InputError, match='why: "xx" is no result; there are bar_stiffness, '):
        c.why("xx")
    with pytest.raises(InputError, match=r'why: "breakout_force" is no result here; ds.curve\(build\) gives it'):
        ds.limits(GARDEN).why("breakout_force")
    assert c.why("breakout_force") == ""


@pytest.mark.parametrize("vary", [[], ["bar.bend"]])
def test_a_batch_of_which_little_or_nothing_varies_answers_everything(vary):
    found = ds.findings(ds.batch(GARDEN, 16, vary=vary), settings={})
    assert set(found.matters["breakout_force"].inputs) == set(vary)
    for index in found.matters["breakout_force"].inputs.values():
        assert 0.9 < index.alone < 1.1  # it answers for all there is
        assert 0.9 < index.in_all < 1.1
    ends = found.corners["breakout_force"]
    low, high = ends.lowest.value, ends.highest.value
    assert (low == high) is not vary
    assert repr(found).startswith("<Findings on <Batch of ")


def test_findings_are_those_of_a_batch(knives):
    with pytest.raises(InputError, match=r"batch: a Build is no batch; give one such as ds.batch\(build\)"):
        ds.findings(GARDEN)
    with pytest.raises(InputError, match="wanted: 3 is not a share between 0 and 1"):
        ds.findings(knives, wanted=3)
    unaimed = ds.Build.loads(GARDEN.text.partition("[target]")[0])
    with pytest.raises(InputError, match=r"batch\.breakout_force: was asked for none"):
        ds.findings(ds.batch(unaimed, 16, of="preload", vary=["bar.bend"]))


def test_a_result_of_many_designs_is_an_item(knives):
    s = ds.sweep(GARDEN, {"bar.bend": ["1 mm"]}, of="breakout_force")
    for many in (s, knives):
        assert "breakout_force" in many
        assert "bar.bend" not in many
        with pytest.raises(AttributeError, match=r'results are items, like \["breakout_force"\]'):
            many.breakout_force  # noqa: B018
        with pytest.raises(TypeError, match="not iterable"):
            list(many)
    with pytest.raises(InputError, match='"floats" is no result of this sweep'):
        s.unknown("floats")


def test_the_results_of_one_design_are_walked_through_by_name():
    c = ds.curve(GARDEN)
    assert list(c) == list(c.results)
    assert "falls_shut" not in c
    stage = Stage("fresh", 0.02, 0.02, {"breakout_force": 9.0}, ())
    assert f"{stage.breakout_force:~P}" == f"{stage['breakout_force']:~P}" == "9.0 N"


def test_a_curve_that_does_not_fall_shut_is_not_taken_for_one_that_does():
    falls = ds.curve(ds.demo()).falls_shut
    hangs = ds.curve(ds.demo().change({"pivot.friction_torque": "40 N*mm"})).falls_shut
    assert (falls.falls, hangs.falls) == (True, False)
    assert falls
    assert not hangs


def test_capability_needs_a_band(knives):
    with pytest.raises(InputError, match=r'"drag_force" has no target band .* such as breakout_force = \{ at_least'):
        knives.capability("drag_force")


def test_a_share_of_a_number_is_told_what_has_one(knives):
    with pytest.raises(InputError, match=r'"xx" is no flag or yes-no result .*, asked for like share\("snaps"\)'):
        knives.share("xx")
    with pytest.raises(InputError, match=r"ask for its share, like share\('falls_shut'\)"):
        ds.batch(GARDEN, 16, of=["falls_shut"]).interval("falls_shut", 0.9)


@pytest.mark.parametrize("price", ["2 N", None, [1], True, 0, np.nan, np.inf])
def test_a_cost_is_a_number_above_zero(knives, price):
    with pytest.raises(InputError, match=r"is no cost above 0, such as \{'bar.bend': 2.0\}"):
        knives.hold(0.9, cost={"bar.bend": price})


@pytest.mark.parametrize("at", ["-1 deg", ["0 deg", "400 deg"]])
def test_blade_angles_out_of_range_are_shown(at):
    s = ds.sweep(GARDEN, {"bar.bend": ["1 mm"]})
    with pytest.raises(InputError, match=r'is out of range; allowed is 0 deg to 360 deg, such as \["0 deg", "5 deg"'):
        s.curves(at=at)


@pytest.mark.parametrize(
    "ask",
    [
        lambda pool: ds.sweep(GARDEN, {"bar.bend": ["1 mm"]}, executor=pool),
        lambda pool: ds.batch(GARDEN, 16, executor=pool),
    ],
)
def test_a_pool_is_one_of_the_standard_librarys_kind(ask):
    with pytest.raises(InputError, match=r"executor: 4 is no pool of concurrent\.futures, such as ProcessPoolExecutor"):
        ask(4)
