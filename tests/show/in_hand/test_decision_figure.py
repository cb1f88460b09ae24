"""The decision's figure: its map is the advice's own field, the arrow ends where it advises, and no words collide."""

import dataclasses
from functools import cache

import numpy as np
import pytest
from helpers.advised import advised, made
from helpers.words import check_words
from matplotlib.colors import to_hex
from matplotlib.figure import Figure

import detentsim as ds
from detentsim import show
from detentsim.analysis.in_hand.advise.proposals import Advice
from detentsim.knife.outcomes import RESULTS
from detentsim.show.many_builds.sweep.scales import input_name
from detentsim.show.theme.saving import save_figure
from detentsim.units.errors import InputError

pytestmark = pytest.mark.slow  # every test here draws advice, which costs seconds

MAPS = [
    "lighter",
    "stiffer",
    "bent too little",
    "rough",
    "two together",
    "against each other",
    "proud",
    "right",
]
LINES = ["loose ball"]
SCALE = {"mm": 1e-3, "": 1.0, "N*mm": 1e-3}


def axes():
    return Figure(figsize=(6.7, 4)).add_axes((0.1, 0.14, 0.78, 0.74))


@cache
def on_axes(name):
    """The decision on axes of a case, for tests that only look at it."""
    return show.decision(advised(name), axes())


@cache
def page(name):
    """The figure of a case, for tests that only look at it."""
    return show.decision_figure(advised(name))


def ways(ax):
    """Ends of each arrow: from, to."""
    return [(one.xyann, one.xy) for one in ax.texts if one.get_gid() == "way"]


def texts(ax):
    return [text.get_text().replace("\n", " ") for text in ax.texts if text.get_text()]


def notes(figure):
    return " ".join(figure.texts[1].get_text().split())


@pytest.mark.parametrize("name", MAPS)
def test_the_map_has_the_inputs_of_the_chief_moves(name):
    a = advised(name)
    ax = on_axes(name)
    x, y = a.field.axes
    assert [ax.get_xlabel().partition(" [")[0], ax.get_ylabel().partition(" [")[0]] == [
        input_name(one.name) for one in (x, y)
    ]
    assert ax.get_xlim() == pytest.approx((x.values[0], x.values[-1]))
    assert ax.get_ylim() == pytest.approx((y.values[0], y.values[-1]))


@pytest.mark.parametrize("name", MAPS)
def test_the_build_stands_where_it_is(name):
    a = advised(name)
    ax = on_axes(name)
    (mark,) = [line for line in ax.lines if line.get_label() == "this build"]
    own = [move.start / SCALE[axis.unit] for move, axis in zip(a.chief, a.field.axes, strict=True)]
    assert (mark.get_xdata()[0], mark.get_ydata()[0]) == pytest.approx(own)
    assert texts(ax).count("this build") == 1


@pytest.mark.parametrize("name", ["lighter", "bent too little", "rough", "stiffer", "two together", "proud"])
def test_the_way_goes_from_the_build_to_where_the_advised_moves_end(name):
    a = advised(name)
    ax, inputs = on_axes(name), [axis.name for axis in a.field.axes]
    p = next(p for p in a.proposals if all(move.field in inputs for move in p.tried.moves))
    legs = ways(ax)
    assert len(legs) == len(p.names)
    here = np.array([move.start / SCALE[axis.unit] for move, axis in zip(a.chief, a.field.axes, strict=True)])
    for (start, end), move, value in zip(legs, p.tried.moves, p.tried.values, strict=True):
        assert start == pytest.approx(here)
        i = inputs.index(move.field)
        here[i] = value / SCALE[a.field.axes[i].unit]
        assert end == pytest.approx(here)
        assert any(move.short(value) in text for text in texts(ax))


@pytest.mark.parametrize("name", ["against each other", "right"])
def test_the_way_is_drawn_only_where_something_on_the_map_is_advised(name):
    a = advised(name)
    inputs = {axis.name for axis in a.field.axes}
    on_it = [p for p in a.proposals if all(move.field in inputs for move in p.tried.moves)]
    assert bool(ways(on_axes(name))) == bool(on_it)


def test_the_target_is_what_is_wanted_and_not_the_builds_own():
    """Asked to be lighter, a build is judged by that, whatever its file wants."""
    ax = on_axes("lighter")
    low, high = (f"{end:.3g}" for end in (advised("lighter").aims[0].low, advised("lighter").aims[0].high))
    assert any(text.startswith(f"target breakout force {low} to {high} N") for text in texts(ax))
    assert made("lighter").target == ()


@pytest.mark.parametrize("name", ["bent too little", "rough", "lighter"])
def test_the_outline_encloses_where_the_arrow_ends(name):
    a = advised(name)
    ax = on_axes(name)
    (outline,) = [one for one in ax.collections if one.get_gid() == "target"]
    x, y = (axis.values for axis in a.field.axes)
    met = np.ones(a.field.shape, bool)
    for aim in a.aims:
        met &= aim.miss(np.asarray(a.field.results[aim.name], float)) == 0
    points = np.vstack([part for path in outline.get_paths() for part in path.to_polygons(closed_only=False)])
    for values, along, column in ((x, met.any(axis=1), 0), (y, met.any(axis=0), 1)):
        assert points[:, column].min() <= values[along].min() + 1e-9
        assert values[along].max() - 1e-9 <= points[:, column].max()
    # between designs too: its lowest point, solved by itself, is on an end of what is wanted or well inside
    lowest = points[np.argmin(points[:, 1])]
    sizes = [f"{at} {axis.unit}" if axis.unit else float(at) for at, axis in zip(lowest, a.field.axes, strict=True)]
    there = ds.curve(a.field.build.change(dict(zip([axis.name for axis in a.field.axes], sizes, strict=True))))
    for aim in a.aims:
        if aim.truth is None and aim.name in there.results:
            assert aim.miss(np.array(there.results[aim.name])) <= 0.05 * aim.step


