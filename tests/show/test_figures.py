"""Figures: what is drawn where, in which units, that no words collide, and how a figure becomes a file."""

import itertools
import os
import subprocess
import sys
from functools import cache

import matplotlib
import numpy as np
import pytest
from helpers.words import boxes, check_words
from matplotlib.figure import Figure
from matplotlib.patches import Circle

from detentsim.analysis.one_build.curve.curve import curve as compute
from detentsim.knife.model import Build
from detentsim.knife.outcomes import FLAGS
from detentsim.knife.packaged import demo, demo_text
from detentsim.show import curve, curve_figure, dimple
from detentsim.show.theme.labels import Labels, Spot
from detentsim.show.theme.saving import save_figure
from detentsim.units.errors import InputError

LONG = (
    "The long-named garden folder with a second lock bar, a deeper rim and a name that nobody types in full, "
    + "not even in winter. " * 4
)
NO_RIM = {"dimple.rim_drill": "none", "dimple.rim_feed": None}
BIG = {
    "ball.diameter": "1/8 in",
    "ball.protrusion": "1.3 mm",
    "dimple.pilot_drill": "#32",
    "dimple.rim_drill": "#31",
    "tang.face_gap": "1.0 mm",
}
BUILDS = {
    "demo": {},
    "square on, no rim drill": {"dimple.overclose": "0 mm", **NO_RIM},
    "rigid bar": {"bar.lateral_stiffness": "rigid"},
    "hangs loose": {"bar.bend": "0 mm"},
    "floats": {"bar.bend": "-1 mm"},
    "floats far off": {"bar.bend": "-2 mm"},
    "much friction": {"friction.ball_on_tang": 0.4},
    "locks solid": {"friction.ball_on_tang": 0.9},
    "locks in a deep rim": {"friction.ball_on_tang": 0.4, "dimple.rim_feed": "0.16 mm"},
    "stands proud": {"dimple.overclose": "-0.05 mm"},
    "snaps": {"dimple.rim_feed": "0.16 mm"},
    "big ball": BIG,
    "big ball, letter drill": {**BIG, "dimple.rim_drill": "letter A", "dimple.pilot_depth": "1.5 mm"},
    "left hand": {"hand": "left"},
    "long name": {"name": LONG},
    "push at 80 deg": {"opener.push_angle": "80 deg"},
    "no lever at first": {"opener.push_angle": "95 deg"},
    "push follows": {"opener.push": "follows"},
    "small hole": {"dimple.pilot_drill": "0.8 mm", **NO_RIM},
    "deep hole": {"dimple.pilot_depth": "2.5 mm"},
    "shallow hole": {"dimple.pilot_depth": "0.05 mm", **NO_RIM},
    "on the floor": {"dimple.pilot_depth": "0.1 mm"},
    "bar on tang by ten thou": {"ball.protrusion": "10 thou"},
    "bar on tang": {"ball.protrusion": "0.3 mm", "tang.face_gap": "0.3 mm"},
    "short swing": {"blade.open_angle": "10 deg"},
}


@cache
def made(name):
    return compute(demo().change(BUILDS[name]))


def axes():
    return Figure(figsize=(3.35, 2.9)).add_axes((0.15, 0.13, 0.8, 0.82))


def line(ax, label):
    (found,) = [one for one in ax.lines if one.get_label() == label]
    return found


def texts(ax):
    return [text.get_text() for text in ax.texts]


# What loading costs, and what is left behind


def test_importing_show_loads_no_matplotlib():
    script = "import sys, detentsim.show; sys.exit('matplotlib' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", script], check=False).returncode == 0


@pytest.mark.slow
def test_a_figure_for_a_file_leaves_no_window_and_no_setting_behind():
    script = (
        "import sys, matplotlib, detentsim as ds; before = matplotlib.rcParams.copy()\n"
        "ds.show.curve_figure(ds.curve(ds.demo()))\n"
        "sys.exit('matplotlib.pyplot' in sys.modules or matplotlib.rcParams.copy() != before)"
    )
    assert subprocess.run([sys.executable, "-c", script], check=False).returncode == 0


