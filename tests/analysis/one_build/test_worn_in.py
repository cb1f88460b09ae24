"""Wear-in of one build: radii and results by stage, against the kernel with those radii, and named dead ends."""

import contextlib
import random

import numpy as np
import pytest
from helpers.garden import garden
from helpers.mutations import random_changes
from helpers.records import demo

import detentsim as ds
from detentsim.analysis.one_build.wear.worn_in import SHOWN
from detentsim.analysis.one_build.wear.worn_records import worn_radii
from detentsim.mechanics.record import full
from detentsim.mechanics.response import respond
from detentsim.units.errors import InputError

GARDEN = garden()


@pytest.fixture(scope="module")
def worn():
    return ds.worn_in(GARDEN)


def test_fresh_is_the_build_as_it_is(worn):
    fresh, c = worn["fresh"], ds.curve(GARDEN)
    assert {name: fresh.results[name] for name in SHOWN} == pytest.approx({name: c.results[name] for name in SHOWN})
    assert fresh.flags == c.flags


@pytest.mark.parametrize("stage", ["worn in", "oiled, most"])
def test_a_stage_is_the_build_with_its_edges(worn, stage):
    c = ds.curve(worn.build_at(stage))
    for name in SHOWN:
        assert worn[stage].results[name] == pytest.approx(c.results[name], rel=1e-9), name


def test_edges_grow_from_stage_to_stage(worn):
    for radius in ("edge_radius", "inner_edge_radius"):
        values = [getattr(worn[name], radius) for name in ("fresh", "first openings", "worn in")]
        values += [
            getattr(worn[f"{state}, {which}"], radius) for state in ("oiled", "dry") for which in ("least", "most")
        ]
        assert np.all(np.diff(values) >= 0), radius
        assert values[2] > values[0]


def test_an_edge_that_is_typed_as_worn_in_wears_in_no_more():
    assert "worn in already" in ds.worn_in(GARDEN.change({"dimple.edge_radius": "worn in"})).untold


def test_the_sign_is_the_kernels():
    """Of two dimples one gets heavier and one lighter, each as the kernel says of its rounder edges."""
    changes = []
    for build in (
        GARDEN,
        GARDEN.change({"dimple.rim_drill": None, "dimple.rim_feed": None, "dimple.pilot_drill": "1 mm"}),
    ):
        w = ds.worn_in(build)
        before, after = (ds.curve(b).results["breakout_force"] for b in (build, w.build_at("worn in")))
        changes.append(w.change("breakout_force", "worn in"))
        assert changes[-1] == pytest.approx(after / before - 1, rel=1e-9)
    assert changes[0] > 0


def test_harder_and_broader_edges_change_less():
    soft, hard = (ds.worn_in(GARDEN.change({"tang.hardness": f"{hv} HV"})) for hv in (400, 2500))
    for radius in ("edge_radius", "inner_edge_radius"):
        assert getattr(soft["worn in"], radius) > getattr(hard["worn in"], radius)
    broad = ds.worn_in(GARDEN.change({"bar.bend": "0.7 mm", "dimple.edge_radius": "0.5 mm"}), 1)
    assert broad["worn in"].edge_radius == broad["fresh"].edge_radius == 0.5


def test_history_ends_where_the_stages_are(worn):
    assert worn.history["openings"][-1] == worn.openings
    for state in ("oiled", "dry"):
        ends = [worn[f"{state}, {which}"].results["breakout_force"] for which in ("least", "most")]
        assert worn.history[state][:, -1] == pytest.approx(ends, rel=1e-9)
    assert worn.history["oiled"][0, 0] == pytest.approx(worn["first openings"].results["breakout_force"], rel=1e-4)


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"bar.bend": "-1 mm"}, "the ball never reaches the tang"),
        ({"friction.ball_on_tang": 0.9}, "the ball locks solid"),
        ({"dimple.overclose": "1.5 mm"}, "the ball rests beside its dimple"),
    ],
)
def test_a_dead_end_is_named(changes, said):
    w = ds.worn_in(GARDEN.change(changes))
    assert said in w.untold
    assert w.advice == f"No wear-in computed: {w.untold}."
    assert [stage.name for stage in w.stages] == ["fresh"]
    assert w.moves is None
    assert w.history == {}