def test_what_cannot_be_reached_is_said_on_the_map():
    ax = on_axes("against each other")
    assert any(text.endswith("nowhere here") for text in texts(ax))


def test_flags_are_hatched_and_named():
    ax = on_axes("bent too little")
    raised = {name for name, where in advised("bent too little").field.flags.items() if np.any(where)}
    hatched = {str(one.get_gid()).removeprefix("region ") for one in ax.collections if "region" in str(one.get_gid())}
    assert raised == hatched
    assert {"ball hangs loose", "ball snaps out"} <= set(texts(ax))


@pytest.mark.parametrize("name", LINES)
def test_one_chief_move_is_drawn_as_a_line_with_its_target(name):
    a = advised(name)
    assert a.field is None
    ax = on_axes(name)
    (line,) = [one for one in ax.lines if one.get_label() == a.aims[0].name]
    assert line.get_ydata() == pytest.approx(a.line.results[a.aims[0].name])
    (end,) = [one for one in ax.lines if one.get_gid() == "way"]
    p = next(p for p in a.proposals if p.tried.moves[0].field == "dimple.rim_feed")
    assert end.get_xdata()[0] == pytest.approx(p.tried.values[0] * 1e3)
    assert end.get_ydata()[0] == pytest.approx(p.results[a.aims[0].name])
    assert any(text.startswith("target at most 1.05 mm") for text in texts(ax))


def without_a_map():
    """The advice as if no move that turns on one input had helped."""
    a = advised("against each other")
    return Advice(a.build, a.aims, False, a.own, (), (), ())


def test_without_a_chief_move_the_figure_is_words():
    ax = show.decision(without_a_map(), axes())
    assert not ax.axison
    assert texts(ax)[0].startswith("No move of the bench that turns on one input helps with this")
    figure = show.decision_figure(without_a_map())
    assert figure.get_size_inches()[1] < 2
    assert notes(figure).endswith("No single move and no two together get there without a new fault.")


@pytest.mark.parametrize("name", [*MAPS, *LINES, "floats"])
def test_no_words_collide(name):
    figure = page(name)
    assert figure.get_size_inches()[0] == pytest.approx(170 / 25.4)
    check_words(figure)
    assert min(text.get_size() for ax in figure.axes for text in ax.texts) >= 7


@pytest.mark.parametrize("name", ["bent too little", "stiffer", "lighter", "rough"])
def test_no_words_lie_on_the_way(name):
    figure = page(name)
    figure.draw_without_rendering()
    ax = figure.axes[0]
    assert len(ways(ax)) > 0
    assert any(text.get_text() for text in ax.texts)
    for start, end in ways(ax):
        way = ax.transData.transform(np.array(start) + np.linspace(0.03, 1, 200)[:, None] * np.subtract(end, start))
        for text in ax.texts:
            if text.get_text():
                box = text.get_window_extent()
                assert not np.any(np.all((way > box.min) & (way < box.max), axis=1)), text.get_text()


def test_notes_tell_what_to_do_and_why():
    best = advised("bent too little").best
    words = notes(page("bent too little"))
    assert words.startswith("Wanted: breakout 9 to 13 N; falls shut: yes. Not right as it is: the target is missed. ")
    assert best.words[0] in words
    assert best.reason in words
    right = notes(page("right"))
    assert "Leave it alone: this build is right as it is." in right
    assert right.endswith("detentsim batch says what to hold.")
    words = notes(page("against each other"))
    assert "Breakout and breakout torque can each be reached, but pull against each other here." in words


def test_a_way_that_is_not_the_first_proposals_is_said_to_be():
    a = advised("two together")
    inputs = {axis.name for axis in a.field.axes}
    drawn = next(i for i, p in enumerate(a.proposals) if all(move.field in inputs for move in p.tried.moves))
    assert drawn > 0
    assert f"The arrow is proposal {drawn + 1}, " in notes(page("two together"))


def test_the_same_advice_makes_the_same_bytes(tmp_path):
    figures = [show.decision_figure(advised("stiffer")) for _ in range(2)]
    for ending in ("png", "svg"):
        one, other = (save_figure(figure, tmp_path / f"{i}.{ending}") for i, figure in enumerate(figures))
        assert one.read_bytes() == other.read_bytes()


def test_the_advice_is_left_as_it_was():
    a = advised("lighter")
    before = dataclasses.asdict(a.aims[0]), a.field.build.target
    show.decision_figure(a)
    assert (dataclasses.asdict(a.aims[0]), a.field.build.target) == before


def test_the_arrow_is_no_colour_alone():
    ax = on_axes("bent too little")
    (arrow,) = [one for one in ax.texts if one.get_gid() == "way"]
    assert to_hex(arrow.arrow_patch.get_edgecolor()) == "#26262b"
    assert RESULTS["breakout_force"].unit in ax.figure.axes[1].get_xlabel()


def test_what_is_no_advice_is_refused():
    for draw in (show.decision, show.decision_figure):
        with pytest.raises(InputError, match=r"advice: .* is no advice; give some, such as ds.advise\(build\)"):
            draw(made("right"))
