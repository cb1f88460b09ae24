"""Measured curves read from tables: units, marks, runs, files, and everything that can be wrong with them."""

import os

import numpy as np
import pytest
from helpers.garden import GARDEN_TEXT
from helpers.gauges import DEGREES, NEWTONS, table

import detentsim as ds
from detentsim.knife.checks.problems import BuildError
from detentsim.knife.measured.heading import MOST_PROBLEMS
from detentsim.knife.measured.measured import LARGEST, Measured
from detentsim.knife.measured.table import FEWEST, MOST_ROWS, MOST_RUNS
from detentsim.units.errors import InputError

ANGLE = np.array([0.0, 0.3, 1.0, 3.0, 6.0, 9.0])
FORCE = np.array([5.5, 9.8, 6.0, 3.0, 0.7, 0.66])
ROWS = "".join(f"{x},{y}\n" for x, y in zip(ANGLE, FORCE, strict=True))
GOOD = "angle_deg,force_N\n" + ROWS


def refused(text):
    """What is said of a table, line by line; each line is one sentence that names the file."""
    with pytest.raises(BuildError) as caught:
        Measured.from_text(text, "pull.csv")
    lines = str(caught.value).splitlines()
    assert all(line.startswith("pull.csv:") for line in lines)
    assert len(lines) == len(caught.value.problems)
    return lines


def holds(measured, angle=ANGLE, force=FORCE):
    assert [np.allclose(np.degrees(run.angle), angle, rtol=1e-7) for run in measured.runs] == [True] * len(
        measured.runs
    )
    assert all(np.allclose(run.force, force, rtol=1e-7) for run in measured.runs)
    return True


# ---------------------------------------------------------------- what is read


@pytest.mark.parametrize("mark", [",", ";", "\t"])
@pytest.mark.parametrize("unit", NEWTONS)
def test_units_and_marks(unit, mark):
    assert holds(Measured.from_text(table([(ANGLE, FORCE)], unit, mark=mark)))


@pytest.mark.parametrize("mark", [";", "\t"])
def test_decimal_commas_where_commas_do_not_separate(mark):
    assert holds(Measured.from_text(GOOD.replace(",", mark).replace(".", ",")))


@pytest.mark.parametrize("unit", DEGREES)
def test_angle_units(unit):
    assert holds(Measured.from_text(table([(ANGLE, FORCE)], angle_unit=unit)))


@pytest.mark.parametrize(
    "heading",
    [
        "angle_deg, force_N",
        "angle (deg), force (N)",
        "blade angle [deg], force [N]",
        "Angle deg, Force at opener N",
        '"blade angle (deg)","push [N]"',
        "theta [deg], F [N]",
        "blade_angle_deg,opening_force_N",
    ],
)
def test_headings(heading):
    assert holds(Measured.from_text(f"{heading}\n{ROWS}"))


def test_order_of_columns_is_free():
    rows = "".join(f"{y},{x}\n" for x, y in zip(ANGLE, FORCE, strict=True))
    assert holds(Measured.from_text("force_N,angle_deg\n" + rows))


def test_mark_remarks_blank_lines_and_foreign_line_ends():
    text = "\ufeff# made on the bench\r\n\r\n" + GOOD.replace("\n", ",,\r\n") + "\r\n,,\r\n"
    assert holds(Measured.from_text(text))


def test_other_columns_are_named_and_left():
    rows = "".join(f"{i},{x},{y},steady\n" for i, (x, y) in enumerate(zip(ANGLE, FORCE, strict=True)))
    measured = Measured.from_text("time [s],angle_deg,force_N,note\n" + rows)
    assert holds(measured)
    assert measured.unused == ("time [s]", "note")


def test_runs_by_a_column_by_columns_and_by_both():
    text = "angle_deg,force_N,run\n" + "".join(
        f"{x},{y},{r}\n" for r in "AB" for x, y in zip(ANGLE, FORCE, strict=True)
    )
    assert [run.name for run in Measured.from_text(text).runs] == ["run A", "run B"]
    pairs = "".join(f"{x},{y},{2 * y}\n" for x, y in zip(ANGLE, FORCE, strict=True))
    one, two = Measured.from_text("angle_deg,force_N,force 2 [N]\n" + pairs).runs
    assert np.array_equal(two.force, 2 * one.force)
    both = "".join(f"{x},{y},{y},{r}\n" for r in "AB" for x, y in zip(ANGLE, FORCE, strict=True))
    assert len(Measured.from_text("angle_deg,force_N,push_N,run\n" + both).runs) == 4


def test_runs_of_different_length():
    text = "angle_deg,force_N,force_N\n0,,1\n1,5,2\n2,4,2\n3,3,2\n4,2,2\n5,2,\n"
    one, two = Measured.from_text(text).runs
    assert np.degrees(one.angle) == pytest.approx([1, 2, 3, 4, 5])
    assert np.degrees(two.angle) == pytest.approx([0, 1, 2, 3, 4])


