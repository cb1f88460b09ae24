"""The command `layout`: its report, its files, and one number for one thing in all of them."""

import csv
import io

import numpy as np
import pytest
from helpers.laid_out import LAID_OUT, laid_out
from helpers.strict_json import strict as loads

import detentsim as ds
from detentsim.cli.builds import PLAN_LINE

pytestmark = [pytest.mark.slow, pytest.mark.usefixtures("remembered")]  # figures and pages

SMALL = LAID_OUT.replace('["-13 mm", "6 mm"], diameter = "4 mm"', '["-8 mm", "3 mm"], diameter = "1 mm"')
CROWDED = SMALL.replace('ball_from_edge = "4 mm"', 'ball_from_edge = "0.6 mm"').replace('"0.07 mm"', '"0.4 mm"')


def test_the_report_fits_a_page_and_opens_with_the_verdict(run, build_file):
    for text, expected in ((LAID_OUT, 0), (SMALL, 1), (CROWDED, 1)):
        status, out, err = run("layout", build_file(text))
        assert (status, err) == (expected, "")
        lines = out.splitlines()
        assert len(lines) <= 30
        assert max(map(len, lines)) <= 96
        assert lines[0] == "82 mm garden folder"
        assert any(line.startswith("  Layout") for line in lines[:12])
    assert "the layout is wrong" in out


def test_json_report_and_csv_say_the_same(run, build_file):
    file = build_file(LAID_OUT)
    _, out, _ = run("layout", file, "--json", "--csv", file.with_suffix(".csv"))
    document, text = loads(out), run("layout", file, "--full")[1]
    for c in document["clearances"]:
        line = next(line for line in text.splitlines() if line.startswith(f"  {c['name']} "))
        assert f"{c['contact']:.3f} mm" in line
        assert f"{c['rim']:.3f} mm" in line
    off = document["way"][-1]
    assert f"at {off['start']:.0f} deg" in text
    assert f"step of {off['step']:.3f} mm" in " ".join(text.split())
    best = document["places"]["best"]
    assert f"{best['from_lock_face']:.3f} mm from the lock face" in text
    rows = list(csv.DictReader(io.StringIO(file.with_suffix(".csv").read_text())))
    nearest = min(rows, key=lambda row: abs(float(row["margin_mm"]) - best["margin"]))
    assert float(nearest["from_edge_mm"]) == pytest.approx(best["from_edge"])
    assert float(nearest["breakout_force_N"]) == pytest.approx(best["breakout"])
    assert {row["feasible"] for row in rows} == {"true", "false"}


def test_the_verdict_is_that_of_curve(run, build_file):
    file = build_file(SMALL)
    layout = loads(run("layout", file, "--json")[1])["verdict"]
    assert not layout["sound"]
    assert layout == loads(run("limits", file, "--json")[1])["verdict"]
    assert layout["checks"]["layout"]["words"] in " ".join(run("curve", file)[1].split())


def test_without_a_build_the_demo_is_shown_in_plan(run):
    status, out, err = run("layout")
    assert (status, err) == (0, "")
    first, name, *rest = out.splitlines()
    assert first == PLAN_LINE
    assert name == ds.demo().name
    assert "  Layout      The ball's way, its dimple and its hole keep clear of every edge." in rest
    document = loads(run("layout", "--json")[1])
    assert document["demo"]
    assert document["verdict"]["sound"]


def test_no_layout_is_bad_input(run, build_file):
    status, out, err = run("layout", build_file(ds.demo().text))
    assert (status, out) == (2, "")
    assert err.count("\n") == 1
    assert "[layout] is missing" in err


def test_the_figure_shows_the_same_numbers():
    found = ds.layout(laid_out())
    figure = ds.show.layout_figure(found)
    ax = figure.axes[0]
    way = next(line for line in ax.lines if line.get_gid() == "way")
    np.testing.assert_allclose(np.hypot(*way.get_data()), found.ride.radius * 1e3)
    off = next(line for line in ax.lines if line.get_gid() == "off the flat")
    start = np.array(off.get_data())[:, 0]
    np.testing.assert_allclose(start, found.ride.at(np.radians(found.drops_off.start)) * 1e3)
    words = [text.get_text() for text in ax.texts]
    assert f"off at\n{found.drops_off.start:.0f} deg" in words
    rim = next(patch for patch in ax.patches if patch.get_gid() == "rim")
    assert rim.radius == pytest.approx(found.rim.radius * 1e3)


@pytest.mark.parametrize("text", [LAID_OUT, SMALL, CROWDED], ids=["sound", "hole", "crowded"])
def test_labels_of_the_figure_do_not_cover_each_other(text):
    figure = ds.show.layout_figure(ds.layout(ds.Build.loads(text)))
    figure.draw_without_rendering()
    for ax in figure.axes[:2]:
        boxes = [one.get_window_extent() for one in ax.texts if one.get_text()]
        for i, box in enumerate(boxes):
            assert not any(box.overlaps(other) for other in boxes[i + 1 :]), [t.get_text() for t in ax.texts]
