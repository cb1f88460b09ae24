"""`detentsim limits` as a newcomer meets it, right input and wrong."""

import json
import re
from functools import partial

import pytest
from helpers.garden import GARDEN_FILE
from helpers.strict_json import strict

import detentsim as ds
from detentsim.analysis.one_build.summary import summary
from detentsim.cli.outputs import SIGNED
from detentsim.show.one_build.limits.report import limits_report


@pytest.fixture
def run(run):
    return partial(run, "limits")


@pytest.fixture
def write(tmp_path):
    def make(changes):
        path = tmp_path / "mine.toml"
        path.write_text(ds.demo().change(changes).text, encoding="utf-8")
        return path

    return make


def test_the_demo_says_so_first_and_holds(run):
    status, out, err = run()
    assert (status, err) == (0, "")
    assert out.startswith("No build file given: this is the packaged demo")
    assert "Limits      All hold; the nearest is the " in out


def test_a_limit_passed_is_a_no(run, write):
    path = write({"bar.lockup_travel": "3 mm"})
    status, out, err = run(path)
    assert (status, err) == (1, "")
    build = ds.Build.read(path)
    found = ds.limits(build)
    assert out == limits_report(found, summary(build, known=found))
    assert re.search("^  bar  lock-up +EXCEEDED ", out, re.MULTILINE)


def test_json_is_one_document(run, write):
    status, out, _ = run(write({"bar.lockup_travel": "3 mm"}), "--json")
    assert status == 1
    found = strict(out)
    assert set(found) == {
        "build", "demo", "verdict", "results", "flags", "assumed", "limits", "within", "first", "bending", "service",
        "fatigue", "contact", "hold", "clip", "target", "words",
    }  # fmt: skip
    assert found["within"] is False
    assert [one["name"] for one in found["limits"] if one["holds"] is False] == ["lock-up"]
    assert found["results"]["travel_to_unlock"]["unit"] == "mm"


def test_pressing_the_bar_loads_the_ball(run):
    plain = json.loads(run("--json")[1])
    pressed = json.loads(run("--json", "--press", "5 N")[1])
    assert pressed["contact"]["force"] > plain["contact"]["force"] + 4


@pytest.mark.slow
def test_outputs_are_files(run, tmp_path):
    report, figure = tmp_path / "limits.txt", tmp_path / "limits.png"
    status, out, _ = run("-o", report, "--figure", figure)
    assert status == 0
    assert out == run("--full")[1]
    assert report.read_text(encoding="utf-8") == f"{out}\n{SIGNED}\n"
    assert figure.read_bytes().startswith(b"\x89PNG")


@pytest.mark.parametrize(
    ("text", "key", "says"),
    [
        ('[overtravel]\nfrom_root = "46 mm"\n', "overtravel.gap", "is missing beside overtravel.from_root"),
        ('[overtravel]\ngap = 0.8\n', "overtravel.gap", "has no unit"),
        ('[overtravel]\ngap = "-1 mm"\n', "overtravel.gap", "0 mm"),
        ('[overtravel]\ngap = "1 mm"\nstiffness = "soft"\n', "overtravel.stiffness", "rigid"),
        ('[clip]\nmaterial = "420"\n', "clip.length", "is missing"),
        ('[clip]\nmaterial = "cheese"\nlength = "40 mm"\nwidth = "8 mm"\nthickness = "1 mm"\n', "clip.material", "ch"),
        ('[overtravel]\ngap = "1 mm"\nfrom_root = "60 mm"\n', "overtravel.from_root", "lies beyond the tip"),
        ('[overtravell]\ngap = "1 mm"\n', "overtravell", "did you mean overtravel"),
    ],
)  # fmt: skip
def test_bad_input_is_one_clear_line(run, tmp_path, text, key, says):
    path = tmp_path / "mine.toml"
    start = ds.demo().text
    path.write_text(start[: start.index("[overtravel]")] + text + start[start.index("[opener]") :], encoding="utf-8")
    status, out, err = run(path)
    assert (status, out) == (2, "")
    lines = [line for line in err.splitlines() if f": {key}: " in line]
    assert len(lines) == 1
    assert says in lines[0]
    assert lines[0].startswith(f"{path}:")


