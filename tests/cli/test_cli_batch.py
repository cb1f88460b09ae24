"""`detentsim batch` as a newcomer meets it, right input and wrong."""

import csv
import json
import re

import pytest
from helpers.five_knives import KNIVES
from helpers.garden import GARDEN_TEXT, WORKSHOP_FILE, WORKSHOP_TEXT
from helpers.strict_json import strict

import detentsim as ds
from detentsim.show.theme.tables import WIDTH

pytestmark = pytest.mark.usefixtures("remembered")

FEW = ("--count", "256", "--aim", "bar.bend=2 mm,2.4 mm", "--share", "0.2")


@pytest.mark.slow
def test_the_demo_gives_its_verdict_in_the_first_lines_and_fits_a_page(run):
    status, out, err = run("batch")
    assert (status, err) == (0, "")
    lines = out.splitlines()
    assert lines[0].startswith("No build file given: this is the packaged demo")
    assert lines[2].startswith("Of 12 knives made to this drawing ")
    assert len(lines) <= 30
    assert max(map(len, lines)) <= WIDTH


@pytest.mark.slow
def test_report_document_and_python_give_one_number(run):
    status, out, _ = run("batch", WORKSHOP_FILE, *FEW)
    assert status == 0
    document = json.loads(run("batch", WORKSHOP_FILE, *FEW, "--json")[1])
    made = ds.batch(ds.Build.read(WORKSHOP_FILE), 256)
    assert document["share"] == made.share()._asdict()
    assert document["knives"] == 256
    assert document["verdict"] == document["summary"]
    assert len(document["verdict"]["answers"]) == 5
    assert f"{100 * made.share().share:.1f} %" in out or f"{100 * made.share().share:.0f} %" in out
    assert document["outside"] == {key: where.mean() for key, where in made.outside.items()}
    low, high = made.interval("breakout_force")
    force = document["results"]["breakout_force"]
    assert (force["low"], force["high"], force["unit"]) == (low.m, high.m, "N")
    assert force["cpk"] == made.capability("breakout_force").cpk
    assert sum(document["count"]["chances"]) == pytest.approx(1.0)
    assert document["aim"]["after"]["share"] >= document["aim"]["before"]["share"] == made.share().share
    assert set(document["varies"]) == set(made.inputs)


@pytest.mark.slow
@pytest.mark.usefixtures("fewer")
def test_of_names_the_makers_own_batch(run):
    document = json.loads(run("batch", WORKSHOP_FILE, *FEW, "--of", "3", "--json")[1])
    assert document["of"] == document["count"]["of"] == 3
    assert "Of 3 knives made to this drawing" in run("batch", WORKSHOP_FILE, *FEW, "--of", "3")[1]
    assert (
        "The chance that a knife made to this drawing is inside is" in run("batch", WORKSHOP_FILE, *FEW, "--of", "1")[1]
    )


@pytest.mark.slow
@pytest.mark.usefixtures("afresh", "fewer")
def test_a_seed_gives_the_same_bytes_and_another_seed_other_knives(run):
    words = ("batch", WORKSHOP_FILE, "--count", "64", *FEW[2:], "--json")
    one = run(*words)[1]
    assert run(*words)[1] == one
    other = json.loads(run(*words, "--seed", "1")[1])
    assert other["share"] != json.loads(one)["share"]


@pytest.mark.slow
def test_table_has_a_row_for_each_knife(run, tmp_path):
    file = tmp_path / "knives.csv"
    assert run("batch", WORKSHOP_FILE, *FEW, "--csv", file)[0] == 0
    with file.open(encoding="utf-8", newline="") as stream:
        rows = list(csv.DictReader(stream))
    made = ds.batch(ds.Build.read(WORKSHOP_FILE), 256)
    assert len(rows) == 256
    assert [float(row["breakout_force_N"]) for row in rows] == made["breakout_force"].m.tolist()
    assert [row["inside"] == "true" for row in rows] == made.inside.tolist()


@pytest.mark.slow
def test_report_is_in_the_units_of_the_build(run):
    out = run("batch", WORKSHOP_FILE, *FEW, "--units", "inch", "--full")[1]
    numbers = out[out.index("Nine knives in ten") : out.index("Where to aim")]
    assert not {"N", "mm", "N*mm", "N/mm", "mJ"} & {word.rstrip(".,;)") for word in numbers.split()}
    assert "lbf" in out
    assert "thou" in out