def test_signs_and_exponents():
    text = GOOD.replace("9.8", "+.98e1").replace("0.0,5.5", "-1e-1,\N{MINUS SIGN}0.5")
    run = Measured.from_text(text).runs[0]
    assert run.force[:2] == pytest.approx([-0.5, 9.8])
    assert np.degrees(run.angle[0]) == pytest.approx(-0.1)


def test_jitter_of_the_angle_is_put_in_order():
    swapped = GOOD.replace("3.0,3.0\n", "3.05,3.0\n3.0,3.1\n")
    run = Measured.from_text(swapped).runs[0]
    assert np.all(np.diff(run.angle) >= 0)
    assert run.force[3:5] == pytest.approx([3.1, 3.0])


def test_several_files(tmp_path):
    for name in ("one", "two"):
        (tmp_path / f"{name}.csv").write_text(GOOD)
    measured = ds.Measured.read(tmp_path / "one.csv", str(tmp_path / "two.csv"))
    assert holds(measured)
    assert [run.name for run in measured.runs] == ["one run 1", "two run 1"]
    assert (measured.name, repr(measured)) == ("one, two", "<Measured 'one, two': 2 runs, 12 readings>")
    angle, force = measured.as_quantities()[1]
    assert f"{angle.units:~}" == "deg"
    assert force.magnitude.max() == 9.8


# ---------------------------------------------------------------- what is wrong


@pytest.mark.parametrize(
    ("cell", "word"),
    [
        ("nan", "is not a finite number"),
        ("NaN", "is not a finite number"),
        ("inf", "is not a finite number"),
        ("-Infinity", "is not a finite number"),
        ("1e999", "is too large"),
        ("9" * 400, "is no plain number"),
        ("four", "is no number; write one such as 4.2"),
        ("=1+1", "is no number"),
        ("9.8 N", "with its unit in the heading alone"),
        ("1/2", "is no plain number"),
        ("1.2.3", "is no plain number"),
        ("5000", "is too large; at most 1000 N"),
        ("0x10", "is no plain number"),
        ("1_000", "is no plain number"),
        ("\u0663", "is no number"),
    ],
)
def test_bad_cells(cell, word):
    lines = refused(GOOD.replace("9.8", cell))
    assert len(lines) == 1
    assert lines[0].startswith("pull.csv:3: force_N: ")
    assert word in lines[0]
    assert len(lines[0]) < 200


@pytest.mark.parametrize(
    ("text", "line"),
    [
        ("", "pull.csv: is empty; give a heading"),
        ("\n\n# nothing\n", "pull.csv: is empty; give a heading"),
        ("angle_deg,force_N\n", "pull.csv:1: has a heading and no readings"),
        ("angle_deg,force_N\n1,2\n", "pull.csv:2: run 1: has 1 reading; a run needs at least 5"),
        (ROWS, "pull.csv:1: has no heading with units"),
        ("angle,force_N\n" + ROWS, "pull.csv:1: angle: the heading has no unit; write it like angle_deg"),
        ("angle_deg,force\n" + ROWS, "pull.csv:1: force: the heading has no unit; write it like force_N"),
        ("angle_deg,force_lb\n" + ROWS, "force_lb: the heading has the mass unit lb where a force belongs; write lbf"),
        ("angle_N,force_N\n" + ROWS, "angle_N: the heading has the unit N, which is a force, not an angle"),
        ("angle_deg,force_Newton\n" + ROWS, "force_Newton: the heading has the unknown unit Newton"),
        ("angle_deg\n0\n1\n", "pull.csv:1: has no column of the force at the opener"),
        ("force_N\n0\n1\n", "pull.csv:1: has no column of the blade angle"),
        ("angle_deg,angle_rad,force_N\n" + ROWS, "pull.csv:1: has 2 columns of angle; keep one"),
        (GOOD + ",4\n", "pull.csv:8: angle_deg: is empty"),
        (GOOD.replace("0.3,9.8", "0.3,"), "pull.csv:3: run 1: the force is empty between two readings"),
        (GOOD.replace("0.3,9.8", "0,3,9,8"), "pull.csv:3: has 4 cells where the heading has 2; write decimals with a"),
        (GOOD.replace("0.3,9.8", "0.3,9.8,7"), "pull.csv:3: has 3 cells where the heading has 2; give one for each"),
        (GOOD.replace(",", ";").replace("9.8", "1,234"), 'pull.csv:3: force_N: "1,234" has a comma; write decimals'),
        ("angle_deg,force_N\n" + "2,3\n" * 9, "pull.csv:2: run 1: its angle never changes"),
        ("angle_deg,force_N\n" + "".join(f"{9 - i},{i}\n" for i in range(9)), "its angles fall: a closing run?"),
        (GOOD + "3,-1\n0,-2\n0,-3\n", "pull.csv:8: run 1: the angle turns back here"),
        (GOOD + ROWS, "pull.csv:8: run 1: the angle turns back here; give opening runs alone, told apart by a column"),
        ("angle_deg,force_N\n" + "".join(f"{i},-{i}\n" for i in range(9)), "no force is above zero"),
        (GOOD.replace("9.0,", "900,"), "angle_deg: \"900\" is too large; at most 360 deg"),
        ("angle_deg,force_N,run\n" + "0,1,\n", "pull.csv:2: run: is empty; name the run"),
    ],
)  # fmt: skip
def test_bad_tables(text, line):
    assert any(line in said for said in refused(text)), refused(text)