@pytest.mark.parametrize(
    ("changes", "key", "says"),
    [
        ({"bar.reverse_yield": 1.5}, "bar.reverse_yield", "1.5"),
        ({"bar.bend_push_at": "60 mm"}, "bar.bend_push_at", "lies beyond the tip"),
        ({"ball.hole_depth": "0.5 mm"}, "ball.hole_depth", "is too shallow for a 2 mm ball"),
        ({"ball.protrusion": "2 mm"}, "ball.protrusion", "is the whole ball or more"),
        ({"overtravel.gap": "1 mm", "clip.gap": "1 mm", "clip.material": "420", "clip.length": "40 mm",
          "clip.width": "8 mm", "clip.thickness": "1 mm"}, "clip.gap", "stands beside overtravel.gap"),
        ({"bar.lockup_travel": 0.6}, "bar.lockup_travel", "unit"),
    ],
)  # fmt: skip
def test_sizes_that_cannot_be_are_refused(changes, key, says):
    with pytest.raises(ds.InputError) as caught:
        ds.demo().change(changes)
    assert str(caught.value).startswith(key)
    assert says in str(caught.value)


def test_both_outputs_may_not_be_one_file(run, tmp_path):
    path = tmp_path / "same.png"
    status, _, err = run("-o", path, "--figure", path)
    assert status == 2
    assert "-o" in err or "--figure" in err
    assert not path.exists()


@pytest.mark.slow
def test_a_push_asked_for_leaves_its_bend(run):
    found = ds.limits(ds.demo())
    held = f"{found.bending.push!r} mm"
    assert f"{found.bend_from_push(held):.3f~P}" == "2.200 mm"
    assert "The push asked for leaves 2.20 mm of bend" in " ".join(run("--push", held)[1].split())
    assert json.loads(run("--push", "5 mm", "--json")[1])["bend_from_push"] == {"value": 0.0, "unit": "mm"}
    status, _, err = run("--push", "12")
    assert status == 2
    assert err.startswith("--push: ")
    assert err.count("\n") == 1
    assert "outward" in run("--push", "-2 mm")[2]


def test_a_push_that_folds_the_root_leaves_no_bend_to_tell(run):
    most = ds.limits(ds.demo()).bending.most
    told = " ".join(run("--push", "900 mm")[1].split())
    assert f"The push asked for folds the flat bar's root: one push leaves at most {most:.2f} mm of bend." in told
    row = json.loads(run("--push", "900 mm", "--json")[1])["bend_from_push"]
    assert row == {"value": None, "unit": "mm", "why": "the root folds"}


def test_a_bend_that_folds_the_root_sharp_has_no_radius_below_nothing(run, write):
    build = write({"bar.bend": "9.5 mm"})
    (radius,) = [one for one in ds.limits(ds.Build.read(build)).limits if one.name == "radius"]
    assert (radius.asked, radius.holds) == (0.0, False)
    told = " ".join(run(build)[1].split())
    assert "Bending it in folds the root sharp; the sheet's standard allows a radius of" in told
    assert "no inside radius is left" in " ".join(run(build, "--full")[1].split())


def test_a_limit_that_is_not_known_is_not_said_to_hold(run, write):
    told = run(write({"overtravel.gap": None, "overtravel.from_root": None}))[1]
    assert "Limits      All that are known hold; the nearest is the " in told
    assert "bar  over-travel not known" in told


def test_an_inch_report_has_no_metric_unit_and_a_short_one_fits_a_page(run):
    short, whole = (run(GARDEN_FILE, "--units", "inch", *words)[1] for words in ((), ("--full",)))
    assert len(short.splitlines()) <= 32
    assert len(whole.splitlines()) > 45
    body = whole.partition("\n\n")[2]  # the verdict repeats the target as typed
    assert re.search(r"\d (thou|in)\b", body)
    assert not re.search(r"\d (mm|um|N|MPa|N\*mm)(?![A-Za-z])", body)
