"""Whole figures of sweeps: which one is chosen, what is refused, what is left behind."""

import subprocess
import sys

import matplotlib
import pytest
from helpers.drawn_pages import notebook_axes
from helpers.drawn_sweeps import BEND, FEED, ONE, TWO, USUAL, axes, blank, by_gid, by_label, made, maps_of, three
from helpers.words import check_words

from detentsim.analysis.many_builds.sweep.sweep import sweep
from detentsim.knife.packaged import demo
from detentsim.show import design_map, family, lines, panels, sweep_figure
from detentsim.show.many_builds.sweep.page import check_drawable
from detentsim.show.theme.saving import save_figure
from detentsim.units.errors import InputError

# Whole figures


@pytest.mark.slow
@pytest.mark.parametrize("name", ONE)
def test_stacked_lines_share_their_scale_and_no_words_collide(name):
    figure = sweep_figure(made(1, name))
    assert [ax.get_ylabel() for ax in figure.axes] == ["breakout force [N]", "preload [N]", "drag force [N]"]
    assert len({ax.get_xlim() for ax in figure.axes}) == 1
    check_words(figure)


@pytest.mark.slow
@pytest.mark.parametrize("name", ["feed", "gap", "inward", "drills", "metals", "relief", "friction", "floats"])
def test_words_of_lines_do_not_collide(name):
    check_words(sweep_figure(made(1, name), "breakout_force"))
    check_words(sweep_figure(made(1, name), "falls_shut"))


FULL = ("falls_shut", "contact_angle")
BARE = [(name, ()) for name in ("gap and bend", "relief", "words", "floats")]
MORE = [(name, ("drag_force",)) for name in ("feed and bend", "protrusion", "reversed")]


@pytest.mark.slow
@pytest.mark.parametrize(("name", "also"), [*((name, FULL) for name in TWO), *BARE, *MORE])
def test_words_of_maps_do_not_collide(name, also):
    check_words(design_map(made(2, name), "breakout_force", axes(), also=also).figure)


@pytest.mark.slow
@pytest.mark.parametrize("name", ["feed", "bend", "balls", "friction", "floats", "one point", "metals"])
def test_words_of_families_do_not_collide(name):
    check_words(family(made(1, name), axes()).figure)


@pytest.mark.parametrize("draw", [lambda s, ax: lines(s, "preload", ax), lambda s, ax: family(s, ax)])
@pytest.mark.parametrize("name", ["drills", "reversed", "one point", "same twice", "no knife"])
def test_nothing_to_draw_is_drawn_without_fuss(name, draw):
    ax = axes()
    assert draw(blank(made(1, name)), ax) is ax
    ax.figure.draw_without_rendering()


@pytest.mark.slow
@pytest.mark.parametrize("name", ["gap and bend", "drills and bend", "words", "one point", "a row", "no knife"])
def test_maps_of_nothing_are_drawn_without_fuss(name):
    check_words(design_map(blank(made(2, name)), "breakout_force", axes(), also=["preload"]).figure)


@pytest.mark.slow
def test_figure_chooses_by_how_much_is_varied():
    assert len(sweep_figure(made(1, "feed"), "preload").axes) == 1
    figure = sweep_figure(made(2, "feed and bend"), ["breakout_force", "drag_force"])
    assert by_gid(figure.axes[0], "fill breakout_force")
    assert by_gid(figure.axes[0], "lines drag_force")
    assert by_label(sweep_figure(made(2, "drills and bend"), "preload").axes[0], "preload 3")
    assert len(maps_of(sweep_figure(three()))) == 3


@pytest.mark.slow
@pytest.mark.parametrize("make", [lambda: sweep_figure(made(1, "feed")), lambda: sweep_figure(made(2, "gap and bend"))])
def test_same_sweep_same_bytes(make, tmp_path):
    one, two = (save_figure(make(), tmp_path / name).read_bytes() for name in ("a.svg", "b.svg"))
    assert one == two


# What is refused