@pytest.mark.parametrize("draw", [curve, dimple])
def test_axes_are_taken_and_returned(draw):
    ax = axes()
    before = dict(matplotlib.rcParams)
    assert draw(made("demo"), ax) is ax
    assert draw(made("demo"), ax=ax) is ax
    assert dict(matplotlib.rcParams) == before


@pytest.mark.parametrize("draw", [curve, dimple])
def test_without_axes_a_notebook_gets_a_figure_half_a_page_wide(draw, monkeypatch):
    monkeypatch.setenv("MPLBACKEND", "agg")
    plt = pytest.importorskip("matplotlib.pyplot")
    plt.switch_backend("agg")
    shown = []
    monkeypatch.setattr(plt, "show", lambda *_, **__: shown.append(True))
    ax = draw(made("demo"))
    try:
        assert not shown
        assert plt.get_fignums() == [ax.figure.number]
        assert ax.figure.get_figwidth() * 25.4 == pytest.approx(85)
    finally:
        plt.close(ax.figure)


# The curve


@pytest.mark.slow
@pytest.mark.parametrize("name", BUILDS)
def test_lines_are_the_curve_itself(name):
    c = made(name)
    ax = curve(c, axes())
    np.testing.assert_array_equal(line(ax, "opening").get_xydata(), c.columns[[0, 3]].T)
    np.testing.assert_array_equal(line(ax, "closing").get_xdata(), c.band.angle)
    np.testing.assert_array_equal(line(ax, "closing").get_ydata(), c.band.closing)
    assert line(ax, "opening").get_linestyle() != line(ax, "closing").get_linestyle()
    assert (ax.get_xlabel(), ax.get_ylabel()) == ("blade angle [deg]", "force at the opener [N]")


@pytest.mark.parametrize("name", BUILDS)
def test_limits_are_finite_and_hold_the_whole_swing_and_the_zero_line(name):
    c = made(name)
    ax = curve(c, axes())
    assert np.all(np.isfinite([ax.get_xlim(), ax.get_ylim()]))
    assert ax.get_xlim()[0] < 0
    assert ax.get_xlim()[1] == pytest.approx(c.columns[0, -1])
    assert ax.get_ylim()[0] < 0 < ax.get_ylim()[1]


def test_points_stand_at_the_results():
    c = made("demo")
    ax, r = curve(c, axes()), c.results
    assert line(ax, "breakout").get_xydata().tolist() == [[r["breakout_force_angle"], r["breakout_force"]]]
    assert line(ax, "let-go").get_xdata() == [r["let_go_angle"]]
    assert line(ax, "pull-in").get_xdata() == [r["pull_in_angle"]]
    assert line(ax, "drag").get_xydata().tolist() == [[90.0, r["drag_force"]]]
    words = " ".join(texts(ax))
    for part in ("breakout", "likely", "lets go", "pulls in", "drag", "opening", "closing", "target\n9 to 13 N"):
        assert part in words


def test_breakout_is_worded_as_everywhere_else():
    c = made("demo")
    assert f"breakout {c.in_words('breakout_force')}" in [text.replace("\n", " ") for text in texts(curve(c, axes()))]


def test_first_degrees_get_three_quarters_of_the_width():
    c = made("demo")
    ax = curve(c, axes())
    (mark,) = [one for one in ax.lines if one.get_gid() == "break"]
    near = float(mark.get_xdata()[0])
    left, at, right = ax.transAxes.inverted().transform(
        ax.transData.transform([[ax.get_xlim()[0], 0], [near, 0], [180, 0]])
    )[:, 0]
    assert (left, at, right) == pytest.approx((0, 0.75, 1))
    assert c.results["let_go_angle"] < near < 2 * c.results["let_go_angle"]
    assert "compressed to lock-up" in texts(ax)


