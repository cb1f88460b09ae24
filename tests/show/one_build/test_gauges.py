"""Gauges of limits: one share of each limit in figure, report and JSON; past 100 % in a hatch of its own."""

import numpy as np
import pytest
from helpers.drawn_limits import BUILDS, made
from matplotlib.colors import to_hex
from matplotlib.figure import Figure

from detentsim.analysis.one_build.limits.limits import limits
from detentsim.analysis.one_build.summary import summary
from detentsim.knife.packaged import demo
from detentsim.show import gauges
from detentsim.show.one_build.limits.gauges import MOST
from detentsim.show.one_build.limits.report import limits_document, limits_report
from detentsim.show.theme.style import CONTACT


def drawn(name):
    return gauges(made(name), Figure((3.4, 3.2)).add_axes((0.3, 0.15, 0.65, 0.8)))


def bars(ax):
    """Left end and length of each drawn bar, by what it is."""
    return {patch.get_gid(): (patch.get_x(), patch.get_width(), patch) for patch in ax.patches}


@pytest.mark.slow
@pytest.mark.parametrize("name", ["loses much", "clip", "floats", "flat", "folds"])
def test_figure_report_and_json_give_one_share(name):
    found, ax = made(name), drawn(name)
    document = limits_document(found, summary(found.build))["limits"]
    rows = limits_report(found, summary(found.build), full=True).splitlines()
    names = [label.get_text() for label in ax.get_yticklabels()]
    words = [text.get_text() for text in ax.texts]
    assert len(names) == len(words) == len(document)
    known = bars(ax)
    for one, limit in zip(document, found.limits, strict=True):
        called = f"{limit.part} {limit.called}"
        row = names.index(called)
        said = words[row]
        line = next(line for line in rows if line.startswith(f"  {limit.part:<5}{limit.called} "))
        assert (said in line) is (limit.holds is not False)
        assert ("EXCEEDED" in line) is (limit.holds is False)
        long = sum(known[key][1] for key in (f"{limit.name} used", f"{limit.name} over") if key in known)
        if one["use"] is None:
            assert (said, long) == ({None: "not known", True: "holds", False: "exceeded"}[limit.holds], 0)
        else:
            assert long == pytest.approx(min(100 * one["use"], MOST))
            assert said == (f"{100 * one['use']:.0f} %" if one["use"] < 10 else "over 10 times")


def test_a_limit_without_a_number_that_is_exceeded_is_said_to_be_so():
    """A ball less than half of which is in the bar: no share is used, but it falls out."""
    found = limits(demo().change({"ball.protrusion": "1.1 mm"}))
    ax = gauges(found, Figure((3.4, 3.2)).add_axes((0.3, 0.15, 0.65, 0.8)))
    names, words = [label.get_text() for label in ax.get_yticklabels()], [text.get_text() for text in ax.texts]
    (seat,) = [limit for limit in found.limits if limit.use is None and limit.holds is False]
    assert words[names.index(f"{seat.part} {seat.called}")] == seat.used == "exceeded"


@pytest.mark.parametrize("name", BUILDS)
def test_the_worst_is_on_top_and_only_what_is_past_its_limit_is_hatched(name):
    found, ax = made(name), drawn(name)
    known, names = bars(ax), [label.get_text() for label in ax.get_yticklabels()]
    called = {f"{limit.part} {limit.called}": limit for limit in found.limits}
    order = [called[one] for one in names]
    ranks = [{False: 0, None: 1, True: 2}[limit.holds] for limit in order]
    assert ranks == sorted(ranks)
    for holds in (False, True):
        used = [limit.use or 0.0 for limit in order if limit.holds is holds]
        assert used == sorted(used, reverse=True)
    for limit in found.limits:
        start, long, patch = known.get(f"{limit.name} over", (100.0, 0.0, None))
        assert (patch is not None) is (limit.use is not None and limit.use > 1)
        if patch is not None:
            assert start == 100
            assert 0 < long <= MOST - 100
            assert (patch.get_hatch(), to_hex(patch.get_edgecolor())) == ("xxxxx", CONTACT)
    assert all(patch.get_hatch() is None for gid, (_, _, patch) in known.items() if gid.endswith("used"))
    (line,) = [line for line in ax.lines if line.get_label() == "limit"]
    assert np.all(np.asarray(line.get_xdata()) == 100)
    assert ax.get_ylim()[0] > ax.get_ylim()[1]