FOUR = {"bar.bend": ["2 mm", "3 mm"], "bar.width": ["8 mm", "9 mm"], "dimple.rim_feed": ["0 mm", "0.1 mm"]} | {
    "tang.face_gap": ["0.5 mm", "0.6 mm"]
}


THREE = dict(list(FOUR.items())[:3])


@pytest.mark.parametrize(
    ("draw", "vary", "words"),
    [
        (
            lambda s: sweep_figure(s, "preload"),
            FOUR,
            "at most 3 inputs and this sweep varies 4; hold one at a single value",
        ),
        (lambda s: panels(s, "preload"), FOUR, "three inputs .* hold one at a single value"),
        (
            lambda s: design_map(s, "preload"),
            FOUR,
            "two inputs .* tang.face_gap; hold 2 of them at a single value each",
        ),
        (lambda s: family(s), FEED | BEND, "one input .* hold the others"),
        (lambda s: lines(s, "preload"), FEED | BEND, "at most 6 values, .* draw a design_map"),
        (lambda s: lines(s, "preload"), {}, "varies nothing; vary one, such as"),
        (
            lambda s: design_map(s, "preload"),
            FEED,
            "two inputs .* varies dimple.rim_feed; draw lines, or vary a second",
        ),
        (lambda s: panels(s, "preload"), FEED, "three inputs"),
        (lambda s: design_map(s, "preload", also=["prelod"]), FEED | BEND, "did you mean preload"),
        (lambda s: lines(s, "drag"), FEED, "no result of this sweep"),
        (lambda s: design_map(s, "preload"), THREE, "two inputs .* draw panels, or hold one at a single value"),
        (lambda s: lines(s, "preload"), THREE, "draw panels, or hold one at a single value"),
        (lambda s: lines(s, "preload"), FOUR, "hold 2 of them at a single value each"),
        (lambda s: sweep_figure(s, []), FEED, "one to 4 results and none is given; name one"),
        (lambda s: sweep_figure(s, 5), FEED, "5 is no name of a result; give one such as"),
        (lambda s: lines(s, ["preload"]), FEED, "a list is no name of a result; give one such as"),
        (lambda s: design_map(s, "preload", also=[["preload"]]), FEED | BEND, "a list is no name of a result"),
        (lambda s: family(s.build), FEED, "a Build is no sweep and no curves; give a sweep of one input"),
        (lambda s: lines(s.build, "preload"), FEED, "a Build is no sweep; give one, such as"),
        (lambda s: design_map(s.build, "preload"), FEED, "a Build is no sweep; give one, such as"),
        (lambda s: panels(s.build, "preload"), FEED, "a Build is no sweep; give one, such as"),
        (lambda s: sweep_figure(s.build, "preload"), FEED, "a Build is no sweep; give one, such as"),
    ],
)
def test_what_cannot_be_drawn_is_one_sentence(draw, vary, words):
    with pytest.raises(InputError, match=words) as caught:
        draw(sweep(demo(), vary, "preload"))
    assert "\n" not in str(caught.value)


@pytest.mark.slow
@pytest.mark.parametrize(
    ("vary", "of"),
    [(FOUR, ["preload"]), (FEED, [*USUAL]), (THREE, [*USUAL[:4]]), (FEED, ["preload"] * 5), (FOUR | BEND, USUAL)],
)
def test_what_cannot_be_drawn_is_known_before_it_is_solved(vary, of):
    s = sweep(demo(), vary, of)
    said = []
    for check in (lambda: check_drawable(s.shape, of), lambda: sweep_figure(s, of)):
        try:
            check()
            said.append("drawn")
        except InputError as error:
            said.append(str(error))
    assert said[0] == said[1]
    assert (said[0] == "drawn") == (len(vary) < 4 and len(set(of)) < 5)


def test_inputs_of_one_value_and_no_names_are_drawable():
    check_drawable([1, 31, 21, 1, 6], [])
    with pytest.raises(InputError, match="at most 3 inputs and this sweep varies 5; hold 2 of them"):
        check_drawable([2] * 5, [])