def test_short_swing_is_not_squeezed():
    ax = curve(made("short swing"), axes())
    assert ax.get_xscale() == "linear"
    assert "compressed to lock-up" not in texts(ax)


def test_target_is_shaded_where_the_build_has_one():
    ax = curve(made("demo"), axes())
    (band,) = [one for one in ax.collections if one.get_label() == "target"]
    heights = band.get_paths()[0].vertices[:, 1]
    assert (heights.min(), heights.max()) == (9.0, 13.0)


@pytest.mark.parametrize(
    ("target", "words", "edge"),
    [
        ('{ at_least = "6 N" }', "target at\nleast 6 N", 6.0),
        ('{ at_most = "2 lbf" }', "target at\nmost 8.9 N", 2 * 4.4482216152605),
    ],
)
def test_target_with_one_end(target, words, edge):
    text = demo_text().partition("[target]")[0] + f"[target]\nbreakout_force = {target}\n"
    ax = curve(compute(Build.loads(text)), axes())
    assert words in texts(ax)
    assert edge in [pytest.approx(one.get_ydata()[0]) for one in ax.lines]


def test_without_a_target_none_is_drawn():
    ax = curve(compute(Build.loads(demo_text().partition("[target]")[0])), axes())
    assert not [one for one in ax.collections if one.get_label() == "target"]
    assert not [text for text in texts(ax) if "target" in text]


def test_where_the_opener_has_no_lever_nothing_is_drawn_and_it_says_so():
    c = made("demo")
    ax = curve(c, axes())
    forces = line(ax, "opening").get_ydata()
    missing = c.columns[0][np.isnan(forces)]
    (span,) = [one for one in ax.patches if one.get_gid() == "no lever"]
    assert missing.size
    assert span.get_x() <= missing[0]
    assert span.get_x() + span.get_width() >= missing[-1]
    assert "no leverage" in texts(ax)


@pytest.mark.parametrize(
    ("name", "why"), [("floats", "never"), ("locks solid", "locks"), ("no lever at first", "lever")]
)
def test_no_breakout_says_why(name, why):
    ax = curve(made(name), axes())
    (words,) = [text for text in texts(ax) if text.startswith("no breakout")]
    assert why in words
    assert not [one for one in ax.lines if one.get_label() == "breakout"]


def test_a_locked_blade_has_no_opening_line_and_no_let_go():
    ax = curve(made("locks solid"), axes())
    assert np.all(np.isnan(line(ax, "opening").get_ydata()[1:]))  # the blade at rest alone has a force
    assert not [one for one in ax.lines if one.get_label() == "let-go"]
    assert "opening" not in texts(ax)


# The drawing


@pytest.mark.parametrize("name", BUILDS)
def test_drawing_is_to_one_scale_and_shows_the_ball_whole(name):
    c = made(name)
    ax = dimple(c, axes())
    (ball,) = [one for one in ax.patches if isinstance(one, Circle)]
    assert (ball.center, ball.radius) == (c.picture.ball, c.picture.radius)
    start, across, up = ax.transData.transform([[0, 0], [1, 0], [0, 1]])
    assert abs(across - start)[0] == pytest.approx(abs(up - start)[1])
    frame, extent = ax.bbox, ball.get_window_extent()
    assert frame.x0 < extent.x0 < extent.x1 < frame.x1
    assert frame.y0 < extent.y0 < extent.y1 < frame.y1
    assert all("[mm]" in label for label in (ax.get_xlabel(), ax.get_ylabel()))


@pytest.mark.parametrize("name", ["demo", "stands proud", "rigid bar", "shallow hole"])
def test_contacts_and_their_normals_run_through_the_balls_centre(name):
    picture = made(name).picture
    ax = dimple(made(name), axes())
    dots = [one.get_xydata()[0].tolist() for one in ax.lines if one.get_label() == "contact"]
    assert dots == picture.contacts.tolist()
    angle = made(name).results["contact_angle"]
    assert any(f"ψ {angle:.0f}°" in text for text in texts(ax))
    for x, y in picture.contacts:
        slope = np.degrees(np.arctan2(abs(x - picture.ball[0]), picture.ball[1] - y))
        assert slope == pytest.approx(angle, abs=1e-3)


