"""Readings of one knife: names, units, repeats, errors, truths; from a mapping and from a file."""

import math
import statistics

import pytest

import detentsim as ds
from detentsim.knife.measured.reading_file import parse_readings, read_readings
from detentsim.knife.measured.readings import from_mapping
from detentsim.knife.measured.tools import SIGHTS, readable_results, sight_words, tool

FILE = """
# the second knife
[[reading]]
what = "lift_force_open"
values = ["6.2 N", "6.6 N", "6.4 N"]
error = "0.05 N"
note = "spring scale"

[[reading]]
what = "bar.thickness"
value = "0.118 in"

[[saw]]
what = "falls_shut"
is = "sometimes"
"""


def only(mapping):
    return from_mapping(mapping).taken[0]


def refusal(mapping):
    with pytest.raises(ds.BuildError) as caught:
        from_mapping(mapping)
    text = str(caught.value)
    assert "\n" not in text
    return text


def test_a_text_gets_the_error_of_its_tool():
    read = only({"breakout_force": "2 lbf"})
    newtons = 2 * 4.4482216152605  # one pound-force, by definition
    assert read.value == pytest.approx(newtons, rel=1e-12)
    assert read.error == pytest.approx(math.hypot(0.1, 0.03 * newtons))


def test_inputs_are_read_in_si_and_calipers_have_their_error():
    read = only({"bar.thickness": "2.9 mm"})
    assert read.value == pytest.approx(2.9e-3)
    assert read.error == pytest.approx(0.02e-3 / math.sqrt(3), rel=0.05)  # ISO 13385-1, uniform, from memory


def test_repeats_give_mean_and_standard_error_but_no_less_than_the_tool():
    repeats = [8.0, 11.0, 9.5, 10.5]
    read = only({"breakout_force": [f"{force} N" for force in repeats]})
    assert read.value == pytest.approx(statistics.mean(repeats))
    assert read.error == pytest.approx(statistics.stdev(repeats) / 2)
    alike = only({"breakout_force": ["9.5 N"] * 50})
    assert alike.error == pytest.approx(tool("breakout_force").error(9.5))


def test_pairs_give_their_own_error_and_quantities_will_do():
    build = ds.demo()
    assert only({"lift_force_open": ("6.4 N", "0.2 N")}).error == 0.2
    assert only({"bar.thickness": build["bar.thickness"].quantity}).value == build.si("bar.thickness")
    assert only({"friction.ball_on_tang": (0.11, 0.02)}).error == 0.02


def test_a_measured_stiffness_is_one_reading_whatever_its_name():
    assert only({"bar.stiffness": "9 N/mm"}) == only({"bar_stiffness": "9 N/mm"})
    assert "read twice" in refusal({"bar.stiffness": "9 N/mm", "bar_stiffness": "9 N/mm"})


@pytest.mark.parametrize(
    ("mapping", "words"),
    [
        ({"lift_force_opne": "6.4 N"}, "did you mean lift_force_open"),
        ({"preload": "6.4 N"}, "cannot be read with a shop tool"),
        ({"bar.material": "Ti-6Al-4V"}, "is a word"),
        ({"lift_force_open": 6.4}, "has no unit"),
        ({"lift_force_open": "6.4"}, "has no unit"),
        ({"lift_force_open": "6.4 mm"}, "6.4 mm"),
        ({"lift_force_open": "nan N"}, "nan N"),
        ({"lift_force_open": math.nan}, "has no unit"),
        ({"lift_force_open": "-6.4 N"}, "below zero"),
        ({"lift_force_open": ("6.4 N", "-0.2 N")}, "not above zero"),
        ({"lift_force_open": ("6.4 N", "0 N")}, "not above zero"),
        ({"lift_force_open": ("6.4 N", 0.2)}, "has no unit"),
        ({"lift_force_open": ("6.4 N", "0.2 N", "0.1 N")}, "3 parts"),
        ({"lift_force_open": []}, "has 0 values"),
        ({"lift_force_open": None}, "nothing"),
        ({"lift_force_open": True}, "true"),
        ({"falls_shut": "yes"}, '"sometimes"'),
        ({"falls_shut": 1}, '"sometimes"'),
        ({"friction.ball_on_tang": 0.11}, "no usual error"),
        ({"bar.thickness": "900 mm"}, "above what it can be"),
        ({"bar.measured.pull": "3 N"}, "bar_stiffness"),
        ({3: "3 N"}, "3 is no reading"),
    ],
)
def test_wrong_readings_get_one_sentence(mapping, words):
    assert words in refusal(mapping)