def test_a_result_given_twice_is_drawn_once():
    assert len(sweep_figure(made(1, "feed"), ["breakout_force", "breakout_force"]).axes) == 1
    ax = design_map(made(2, "feed and bend"), "preload", axes(), also=["preload", "drag_force", "drag_force"])
    assert not by_gid(ax, "lines preload")
    assert len(by_gid(ax, "lines drag_force")) == 1


# What is left behind


def test_axes_are_taken_and_settings_left():
    before = dict(matplotlib.rcParams)
    for draw, s in (
        (lambda s, ax: lines(s, "preload", ax), made(1, "feed")),
        (lambda s, ax: design_map(s, "preload", ax), made(2, "feed and bend")),
        (family, made(1, "balls")),
    ):
        ax = axes()
        assert draw(s, ax) is ax
    assert dict(matplotlib.rcParams) == before


@pytest.mark.slow
def test_given_axes_open_no_window():
    script = (
        "import sys, detentsim as ds; from matplotlib.figure import Figure\n"
        "s = ds.sweep(ds.demo(), {'bar.bend': ('1 mm', '3 mm', 5)})\n"
        "t = ds.sweep(ds.demo(), {'bar.bend': ('1 mm', '3 mm', 5), 'dimple.rim_feed': ['0 mm', '0.1 mm']})\n"
        "ds.show.lines(s, 'preload', Figure().subplots()); ds.show.family(s, Figure().subplots())\n"
        "ds.show.design_map(t, 'preload', Figure().subplots()); ds.show.sweep_figure(t)\n"
        "sys.exit('matplotlib.pyplot' in sys.modules)"
    )
    assert subprocess.run([sys.executable, "-c", script], check=False).returncode == 0


@pytest.mark.parametrize(
    "draw",
    [
        lambda: lines(made(1, "feed"), "preload"),
        lambda: family(made(1, "balls")),
        lambda: design_map(made(2, "feed and bend"), "preload"),
    ],
)
def test_without_axes_a_notebook_gets_one_figure_half_a_page_wide(draw, monkeypatch):
    with notebook_axes(monkeypatch, draw) as ax:
        assert ax.figure.get_figwidth() * 25.4 == pytest.approx(85)
        check_words(ax.figure)


def test_friction_given_in_words_stands_in_words():
    states = ["oiled", "dry as handled", "degreased"]
    s = sweep(demo(), {"friction.ball_on_tang": states}, of="drag_force")
    figure = sweep_figure(s)
    ticks = [" ".join(tick.get_text().split()) for tick in figure.axes[0].get_xticklabels()]
    assert ticks == ["oiled, 0.12", "dry as handled, 0.25", "degreased, 0.55"]
    assert list(figure.axes[0].get_lines()[0].get_xdata()) == [0, 1, 2]
    assert s.axes[0].values.tolist() == [0.12, 0.25, 0.55]
    both = sweep(demo(), {"friction.ball_on_tang": states, "bar.bend": ("1 mm", "3 mm", 3)}, of="drag_force")
    drawn = " ".join(text.get_text() for text in sweep_figure(both).axes[0].texts)
    assert all(state in drawn for state in states)
    mixed = sweep(demo(), {"dimple.edge_radius": ["0.01 mm", "tumbled"]}, of="drag_force")
    labels = [" ".join(tick.get_text().split()) for tick in sweep_figure(mixed).axes[0].get_xticklabels()]
    assert labels == ["0.01 mm", "tumbled, 0.05 mm"]


def test_a_family_is_in_the_units_of_its_build():
    s = sweep(demo().change({"units": "inch"}), {"bar.bend": ("40 thou", "120 thou", 5)})
    ax = family(s, axes())
    assert ax.get_ylabel() == "force at the opener [lbf]"
    top = float(ax.get_yticklabels()[-1].get_text())
    assert 0.7 * ax.get_ylim()[1] < top * 4.4482216 <= ax.get_ylim()[1]  # exact: one pound of force in newtons
    assert any(text.get_text() == "bar bend 120 thou" for text in ax.texts)