def test_a_coat_is_no_part_of_the_typed_edge():
    coated = GARDEN.change({"tang.coating": "0.01 mm"})
    w = ds.worn_in(coated)
    assert w["fresh"].edge_radius == pytest.approx(0.03)
    assert ds.curve(w.build_at("fresh")).breakout_force.m == pytest.approx(ds.curve(coated).breakout_force.m)


def test_a_loose_balls_height_was_read_on_the_fresh_dimple():
    height = ds.curve(GARDEN).results["loose_ball_height"]
    build = GARDEN.change({"dimple.rim_feed": None, "dimple.loose_ball_height": f"{height!r} mm"})
    w = ds.worn_in(build)
    worn = ds.curve(w.build_at("worn in"))
    assert worn.results["breakout_force"] == pytest.approx(w["worn in"].results["breakout_force"], rel=1e-9)


@pytest.mark.parametrize("openings", [0, 1.5, "many", True, 10**7])
def test_openings_are_a_whole_number(openings):
    with pytest.raises(InputError, match="openings"):
        ds.worn_in(GARDEN, openings)


def test_a_hole_wider_than_its_ball_wears_in():
    """Where friction alone holds the ball against the wall its force is infinite, and it snaps past."""
    changes = {
        "dimple.rim_drill": None,
        "dimple.rim_feed": None,
        "dimple.pilot_drill": "2.2 mm",
        "ball.diameter": "2 mm",
    }
    w = ds.worn_in(GARDEN.change({**changes, "ball.protrusion": "0.8 mm"}))
    assert "bar_on_tang" in w["fresh"].flags
    assert w["fresh"].edge_radius < w["worn in"].edge_radius < 1
    assert w["worn in"].results["breakout_force"] < w["fresh"].results["breakout_force"]


@pytest.mark.slow
def test_random_builds_have_numbers_or_a_reason():
    rng, told, builds = random.Random(11), 0, []
    while len(builds) < 40:
        with contextlib.suppress(InputError):  # sizes that fit no knife
            builds.append(GARDEN.change(random_changes(rng)[0]))
    for build in builds:
        w = ds.worn_in(build, 1000)
        told += w.untold is None
        for stage in w.stages:
            assert np.isfinite([stage.edge_radius, stage.inner_edge_radius]).all()
            for value in stage.results.values():
                assert value is None or np.isfinite(value)
        assert w.untold or len(w.stages) == 7
        assert w.advice
    assert told > 10


def test_a_worn_radius_grows_steadily_with_the_feed():
    """The place that goes back farthest lies between the points that are looked at; the radius must not step there."""
    sizes = {"pilot_radius": 0.62545e-3, "pilot_depth": 0.24e-3, "rim_radius": 0.88e-3, "rim_tangent": 1.3833}
    feed = np.linspace(0.155e-3, 0.165e-3, 300)
    design = full(demo(**sizes, rim_feed=feed, edge_radius=0.0, ball_radius=0.85e-3, friction=0.225))
    worn = worn_radii(respond(design))
    steps = np.abs(np.diff(worn["inner_edge_radius"])) / worn["inner_edge_radius"][1:]
    assert 0 < np.max(steps) < 3e-3


@pytest.mark.parametrize("name", ["worn", "nope", 3])
def test_an_unknown_stage_is_refused_with_those_there_are(name):
    worn = ds.worn_in(garden())
    for ask in (lambda: worn[name], lambda: worn.change("breakout_force", name)):
        with pytest.raises(InputError, match=r'^stage: .* is no stage of use; give "worn in", or another of "fresh", '):
            ask()


def test_a_result_that_stages_lack_is_refused_with_one_like_it(worn):
    with pytest.raises(InputError, match='change: "breakout" is no result of a stage; did you mean breakout_force'):
        worn.change("breakout", "worn in")


def test_a_notebook_shows_every_stage_with_its_results(worn):
    table = worn._repr_html_()
    for stage in worn.stages:
        assert f"<th>{stage.name}</th>" in table
    assert table.count(">breakout_force<") == 1
    assert table.count(" N<") >= len(worn.stages)