def test_all_wrong_readings_come_together():
    with pytest.raises(ds.BuildError) as caught:
        from_mapping({"lift_force_open": 6.4, "drag_force": "2 mm", "falls_shut": 0.5})
    assert [problem.key for problem in caught.value.problems] == [
        "readings.lift_force_open",
        "readings.drag_force",
        "readings.falls_shut",
    ]


def test_a_file_says_the_same_as_a_mapping():
    found = parse_readings(FILE)
    again = from_mapping({"bar.thickness": "0.118 in", "falls_shut": "sometimes"})
    assert found.taken[1] == again.taken[0]
    assert found.saw == again.saw
    assert found.taken[0].error == pytest.approx(statistics.stdev([6.2, 6.6, 6.4]) / math.sqrt(3))


@pytest.mark.parametrize(
    ("text", "line", "words"),
    [
        (FILE.replace("lift_force_open", "lift"), 3, "is no reading"),
        (FILE.replace('"0.118 in"', "3.0"), 9, "has no unit"),
        (FILE.replace('value = "0.118 in"', ""), 9, "has no value"),
        (FILE.replace('value = "0.118 in"', 'value = "3 mm"\nvalues = ["3 mm"]'), 9, "both value and values"),
        (FILE.replace('value = "0.118 in"', 'value = ["3 mm", "3.1 mm"]'), 9, "repeats stand in values ="),
        (FILE.replace("error", "errors"), 3, "did you mean error"),
        (FILE.replace('is = "sometimes"', ""), 13, "does not say what was seen; give true, false"),
        (FILE.replace("saw", "seen"), 13, "is no part of a readings file"),
        (FILE.replace("[[saw]]", "[[reading]]").replace("is =", "value ="), 13, "belongs under [[saw]]"),
        (FILE.replace("[[reading]]", "[reading]", 1).replace("[[reading]]", "[other]"), 3, "not a list of entries"),
        (FILE.replace('"6.2 N",', "6.2 N,"), 5, "is not valid TOML"),
        ("curve = 3\n" + FILE, 1, "no file name"),
    ],
)
def test_wrong_files_are_told_with_their_line(text, line, words):
    with pytest.raises(ds.BuildError) as caught:
        parse_readings(text, "second.toml")
    assert words in str(caught.value)
    assert str(caught.value).startswith(f"second.toml:{line}: ")


@pytest.mark.parametrize("text", ["", "# nothing yet\n"])
def test_a_file_without_readings_says_so(text, tmp_path):
    path = tmp_path / "empty.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(ds.BuildError, match="gives no reading; write"):
        read_readings(path)


def test_a_curve_stands_beside_the_file(tmp_path):
    rows = "angle_deg, force_N\n0, 5\n1, 9\n2, 4\n5, 2\n9, 2\n"
    (tmp_path / "pull.csv").write_text(rows, encoding="utf-8")
    path = tmp_path / "second.toml"
    path.write_text('curve = "pull.csv"\n', encoding="utf-8")
    assert read_readings(path).curve.runs[0].force.max() == 9
    path.write_text('curve = "push.csv"\n', encoding="utf-8")
    with pytest.raises(ds.BuildError, match=r"push.csv: there is no such file"):
        read_readings(str(path))


def test_a_sighting_given_both_ways_is_told_and_one_given_twice_counts_once(tmp_path):
    path, shuts = tmp_path / "seen.toml", '[[saw]]\nwhat = "falls_shut"\nis = true\n'
    path.write_text(shuts * 2)
    assert len(read_readings(path).saw) == 1
    path.write_text(shuts + shuts.replace("true", "false"))
    with pytest.raises(ds.BuildError, match=r'saw\.falls_shut: is seen both ways; keep one, or say "sometimes"'):
        read_readings(path)


@pytest.mark.parametrize("given", [3, None, ["lift_force_open"], b"x"])
def test_what_is_neither_file_nor_mapping_is_refused(given):
    with pytest.raises(ds.InputError, match="neither a file nor a mapping"):
        read_readings(given)


def test_missing_binary_and_huge_files_are_refused(tmp_path):
    for content, words in ((b"\0\1", "not a text file"), (b"#" * 300_000, "larger than"), (b"\xff", "not UTF-8")):
        path = tmp_path / "odd.toml"
        path.write_bytes(content)
        with pytest.raises(ds.BuildError, match=words):
            read_readings(path)
    with pytest.raises(ds.BuildError, match="no such file"):
        read_readings(tmp_path / "missing.toml")


def test_every_tool_says_how_and_where_its_error_comes_from():
    for what in readable_results():
        assert tool(what).how
        assert tool(what).source
        assert tool(what).error(10.0) > 0
    assert all(sight_words(what) for what in SIGHTS)
