"""What a stopped sweep did not come to is said in its lines and maps."""

import dataclasses
import itertools

import numpy as np
import pytest
from helpers.drawn_sweeps import (
    BALLS,
    FEED,
    axes,
    by_gid,
    by_label,
    covers,
    fill,
    made,
    texts,
)
from helpers.garden import workshop
from helpers.words import check_words

from detentsim.analysis.many_builds.sweep.sweep import sweep
from detentsim.knife.outcomes import RESULTS
from detentsim.show import design_map, lines

# What a stopped sweep did not come to


def stopped(s, keep):
    """The sweep as if it had been stopped: only where `keep` holds is it solved."""
    results = {n: np.where(keep, a, False if RESULTS[n].is_truth else np.nan) for n, a in s.results.items()}
    flags = {name: where & keep for name, where in s.flags.items()}
    return dataclasses.replace(s, results=results, flags=flags, done=np.array(keep))


def test_a_stopped_line_says_what_is_not_solved():
    s = stopped(made(1, "feed"), np.arange(31) < 8)
    for of in ("breakout_force", "falls_shut"):
        ax = lines(s, of, axes())
        (span,) = by_gid(ax, "span not solved")
        assert span.get_x() == pytest.approx(0.0375)
        assert span.get_x() + span.get_width() == pytest.approx(0.15)
        assert "not solved" in texts(ax)
        assert not any("no value" in text for text in texts(ax))
        (line,) = by_label(ax, of)
        assert np.all(np.isnan(line.get_ydata()[8:]))
        check_words(ax.figure)


def test_a_stopped_line_of_which_nothing_is_solved_says_only_that():
    ax = lines(stopped(made(1, "feed"), np.zeros(31, bool)), "preload", axes())
    assert "not solved" in texts(ax)
    assert not any("no value" in text for text in texts(ax))


def test_stopped_lines_say_where_some_are_not_solved():
    s = sweep(workshop(), FEED | BALLS, "breakout_force")
    keep = np.zeros(s.shape, bool)
    keep[:20] = True
    assert "not solved" in texts(lines(stopped(s, keep), "breakout_force", axes()))
    keep[20:, 1] = True
    ax = lines(stopped(s, keep), "breakout_force", axes())
    assert "not all solved" in texts(ax)
    check_words(ax.figure)


@pytest.mark.parametrize("also", [(), ("falls_shut",)])
def test_a_stopped_map_says_what_is_not_solved(also):
    s = made(2, "feed and bend")
    keep = np.zeros(s.shape, bool)
    keep[:, :5] = True
    ax = design_map(stopped(s, keep), "breakout_force", axes(), also=also)
    (region,) = by_gid(ax, "region not solved")
    for i, j in itertools.product(range(1, s.shape[0] - 1), range(1, s.shape[1] - 1)):
        assert covers(region, s.axes[0].values[i], s.axes[1].values[j]) == (not keep[i, j])
    words = texts(ax)
    assert "not solved" in words
    assert not any("no value" in text or "nowhere here" in text or "everywhere here" in text for text in words)
    if also:
        assert not by_gid(ax, "truth falls_shut")
        assert "falls shut everywhere in what is solved" in words
        assert "target breakout force 9 to 13 N and falls shut: nowhere in what is solved" in words
    else:
        assert "target 9 to 13 N: nowhere in what is solved" in words
    check_words(ax.figure)


def test_a_stopped_map_of_nothing_claims_nothing():
    s = made(2, "feed and bend")
    ax = design_map(stopped(s, np.zeros(s.shape, bool)), "breakout_force", axes(), also=["falls_shut"])
    assert {text for text in texts(ax) if text != "this build"} == {"not solved"}


def test_the_outline_of_a_target_stays_open_towards_what_is_not_solved():
    s = made(2, "feed and bend")
    keep = np.zeros(s.shape, bool)
    keep[:, :14] = True
    for each, closed in ((s, True), (stopped(s, keep), False)):
        (outline,) = by_gid(design_map(each, "breakout_force", axes()), "target")
        (path,) = outline.get_paths()
        assert np.allclose(path.vertices[0], path.vertices[-1]) == closed
        inner = path.vertices[(path.vertices[:, 0] > 0.001) & (path.vertices[:, 0] < 0.1)]
        flat = np.isclose(inner[:, 1], s.axes[1].values[13])
        assert not np.any(flat)


def test_a_truth_is_not_filled_where_it_is_not_solved():
    s = made(2, "feed and bend")
    keep = np.zeros(s.shape, bool)
    keep[:, :5] = True
    (filled,) = fill(design_map(stopped(s, keep), "falls_shut", axes()), "falls_shut")
    assert covers(filled, 0.071, 1.3)
    assert not covers(filled, 0.071, 2.9)
