"""Maps whose borders are solved and not stepped, whose bands differ in grey, and whose targets are seen when small."""

import dataclasses
import itertools

import numpy as np
import pytest
from helpers.drawn_sweeps import axes, by_gid, fill, made, texts
from helpers.garden import workshop
from matplotlib.colors import to_rgb

import detentsim as ds
from detentsim.analysis.many_builds.sweep.sweep import sweep
from detentsim.knife.target.target import Target
from detentsim.show import design_map
from detentsim.show.many_builds.sweep.maps.shading import colours, lightness
from detentsim.show.theme.style import INK


@pytest.mark.slow
def test_a_flags_border_is_where_the_kernel_turns_between_designs():
    """Each point of the edge of `floats`, solved by itself: the ball is off the tang on one side of it alone."""
    s = made(2, "gap and bend")
    ax = design_map(s, "breakout_force", axes())
    (edge,) = by_gid(ax, "edge floats")
    points = np.concatenate(edge.get_segments())
    bends, gaps = s.axes[1].values, s.axes[0].values
    up = points[np.isin(np.round(points[:, 0], 9), np.round(gaps, 9))][::5]
    step = bends[1] - bends[0]
    for gap, bend in up:
        column = {"tang.face_gap": [f"{gap} mm"], "bar.bend": [f"{bend + d * step} mm" for d in (-0.03, 0.03)]}
        assert sweep(workshop(), column, "preload").flags["floats"].ravel().tolist() == [True, False]
    assert len(up) >= 4
    # straight: the gap that a bend reaches is that bend times one number
    line = np.polyfit(points[:, 0], points[:, 1], 1)
    assert np.abs(np.polyval(line, points[:, 0]) - points[:, 1]).max() < 0.02 * step


@pytest.mark.slow
def test_a_truths_border_does_not_step_along_the_grid():
    s = made(2, "gap and bend")
    ax = design_map(s, "breakout_force", axes(), also=["falls_shut"])
    (line,) = by_gid(ax, "truth falls_shut")
    x, y = max((path.vertices for path in line.get_paths()), key=len).T
    fit = np.polyval(np.polyfit(x, y, 2), x)
    assert np.abs(fit - y).max() < 0.03 * (s.axes[1].values[1] - s.axes[1].values[0])
    ax = design_map(s, "falls_shut", axes())
    (filled,) = fill(ax, "falls_shut")
    for i, j in itertools.product(range(1, s.shape[0] - 1), range(1, s.shape[1] - 1)):
        point = s.axes[0].values[i], s.axes[1].values[j]
        held = [k for k, path in enumerate(filled.get_paths()) if path.contains_point(point)]
        assert held == [int(s.results["falls_shut"][i, j])]


def test_neighbouring_bands_differ_as_much_in_grey_everywhere():
    """CIE L* by the standard's formula (ISO/CIE 11664-4): even steps, and dark lines stand out on the darkest."""
    bands = lightness(colours()(np.linspace(0, 1, 11))[:, :3])
    steps = np.diff(bands)
    assert steps.min() > 3.5
    assert np.ptp(steps) < 0.15 * steps.mean()
    assert bands[0] - lightness(to_rgb(INK)) > 30


def small_target(s, at, bands):
    """The sweep with a narrow target about what one knife between its designs gives."""
    own = ds.curve(workshop().change(at)).results
    target = tuple(Target(name, own[name] * (1 - part), own[name] * (1 + part)) for name, part in bands.items())
    return dataclasses.replace(s, build=dataclasses.replace(s.build, target=target))


def test_a_target_between_two_designs_is_outlined_where_the_kernel_meets_it():
    vary = {"bar.bend": ("1 mm", "3.2 mm", 12), "dimple.rim_feed": ("0 mm", "0.04 mm", 3)}
    coarse = sweep(workshop(), vary, ["breakout_force", "drag_force"])
    s = small_target(coarse, {"bar.bend": "2.13 mm", "dimple.rim_feed": "0.033 mm"}, {"breakout_force": 0.01})
    assert not s.meets_target.any()
    ax = design_map(s, "breakout_force", axes())
    (outline,) = by_gid(ax, "target")
    (path,) = outline.get_paths()
    assert path.contains_point((2.13, 0.033))
    assert not path.contains_point((2.08, 0.033))
    assert not path.contains_point((2.18, 0.033))
    assert any(text.startswith("target ") and "nowhere" not in text for text in texts(ax))
    assert not by_gid(ax, "target ring")  # a band across the map is seen without


def test_a_speck_of_a_target_has_a_ring():
    vary = {"bar.bend": ("1 mm", "3.2 mm", 12), "friction.ball_on_tang": (0.08, 0.2, 7)}
    coarse = sweep(workshop(), vary, ["breakout_force", "drag_force"])
    at = {"bar.bend": "2.13 mm", "friction.ball_on_tang": 0.131}
    ax = design_map(
        small_target(coarse, at, {"breakout_force": 0.01, "drag_force": 0.01}), "breakout_force", axes(), ["drag_force"]
    )
    (ring,) = by_gid(ax, "target ring")
    x, y = float(ring.get_xdata()[0]), float(ring.get_ydata()[0])
    assert {round(x, 2), round(y, 2)} == {0.13, 2.13}


def test_what_is_not_solved_is_not_hatched():
    s = made(2, "feed and bend")
    stopped = dataclasses.replace(s, done=np.arange(s.size).reshape(s.shape) < s.size // 2)
    (region,) = by_gid(design_map(stopped, "breakout_force", axes()), "region not solved")
    assert not region.get_hatch()


def test_a_build_without_an_over_travel_stop_has_its_borders_solved_without_a_warning():
    """Its record holds infinite numbers, which are the same in all designs."""
    build = ds.demo().change({"overtravel.gap": None, "overtravel.from_root": None})
    s = sweep(build, {"bar.bend": ("-1 mm", "2 mm", 7), "tang.face_gap": ("0.2 mm", "1 mm", 7)}, "preload")
    assert any(np.any(~np.isfinite(np.asarray(field))) for field in s.record)
    across, up = s.turns("floats", (0, 1, np.arange(7), np.arange(7), {}))
    turned = np.concatenate([across[np.isfinite(across)], up[np.isfinite(up)]])
    assert turned.size
    assert len({round(one, 3) for one in turned.tolist()}) > 2  # not half way throughout