def test_all_problems_at_once_and_not_too_many():
    lines = refused("angle_deg,force_N\n" + "x,y\n" * 40)
    assert len(lines) == MOST_PROBLEMS + 1
    assert lines[0].startswith("pull.csv:2: angle_deg: ")
    assert lines[1].startswith("pull.csv:2: force_N: ")
    assert lines[-1] == "pull.csv: and 60 more problems like these"


def test_limits_of_size():
    assert "rows; thin them out" in refused("angle_deg,force_N\n" + "1,2\n" * (MOST_ROWS + 1))[0]
    assert "columns; give" in refused(",".join(["force_N"] * 100) + "\n1\n")[0]
    many = "angle_deg,force_N,run\n" + "".join(f"1,2,{i}\n" for i in range(MOST_RUNS + 1))
    assert f"has {MOST_RUNS + 1} runs" in refused(many)[0]
    enough = "angle_deg,force_N\n" + "".join(f"{i},2\n" for i in range(FEWEST))
    assert Measured.from_text(enough).runs[0].angle.size == FEWEST


# Texts so long that a pattern whose time grows with the square of the length would not end: no clock is needed.


@pytest.mark.parametrize("mark", [" ", "_", "[", "(", "a_"])
def test_long_headings_are_refused_at_once(mark):
    assert "has a heading of" in refused("angle_deg,force" + mark * 500_000 + "x\n" + ROWS)[0]


def test_long_cells_are_refused_at_once():
    assert "is no plain number" in refused("angle_deg,force_N\n1," + "1" * 1_000_000 + "x\n" + ROWS)[0]


def test_a_build_file_given_as_a_table_is_named_as_one():
    assert "is a build file and no table of readings" in refused(GARDEN_TEXT)[0]
    assert "is a build file and no table of readings" in refused("[bar] # cut\nwidth = '8 mm'\n")[0]


def test_a_table_given_as_a_build_points_to_compare(tmp_path):
    (tmp_path / "pull.csv").write_text("# a pull\n" + GOOD)
    with pytest.raises(BuildError, match=r"is a table and no build file.*detentsim compare mine\.toml pull\.csv"):
        ds.Build.read(tmp_path / "pull.csv")


@pytest.mark.parametrize("line", ["a." * 100_000 + "= 1", ("x" * 1999 + "\n") * 100, 'x = "' + '\\"' * 100_000])
def test_hostile_build_files_are_refused_at_once(line):
    with pytest.raises(BuildError):
        ds.Build.loads(GARDEN_TEXT + line)


@pytest.mark.slow
def test_the_largest_table_is_read():
    angle = np.linspace(0, 12, MOST_ROWS)
    assert Measured.from_text(table([(angle, 5 + 0 * angle)])).runs[0].angle.size == MOST_ROWS


@pytest.mark.parametrize(
    "text",
    ['"' * 5001, '"a\n"b"', "\0", ",;\t" * 100, 'angle_deg,force_N\n"1,2\n3', "(" * 70, "a" * 200_000, "_deg,_N\n1,2"],
)
def test_hostile_text_is_refused_in_words(text):
    for line in refused(text):
        assert len(line) < 250
        assert line.isprintable()


def test_files_that_are_none(tmp_path):
    def said(*paths):
        with pytest.raises(InputError) as caught:
            Measured.read(*paths)
        return str(caught.value)

    assert "there is no such file" in said(tmp_path / "none.csv")
    assert "is a folder" in said(tmp_path)
    for name, content, words in (
        ("binary.csv", b"\x89PNG\0\0", "is not a text file"),
        ("latin.csv", "angle_deg,force_N\n1,2 \u00b0".encode("latin-1"), "is not UTF-8 text (line 2)"),
        ("wide.csv", "angle_deg".encode("utf-16"), "is saved as UTF-16"),
        ("huge.csv", b"1" * (LARGEST + 1), "is larger than 4 MB"),
        ("empty.csv", b"", "is empty"),
    ):
        path = tmp_path / name
        path.write_bytes(content)
        assert said(path).startswith(f"{path}: {words}")
    os.mkfifo(tmp_path / "pipe.csv")
    assert "is not a plain file" in said(tmp_path / "pipe.csv")
    assert "not a usable file name" in said("a\0b.csv")
    assert "names no file" in said()
    assert "is no file name" in said(3)
    # of two bad files, both are told
    assert len(said(tmp_path / "none.csv", tmp_path / "empty.csv").splitlines()) == 2
    with pytest.raises(InputError, match="is no text of a table"):
        Measured.from_text(3)
