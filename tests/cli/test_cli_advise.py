"""`detentsim advise` as a newcomer meets it, right input and wrong, and what its report and its JSON say."""

import json
import re
from functools import partial
from importlib.resources import files

import pytest
from helpers.garden import workshop
from helpers.strict_json import strict

import detentsim as ds
from detentsim.analysis.in_hand.advise.symptoms.symptoms import SYMPTOMS
from detentsim.cli.entry import main
from detentsim.cli.outputs import SIGNED

pytestmark = pytest.mark.usefixtures("remembered")


@pytest.fixture
def run(run):
    return partial(run, "advise")


@pytest.fixture
def build(tmp_path):
    """A build file of the reader's own, with some inputs changed."""

    def write(changes=None, target="", name="mine.toml"):
        path = workshop().change(changes or {}).save(tmp_path / name)
        text = path.read_text(encoding="utf-8")
        if target:
            text = re.sub(r"(?ms)^\[target\].*?(?=^\[|\Z)", "", text) + f"\n[target]\n{target}\n"
            path.write_text(text, encoding="utf-8")
        return path

    return write


@pytest.mark.slow
def test_a_build_that_is_right_is_left_alone(run, build):
    status, out, err = run(build())
    assert (status, err) == (0, "")
    assert "Leave it alone: this build is right as it is." in out
    assert "What to change" not in out
    assert all(len(line) <= 96 for line in out.splitlines())


@pytest.mark.slow
def test_what_can_be_done_is_told_and_written(run, build, tmp_path):
    report, figure = tmp_path / "advice.txt", tmp_path / "advice.png"
    status, out, err = run(build({"friction.ball_on_tang": 0.3}), "-o", report, "--figure", figure)
    assert (status, err) == (0, "")
    assert re.search(r"What to change, the best first\n  1\. \w", out)
    assert "it can be undone" in out
    assert report.read_text(encoding="utf-8") == f"{out}\n{SIGNED}\n"
    assert figure.read_bytes().startswith(b"\x89PNG")


@pytest.mark.slow
def test_nothing_that_reaches_is_said_with_status_one(run, build):
    path = build(target='breakout_force = { at_least = "200 N" }\nlash = { at_least = "20 deg" }')
    status, out, err = run(path, "--json")
    assert (status, err) == (1, "")
    found = strict(out)
    assert (found["right"], found["proposals"]) == (False, [])
    assert found["others"]


@pytest.mark.slow
def test_json_is_one_document_without_what_is_no_number(run, build):
    status, out, _ = run(build({"bar.bend": "1.2 mm"}), "--json")
    assert status == 0
    found = strict(out)
    assert set(found) == {
        "build", "demo", "verdict", "advice", "met", "share_inside",
            "share_inside_after", "right", "flags", "limits_passed", "wanted", "own", "proposals",
        "others", "against", "out_of_reach", "symptoms", "symptom",
    }  # fmt: skip
    assert [aim["name"] for aim in found["wanted"]] == ["breakout_force", "falls_shut"]
    assert found["wanted"][0]["at_least"] == 9
    assert found["wanted"][1]["at_least"] is None
    assert [s["name"] for s in found["symptoms"]] == list(SYMPTOMS)
    best = found["proposals"][0]
    assert best["reaches"] is True
    force = best["results"]["breakout_force"]
    assert force["unit"] == "N"
    assert 9 <= force["value"] <= 13
    assert best["results"]["falls_shut"] is True
    changed = workshop().change(best["changes"])
    assert float(ds.curve(changed).breakout_force.m) == pytest.approx(force["value"], rel=1e-6)


@pytest.mark.slow
def test_a_symptom_leads_to_what_is_rid_of_it(run, build):
    status, out, _ = run(build({"bar.bend": "0.8 mm"}), "--symptom", "too light")
    assert status == 0
    said = "too light: by the drawing's own sizes it shows (it takes 2.0 N to open; the build's target is 9 to 13 N"
    assert said in " ".join(out.split())
    assert "What to change, the best first" in out


@pytest.mark.slow
def test_a_symptom_that_the_drawing_has_not_is_evidence(run, build):
    """The knife is right: those of the drawing's knives that have it are advised on; without such, nothing is cut."""
    status, out, _ = run(build(), "--symptom", "won't drop shut")
    text = " ".join(out.split())
    assert status == 0
    assert "will not fall shut: by the drawing's own sizes it does not show (let go, it falls shut)." in text
    assert "Of ten knives made to this drawing, about" in text
    assert "Leave it alone" not in text
    assert re.search(r"Why: at \d+ deg, where the likeliest of them hangs, its weight pulls [\d.]+ N\*mm shut", text)
    assert "What to change, the best first" in text
    status, out, _ = run(build(), "--saw", "too hard")
    text = " ".join(out.split())
    assert (status, "Change nothing yet" in text, "--want lighter" in text) == (1, True, True)
    assert "too stiff: by the drawing's own sizes it does not show (it takes" in text
    assert "What to change" not in text


