"""`detentsim motion` as a newcomer meets it, right input and wrong, and what its report says."""

import re
from functools import partial

import pytest
from helpers.garden import GARDEN_FILE, garden
from helpers.strict_json import strict

import detentsim as ds
from detentsim.mechanics.names import MOTION_NAMES
from detentsim.show.one_build.motion.report import motion_document, motion_report
from detentsim.show.theme.tables import to_json
from detentsim.units.numbers import two_digits


@pytest.fixture
def run(run):
    return partial(run, "motion")


def said(changes):
    """A report in one line, so that it may be searched whatever its breaks."""
    m = ds.motion(ds.demo().change(changes))
    text = motion_report(m, full=True)
    assert all(len(line) <= 96 for line in text.splitlines())
    _, below = text.split("\n\n", 1)  # the verdict says "None." in plain English
    assert not re.search(r"\b(nan|inf)\b", text)
    assert "None" not in below
    return m, " ".join(text.split())


def test_the_demo_flies_open_and_falls_shut(run):
    status, out, err = run()
    assert (status, err) == (0, "")
    assert out.startswith("No build file given: this is the packaged demo")
    assert "It flies open" in out
    assert "falls shut" in out
    assert "no legal advice" in out


def test_json_is_one_document(run):
    found = strict(run("--json")[1])
    assert set(found) == {
        "build", "demo", "verdict", "results", "flags", "assumed", "opening", "holding", "burr", "attitudes",
        "all_round", "staying", "blade", "path", "target", "words",
    }  # fmt: skip
    assert set(found["results"]) == set(MOTION_NAMES)
    assert found["results"]["opens_fully"] is True
    assert found["results"]["stall_angle"] == {"value": None, "unit": "deg", "why": "opens fully"}
    path = found["path"]
    assert path["blade_angle_deg"] == sorted(path["blade_angle_deg"])
    assert path["left_mJ"][-1] == pytest.approx(found["results"]["arrival_energy"]["value"], rel=1e-9)
    for put_in, spent, left in zip(path["finger_mJ"], path["spent_mJ"], path["left_mJ"], strict=True):
        assert put_in - spent == pytest.approx(left, abs=1e-9)


@pytest.mark.slow
def test_the_short_report_has_the_verdict_first_and_fits_a_page(run):
    """Forty lines at the most, the verdict of every command on top, and the law named once."""
    lines = run()[1].splitlines()
    assert lines[1:4] == [ds.demo().name, ds.motion(ds.demo()).summary.words, "  Warnings    None."]
    assert len(lines) <= 40
    assert sum("15 U.S.C." in line for line in lines) == 1
    assert "inertia" not in " ".join(lines)
    assert len(run("--full")[1].splitlines()) > len(lines)


@pytest.mark.slow
def test_inches_are_inches_throughout(run):
    """A report in inches holds no metric unit but that of what was typed, and says the same."""
    text = run(GARDEN_FILE, "--units", "inch", "--full")[1]
    below = text.split("\n\n", 1)[1].replace("kg*mm**2", "")
    assert not re.search(r"\d (mm|N|mJ|m/s|g)\b|\[(mm|mJ|m/s)\]", below)
    m = ds.motion(garden())
    assert f"{two_digits(m.staying.torque / 7.061552)} ozf*in on the blade opens it" in " ".join(
        text.split()
    )  # 1 ozf*in, N*mm


@pytest.mark.slow
def test_outputs_are_files(run, tmp_path):
    report, figure = tmp_path / "motion.txt", tmp_path / "motion.png"
    status, out, _ = run("-o", report, "--figure", figure)
    assert status == 0
    assert report.read_text(encoding="utf-8") == f"{out}\nWritten by detentsim.\n"
    assert "Taken for the blade" in out  # a file always holds the whole
    assert figure.read_bytes().startswith(b"\x89PNG")