@pytest.mark.slow
def test_full_names_the_worst_knives_and_what_varies(run):
    short, full = run("batch", WORKSHOP_FILE, *FEW)[1], run("batch", WORKSHOP_FILE, *FEW, "--full")[1]
    for title in ("Worst knives that the bands allow", "What varies, and how", "One tolerance halved"):
        assert title in full
        assert title not in short
    assert len(full.splitlines()) > len(short.splitlines())


@pytest.mark.slow
def test_a_drawing_that_is_unsound_is_not_called_fine(run, tmp_path):
    file = tmp_path / "floats.toml"
    file.write_text(WORKSHOP_TEXT.replace('bend = "', 'bend = "-', 1), "utf-8")
    status, out, _ = run("batch", file, "--count", "64")
    assert status == 1
    assert "Not right as it is" in out
    assert "none is inside" in out


@pytest.mark.slow
@pytest.mark.usefixtures("fewer")
@pytest.mark.parametrize("name", [*KNIVES][::2])
def test_a_short_report_of_any_knife_fits_a_page(run, tmp_path, name):
    file = tmp_path / "knife.toml"
    file.write_text(KNIVES[name], "utf-8")
    out = run("batch", file, *FEW)[1]
    assert len(out.splitlines()) <= 30
    assert max(map(len, out.splitlines())) <= WIDTH
    assert "The drawing" in out


@pytest.mark.slow
def test_without_a_target_there_are_ranges(run, tmp_path):
    file = tmp_path / "garden.toml"
    text = GARDEN_TEXT.partition("[target]")[0]
    file.write_text(text, "utf-8")
    status, out, _ = run("batch", file, "--count", "64")
    assert status == 0
    assert "No target is set" in out
    assert "breakout" in out
    assert json.loads(run("batch", file, "--count", "64", "--json")[1])["share"] is None


WORN = ("--worn-in", *FEW)


@pytest.mark.slow
@pytest.mark.usefixtures("fewer")
def test_fresh_and_worn_in_are_told_side_by_side(run):
    document = strict(run("batch", *WORN, "--json")[1])
    b = ds.batch(ds.demo(), 256, worn_in=True)
    fresh = document["worn_in"]["fresh"]
    assert document["share"]["share"] == b.share().share
    assert fresh["share"]["share"] == b.fresh.share().share
    assert document["worn_in"]["both"] == (b.inside & b.fresh.inside).mean()
    low, high = b.fresh.interval("breakout_force")
    assert [fresh["results"]["breakout_force"][end] for end in ("low", "high")] == [low.m, high.m]
    worn = ds.worn_in(ds.demo())["worn in"].results["breakout_force"]
    assert document["results"]["breakout_force"]["drawing"] == pytest.approx(worn, rel=1e-9)
    assert strict(run("batch", WORKSHOP_FILE, *FEW, "--json")[1])["worn_in"] is None


@pytest.mark.slow
@pytest.mark.usefixtures("fewer")
def test_the_report_of_a_worn_in_batch_fits_a_page(run, tmp_path):
    picture, table = tmp_path / "worn.png", tmp_path / "worn.csv"
    status, out, _ = run("batch", *WORN, "--figure", picture, "--csv", table)
    assert status == 0
    assert len(out.splitlines()) <= 30
    assert re.search(r"; fresh, about \d+ (is|are) inside", " ".join(out.split()))
    assert "worn_edge_radius_mm" in table.read_text().splitlines()[0]
    assert picture.read_bytes().startswith(b"\x89PNG")


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--of", "0"), '--of: "0" is not a whole number from 1 to 200; give one, such as 12'),
        (("--of", "a few"), "--of: "),
        (("--count", "1e9"), "--count: "),
        (("--count", "-5"), "--count: "),
        (("--seed", "x"), "--seed: "),
        (("--share", "90"), "--share: 90"),
        (("--share", "most"), "--share: "),
        (("--share", ""), "--share: "),
        (("--aim", "bar.bend"), "--aim: "),
        (("--aim", "bar.bent=1 mm"), "bar.bent"),
        (("--aim", "bar.bend=1 mm", "--aim", "bar.bend=2 mm"), "--aim: bar.bend is varied twice"),
        (("nowhere.toml",), "nowhere.toml"),
        (("--figure", "page.docx"), "--figure"),
    ],
)
def test_wrong_input_is_one_clear_line(run, words, said):
    status, out, err = run("batch", *words)
    assert (status, out) == (2, "")
    assert said in err
    assert len(err.splitlines()) == 1