@pytest.mark.parametrize("name", BUILDS)
def test_contact_lies_on_the_ball_and_on_the_metal(name):
    ax = dimple(made(name), axes())
    (ball,) = [one for one in ax.patches if isinstance(one, Circle)]
    dots = np.array([one.get_xydata()[0] for one in ax.lines if one.get_label() == "contact"]).reshape(-1, 2)
    assert len(dots) == len(made(name).picture.contacts)
    wall = line(ax, "tang").get_xydata()
    wall = wall[np.append(True, np.any(np.diff(wall, axis=0) != 0, axis=1))]  # two cuts may share a corner
    for dot in dots:
        assert np.hypot(*(dot - ball.center)) == pytest.approx(ball.radius, rel=1e-6)
        start, step = wall[:-1], np.diff(wall, axis=0)
        part = np.clip(np.sum((dot - start) * step, axis=1) / np.sum(step**2, axis=1), 0, 1)
        gap = np.hypot(*(start + part[:, None] * step - dot).T).min()
        assert gap < 2e-5  # [mm]; how far the short straight steps of a 0.02 mm edge cut inside its arc


def test_loose_ball_touches_nothing():
    ax = dimple(made("hangs loose"), axes())
    assert not [one for one in ax.lines if one.get_label() == "contact"]
    assert any("carries\nnothing" in text for text in texts(ax))


def test_sizes_are_those_of_the_results():
    c = made("stands proud")  # at rest in the middle, so it reaches its full seat depth
    ax = dimple(c, axes())
    assert min(line(ax, "below flat").get_ydata()) == pytest.approx(-c.results["seat_depth"])
    assert f"{c.results['seat_depth']:.2f} mm\nbelow flat" in texts(ax)
    assert max(line(ax, "to bar").get_ydata()) == c.picture.bar_face


def test_bar_lying_on_the_tang_is_said():
    assert "bar lies\non tang" in texts(dimple(made("bar on tang"), axes()))


def test_ball_that_floats_is_measured_clear():
    ax = dimple(made("floats"), axes())
    assert max(line(ax, "clear").get_ydata()) > 0


def test_scale_bar_is_as_long_as_it_says():
    for name in ("demo", "big ball"):
        ax = dimple(made(name), axes())
        ends = line(ax, "scale").get_xdata()
        assert f"{ends[1] - ends[0]:g} mm" in texts(ax)


def test_drills_are_named_as_typed():
    words = texts(dimple(made("demo"), axes()))
    assert "pilot drill\n1.8 mm\n0.6 mm deep" in words
    assert f"rim drill\n1.9 mm\nfed {demo()['dimple.rim_feed'].text}" in words
    assert not any("rim drill" in text for text in texts(dimple(made("square on, no rim drill"), axes())))


def test_left_hand_mirrors_the_drawing_and_nothing_else():
    right, left = dimple(made("demo"), axes()), dimple(made("left hand"), axes())
    assert left.get_xlim() == right.get_xlim()[::-1]
    assert left.get_ylim() == right.get_ylim()
    assert texts(left) == texts(right)
    sides = []
    for ax in (right, left):
        (ball,) = [one for one in ax.patches if isinstance(one, Circle)]
        dot, centre = ax.transData.transform([line(ax, "contact").get_xydata()[0], ball.center])
        sides.append(float((dot - centre)[0]))
    assert sides[0] > 1
    assert sides[1] == pytest.approx(-sides[0])
    forces = [line(curve(made(name), axes()), "opening").get_ydata() for name in ("demo", "left hand")]
    np.testing.assert_array_equal(*forces)


# Both together