def test_a_symptom_that_no_result_is_rid_of_is_told(run, build):
    status, out, _ = run(build(), "--symptom", "two clicks")
    assert status == 0
    assert "two clicks: yes" in out
    assert "feed the second drill" in " ".join(out.split())
    status, out, _ = run(build(name="other.toml"), "--symptom", "two clicks", "--json")
    assert (status, strict(out)["symptom"]["aims"]) == (0, [])


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--want", "softer"), '--want: "softer" is not understood; give "lighter" or "stiffer"'),
        (("--want", "lighter 99"), '--want: "lighter 99" is not understood'),
        (("--symptom", "purple"), 'symptom: "purple" is no symptom; there are rattles closed'),
        (("--symptom", "too stif"), "did you mean too stiff"),
        (("--want", "lighter", "--symptom", "too stiff"), "stands beside --want; give one of the two"),
        (("--saw", "purple"), 'is nothing that can be seen; say it like falls_shut=no or "will not fall shut"'),
        (
            ("--saw", "too hard", "--saw", "rattles"),
            "too stiff and rattles closed are two symptoms; give one",
        ),
        (("--saw", "falls_shut=perhaps"), "give yes, no or sometimes"),
        (("--reading", "breakout_force=9"), "breakout_force"),
        (("--figure", "map.jpg"), "must end in .png, .svg or .pdf"),
    ],
)
def test_bad_words_are_one_clear_sentence(run, build, words, said):
    status, out, err = run(build(), *words)
    assert (status, out) == (2, "")
    assert said in err
    assert err.count("\n") == 1
    assert "Traceback" not in err


def test_no_build_and_no_target_are_one_clear_sentence(run, build):
    status, out, err = run()
    assert (status, out, err.count("\n")) == (2, "", 1)
    assert "advise needs a build file of your own, such as mine.toml" in err
    path = build()
    text = path.read_text(encoding="utf-8")
    path.write_text(re.sub(r"(?ms)^\[target\].*?(?=^\[|\Z)", "", text), encoding="utf-8")
    status, out, err = run(path)
    assert (status, out, err.count("\n")) == (2, "", 1)
    assert err.startswith("target: is missing; write [target] with breakout_force")
    status, out, err = run(path.with_name("nowhere.toml"))
    assert (status, out) == (2, "")
    assert "there is no such file" in err


def test_the_template_is_a_build_to_advise_on(run, tmp_path):
    path = tmp_path / "new.toml"
    assert main(["new", str(path)]) == 0
    assert run(path)[0] == 0
    assert files("detentsim").is_dir()


@pytest.mark.slow
def test_a_build_is_led_to_feel_like_another(run, build):
    """A sibling bent less: bending it back gives the other's breakout and drag, within half a hand-step."""
    mine, other = build({"bar.bend": "2 mm"}), build(name="other.toml")
    found = json.loads(run(mine, "--like", other, "--json")[1])
    goal = ds.curve(ds.Build.read(other))
    wanted = {aim["name"]: aim for aim in found["wanted"]}
    assert set(wanted) == {"breakout_force", "drag_force", "falls_shut"}
    for name in ("breakout_force", "drag_force"):
        low, high = wanted[name]["at_least"], wanted[name]["at_most"]
        assert (low, high) == (pytest.approx(0.95 * goal.results[name]), pytest.approx(1.05 * goal.results[name]))
        assert low <= found["proposals"][0]["results"][name]["value"] <= high
    bent = next(p for p in found["proposals"] if p["moves"] == ["bend in"])
    assert float(bent["changes"]["bar.bend"].split()[0]) == pytest.approx(2.3, abs=0.02)
    status, _, err = run(mine, "--like", other, "--want", "lighter")
    assert status == 2
    assert "stands beside --want" in err


@pytest.mark.slow
def test_a_symptom_is_cured_beside_the_builds_own_target(run, build):
    """Falling shut must not cost the wanted breakout, where anything keeps both; else it says what is left aside."""
    mine = build({"bar.bend": "2.6 mm"}, 'breakout_force = { at_least = "9 N", at_most = "13 N" }')
    out = " ".join(run(mine, "--symptom", "will not fall shut")[1].split())
    assert "Wanted: falls shut: yes; breakout 9 to 13 N." in out
    assert "left aside" not in out
    mine = build({"bar.bend": "2.6 mm"}, 'breakout_force = { at_least = "60 N" }')
    assert "left aside: breakout" in " ".join(run(mine, "--symptom", "will not fall shut")[1].split())


def test_the_build_to_feel_like_is_not_written_over(run, build):
    mine, other = build({"bar.bend": "2 mm"}), build(name="other.txt")
    before = other.read_bytes()
    status, _, err = run(mine, "--like", other, "-o", other)
    assert status == 2
    assert "read by this command" in err
    assert other.read_bytes() == before


def test_a_symptom_without_a_map_says_so(run, build, tmp_path):
    figure = tmp_path / "map.png"
    status, _, err = run(build(), "--symptom", "two clicks", "--figure", figure)
    assert status == 2
    assert "there is no map for two clicks" in err
    assert not figure.exists()