@pytest.mark.slow
@pytest.mark.parametrize(
    ("changes", "stall", "words"),
    [
        (
            {"friction.ball_on_tang": 0.3, "finger.speed_limit": "0.6 m/s"},
            "coasted out",
            "A flick of the wrist must",
        ),
        ({"finger.effort": 0.9}, "finger too weak", "The finger never overcomes the detent"),
        ({"opener.leaves_at": "0 deg"}, "finger leaves first", "leaves the finger before the blade is out"),
        ({"tang.face_gap": "3 mm"}, "no breakout", "Nothing holds the blade shut but its pivot's friction"),
        ({"pivot.friction_torque": "200 N*mm"}, "coasted out", "no finger gives that"),
        ({"attitude.down_angle": "170 deg"}, "", "However low the breakout"),
        ({"blade.mass": None, "blade.balance_radius": None}, "", "Falling shut: not known"),
        ({"attitude.close_from": "3 deg"}, "", "Let go at 3 deg, it falls shut"),
        ({"friction.ball_on_tang": 1.3}, "no breakout", "the ball locks solid"),
    ],
)
def test_what_happens_is_said_in_words(changes, stall, words):
    m, text = said(changes)
    assert m.opening.stall == stall
    assert words in text
    document = strict(to_json(motion_document(m)))
    for name in MOTION_NAMES:
        found = document["results"][name]
        assert isinstance(found, bool) or (found["value"] is None) == ("why" in found)
    assert "<tr>" in m._repr_html_()
    assert repr(m).startswith("<Motion of ")


def test_a_blade_without_inertia_is_asked_for_it(run, tmp_path):
    path = tmp_path / "mine.toml"
    path.write_text(ds.demo().change({"blade.inertia": None}).text, encoding="utf-8")
    status, out, err = run(path)
    assert (status, out) == (2, "")
    assert err.count("\n") == 1
    assert "blade.inertia" in err
    assert 'pendulum_period = "0.42 s"' in err
    path.write_text(
        ds.demo().change({"blade.inertia": None, "blade.mass": None, "blade.pendulum_period": "0.4 s"}).text
    )
    assert "blade.pendulum_period: needs blade.mass beside it" in run(path)[2]


@pytest.mark.parametrize(
    ("changes", "key", "says"),
    [
        ({"blade.pendulum_period": "0.4 s"}, "blade.pendulum_period", "is given together with blade.inertia"),
        ({"blade.pendulum_period": 0.4, "blade.inertia": None}, "blade.pendulum_period", "unit"),
        ({"blade.length": "80 mm"}, "blade.root_width", "is missing"),
        (
            {"blade.length": "80 mm", "blade.root_width": "5 mm", "blade.tip_width": "9 mm", "blade.thickness": "3 mm"},
            "blade.tip_width",
            "is wider than at the pivot",
        ),
        ({"blade.grind": 1.4}, "blade.grind", "1.4"),
    ],
)
def test_blade_data_that_cannot_be_are_refused(changes, key, says):
    with pytest.raises(ds.InputError) as caught:
        ds.demo().change(changes)
    lines = [line for line in str(caught.value).splitlines() if line.startswith(f"{key}:")]
    assert len(lines) == 1
    assert says in lines[0]


def test_motion_results_by_name_in_a_sweep_ask_for_what_they_need():
    bare = ds.demo().change({"blade.mass": None, "blade.inertia": None})
    with pytest.raises(ds.InputError, match=r"of: carry_g needs blade.mass, such as") as caught:
        ds.sweep(bare, {"bar.bend": ["2 mm"]}, of=["opens_fully", "carry_g"])
    assert "opens_fully needs blade.inertia" in str(caught.value)
    floating = ds.sweep(ds.demo(), {"tang.face_gap": ["20 thou", "3 mm"]}, of=["opens_fully", "carry_g"])
    assert floating["opens_fully"].tolist() == [True, False]


def test_a_motion_that_is_not_solved_is_one_sentence_and_bad_input(run, monkeypatch):
    monkeypatch.setattr("detentsim.mechanics.motion.swing.MOST_WORK", 10)
    status, out, err = run(GARDEN_FILE)
    assert (status, out) == (2, "")
    assert err.startswith("the blade's motion past ")
    assert err.count("\n") == 1
