"""`detentsim curve --worn-in`: report, JSON, CSV and figure give the numbers of `ds.worn_in`."""

import csv
import re

import pytest
from helpers.garden import GARDEN_FILE, garden
from helpers.strict_json import strict

import detentsim as ds


def test_the_short_report_fits_a_page_and_opens_with_the_verdict(run):
    status, out, err = run("curve", "--worn-in", GARDEN_FILE)
    lines = out.splitlines()
    assert (status, err) == (0, "")
    assert len(lines) <= 30
    assert max(map(len, lines)) <= 96
    assert lines[1].startswith("Not right as it is: ")
    assert "Kept oiled, breakout is likely to get" in out
    assert "coefficients known from memory" in out
    assert "Archard" in run("curve", "--worn-in", "--full", GARDEN_FILE)[1]


def test_json_csv_and_call_give_one_number_for_one_thing(run, tmp_path):
    path, picture = tmp_path / "worn.csv", tmp_path / "worn.png"
    options = ("--json", "--openings", "500", "--csv", path, "--figure", picture)
    document = strict(run("curve", "--worn-in", GARDEN_FILE, *options)[1])
    w = ds.worn_in(garden(), 500)
    with path.open(newline="") as file:
        rows = list(csv.DictReader(file))
    assert [row["stage"] for row in rows] == [row["stage"] for row in document["stages"]] == [s.name for s in w.stages]
    for row, told, stage in zip(rows, document["stages"], w.stages, strict=True):
        force = stage.results["breakout_force"]
        assert float(row["breakout_force_N"]) == told["results"]["breakout_force"]["value"] == force
        assert float(row["edge_radius_mm"]) == told["edge_radius_mm"] == stage.edge_radius
    assert document["change"]["least"] == w.moves[0]
    assert document["advice"] == w.advice
    assert picture.read_bytes().startswith(b"\x89PNG")


@pytest.mark.slow
def test_a_dead_end_is_told_and_drawn(run, tmp_path):
    build = tmp_path / "floats.toml"
    build.write_text(GARDEN_FILE.read_text().replace('bend = "1.6 mm"', 'bend = "-1 mm"'))
    status, out, err = run("curve", "--worn-in", build, "--figure", tmp_path / "floats.png")
    assert (status, err) == (0, "")
    assert "No wear-in computed: the ball never reaches the tang." in out
    told = run("curve", "--worn-in", build, "--press", "5 N")[1]
    assert "All of this with 5 N pressing the bar inward; let go, it is lighter." in told
    (fresh,) = strict(run("curve", "--worn-in", build, "--json")[1])["stages"]
    assert fresh["results"]["breakout_force"]["why"] == "the ball never reaches the tang"
    assert strict(run("curve", "--worn-in", build, "--json")[1])["why"] == "the ball never reaches the tang"


@pytest.mark.parametrize(
    ("options", "said"),
    [(("--openings", "12"), "needs --worn-in"), (("--worn-in", "--openings", "0"), "from 1 to 1,000,000")],
)
def test_openings_that_will_not_do(run, options, said):
    status, out, err = run("curve", *options)
    assert (status, out) == (2, "")
    assert err.startswith("--openings: ")
    assert said in err


def test_a_sweep_says_that_it_is_worn_in(run):
    words = ("sweep", "--worn-in", "--vary", "bar.bend=1.6 mm,2.2 mm")
    document = strict(run(*words, "--json")[1])
    worn = ds.worn_in(ds.demo())["worn in"].results["breakout_force"]
    assert document["results"]["breakout_force"]["value"][1] == pytest.approx(worn, rel=1e-9)
    assert document["worn_in"] is True
    assert "Worn in: each with its dimple's edges" in run(*words)[1]


@pytest.mark.parametrize("words", [("batch",), ("sweep", "--vary", "bar.bend=1 mm,2 mm")])
def test_edges_that_have_worn_in_already_are_refused(run, tmp_path, words):
    path = tmp_path / "worn.toml"
    text = GARDEN_FILE.read_text("utf-8")
    path.write_text(re.sub(r"(\[dimple\][^[]*)", r'\1edge_radius = "worn in"\n', text, count=1), "utf-8")
    status, out, err = run(words[0], path, *words[1:], "--worn-in")
    assert (status, out) == (2, "")
    assert "worn in already; leave --worn-in (worn_in) out" in err
    assert len(err.splitlines()) == 1