@pytest.mark.slow
@pytest.mark.parametrize("name", BUILDS)
def test_no_words_collide_and_none_are_cut_off(name):
    figure = curve_figure(made(name))
    assert len(boxes(figure)) > 25
    check_words(figure)


@pytest.mark.slow
@pytest.mark.parametrize("draw", [curve, dimple])
@pytest.mark.parametrize("name", BUILDS)
def test_alone_on_half_a_page_no_words_collide_and_none_are_cut_off(draw, name):
    plt = pytest.importorskip("matplotlib.pyplot")
    plt.switch_backend("agg")
    figure = draw(made(name)).figure
    try:
        check_words(figure)
    finally:
        plt.close(figure)


@pytest.mark.parametrize("name", BUILDS)
def test_drag_is_named_beside_its_mark_or_tied_to_it(name):
    ax = curve(made(name), axes())
    at = line(ax, "drag").get_xydata()[0]
    (label,) = [text for text in ax.texts if text.get_text().startswith("drag")]
    box, mark = label.get_window_extent(), ax.transData.transform(at)
    off = np.hypot(*(np.clip(mark, box.min, box.max) - mark)) * 72 / ax.figure.dpi
    tied = [one for one in ax.lines if one.get_gid() == "leader" and np.allclose(one.get_xydata()[-1], at)]
    assert off < 12 or tied
    for text in ax.texts:
        assert not text.get_window_extent().contains(*mark), text.get_text()


@pytest.mark.parametrize("draw", [lambda c: dimple(c, axes()), lambda c: curve_figure(c).axes[1]])
def test_words_leave_the_walls_of_a_deep_hole_to_be_seen(draw):
    ax = draw(made("deep hole"))
    wall = ax.transData.transform(line(ax, "tang").get_xydata())
    rows = np.linspace(0, 1, 200)[:, None]
    points = np.vstack([a + rows * (b - a) for a, b in itertools.pairwise(wall)])
    for text in ax.texts:
        if text.get_bbox_patch() is not None and "drill" in text.get_text():
            box = text.get_window_extent()
            assert not np.any(np.all((points > box.min) & (points < box.max), axis=1)), text.get_text()


@pytest.mark.slow
@pytest.mark.parametrize("name", BUILDS)
def test_nothing_is_smaller_than_seven_points(name):
    figure = curve_figure(made(name))
    sizes = [text.get_fontsize() for text in figure.findobj(matplotlib.text.Text) if text.get_text()]
    assert min(sizes) >= 7
    assert figure.get_figwidth() * 25.4 == pytest.approx(170)


@pytest.mark.parametrize("name", ["floats", "locks solid", "stands proud", "snaps"])
def test_flags_stand_underneath_in_words(name):
    c = made(name)
    under = " ".join(text.get_text().replace("\n", " ") for text in curve_figure(c).texts)
    assert c.flags
    for flag in c.flags:
        assert FLAGS[flag] in under


def test_demo_is_called_one():
    title = curve_figure(made("demo")).texts[0].get_text()
    assert title == f"{demo().name} (demo)"
    assert curve_figure(compute(Build.loads(demo_text()))).texts[0].get_text() == demo().name


def test_names_are_drawn_as_they_stand():
    c = compute(demo().change({"name": "cost $5 & $6, \\alpha_1 <b> 刀"}))
    title = curve_figure(c).texts[0]
    assert title.get_text() == "cost $5 & $6, \\alpha_1 <b> \ufffd (demo)"
    assert not title.get_parse_math()


def test_long_name_takes_two_lines():
    title = curve_figure(made("long name")).texts[0].get_text()
    assert title.count("\n") == 1
    assert title.endswith("... (demo)")


# Labels


def test_label_takes_the_first_clear_place():
    ax = axes()
    ax.set(xlim=(0, 1), ylim=(0, 1))
    labels = Labels(ax, [np.array([[0.0, 1.0], [0.5, 0.5]])])
    on_line, clear, last = (Spot(0.5, y, 0, 0, "center", "center") for y in (0.5, 0.8, 0.2))
    assert labels.put("first", [on_line, clear, last]).xy == (0.5, 0.8)
    assert labels.put("second", [clear, on_line, last]).xy == (0.5, 0.2)
    assert labels.put("third", [clear, on_line]).xy == (0.5, 0.5)


def test_label_that_stands_off_is_tied_and_its_point_kept_free():
    ax = axes()
    ax.set(xlim=(0, 1), ylim=(0, 1))
    labels = Labels(ax, [])
    labels.put("beside", [Spot(0.5, 0.8, 4, 0, "left", "center")])
    labels.lead(0.5, 0.8)
    assert not ax.lines
    labels.put("far off", [Spot(0.5, 0.5, 0, 0, "center", "center")])
    labels.lead(0.5, 0.2)
    assert [one.get_xydata()[-1].tolist() for one in ax.lines] == [pytest.approx([0.5, 0.2])]
    over, clear = (Spot(x, 0.2, 0, 0, "center", "center") for x in (0.5, 0.2))
    assert labels.put("later", [over, clear]).xy == (0.2, 0.2)


# Files


@pytest.mark.slow
@pytest.mark.parametrize("ending", ["png", "svg", "pdf", "PNG"])
def test_same_figure_gives_the_same_bytes(tmp_path, ending):
    written = []
    for i in range(2):
        figure = Figure(figsize=(3, 3))
        dimple(made("demo"), figure.add_axes((0.15, 0.15, 0.8, 0.8)))
        path = tmp_path / f"{i}.{ending}"
        assert save_figure(figure, path) == path
        written.append(path.read_bytes())
    assert written[0] == written[1]
    assert written[0].startswith({"png": b"\x89PNG", "svg": b"<?xml", "pdf": b"%PDF"}[ending.lower()])
    assert b"date" not in written[0].lower().replace(b"update", b"") or ending.lower() != "svg"


@pytest.mark.parametrize("name", ["curve.jpg", "curve", "curve.png.txt", "", ".png"])
def test_other_endings_are_refused_in_one_sentence(tmp_path, monkeypatch, name):
    monkeypatch.chdir(tmp_path)
    with pytest.raises(InputError, match=r"^--figure: .*must end in \.png, \.svg or \.pdf, such as") as caught:
        save_figure(Figure(), name)
    assert "\n" not in str(caught.value)
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize("name", ["missing/curve.png", "plain.txt/curve.png", "nul\0.png", f"{'x' * 300}.png"])
def test_a_place_that_cannot_be_written_is_one_sentence(tmp_path, name):
    (tmp_path / "plain.txt").write_text("a file, no folder")
    with pytest.raises(InputError, match=r"^--figure: .*cannot be written") as caught:
        save_figure(Figure(), f"{tmp_path}/{name}")
    assert "\n" not in str(caught.value)
    assert [path.name for path in tmp_path.iterdir()] == ["plain.txt"]


def test_a_folder_is_no_file(tmp_path):
    (tmp_path / "sub.png").mkdir()
    with pytest.raises(InputError, match="is a folder; name a file"):
        save_figure(Figure(), tmp_path / "sub.png")


def test_what_stood_there_survives_a_failure(tmp_path, monkeypatch):
    path = tmp_path / "curve.svg"
    path.write_text("old")

    def full(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "replace", full)
    with pytest.raises(InputError, match="No space left on device"):
        save_figure(Figure(), path)
    assert path.read_text() == "old"
    assert list(tmp_path.iterdir()) == [path]


def test_a_file_keeps_its_permissions_and_a_link_its_target(tmp_path):
    path, link = tmp_path / "real.svg", tmp_path / "link.svg"
    path.write_text("old")
    path.chmod(0o640)
    link.symlink_to(path)
    save_figure(Figure(), link)
    assert link.is_symlink()
    assert path.read_bytes().startswith(b"<?xml")
    assert path.stat().st_mode & 0o777 == 0o640
