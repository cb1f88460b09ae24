"""Build files whose values, keys or sections are wrong: each told with its line, all at once."""

import re

import pytest
from helpers.build_texts import told
from helpers.garden import GARDEN_TEXT

from detentsim.knife.checks.problems import BuildError
from detentsim.knife.model import Build
from detentsim.knife.table.schema import CURVE_SECTIONS, INPUTS


def with_line(key, value):
    """Return the build file with one key's value replaced, its line number beside it."""
    pattern = re.compile(rf"^{re.escape(key)} = [^#\n]*", re.MULTILINE)
    text, count = pattern.subn(lambda _: f"{key} = {value} ", GARDEN_TEXT)
    assert count == 1
    line = next(n for n, line in enumerate(text.split("\n"), 1) if line.startswith(f"{key} = {value}"[:40]))
    return text, line


# -- not a build ---------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("value", "says"),
    [
        ("3.0", "no unit"),
        ("3", "no unit"),
        ('"3"', "no unit"),
        ('"3 mm 4"', ""),
        ('"3,0 mm"', ""),
        ('"nan mm"', ""),
        ('"1e400 mm"', ""),
        ('"2**9999 mm"', ""),
        ('"3 N"', "N"),
        ('"3 kg"', "kg"),
        ("nan", ""),
        ("inf", ""),
        ("9" * 400, ""),
        ("true", ""),
        ("1979-05-27", ""),
        ("07:32:00", ""),
        ('["3 mm"]', "list"),
        ('{ a = "3 mm" }', "table"),
        ('""', ""),
        ('"' + "x" * 100_000 + '"', ""),
        ('"300 mm"', "out of range"),
        ('"-3 mm"', "out of range"),
        ('"\\u0000"', ""),
    ],
)
def test_bad_length(value, says):
    text, line = with_line("thickness", value)
    lines = told(text)
    assert len(lines) == 1
    assert lines[0].startswith(f"garden.toml:{line}: bar.thickness: ")
    assert says in lines[0]
    assert "mm" in lines[0]


@pytest.mark.parametrize(
    ("key", "value", "says"),
    [
        ("pilot_drill", "54", "#49"),
        ("pilot_drill", '"#99"', "#99"),
        ("pilot_drill", '"none"', "#49"),
        ("material", '"unobtainium"', ""),
        ("relief_side", '"top"', '"outer" or "inner" or "both"'),
        ("relief_side", "3", '"outer" or "inner" or "both"'),
        ("hand", '"rihgt"', "did you mean right"),
        ("name", "3", "text"),
        ("name", '"a\\nb"', "one line"),
        ("name", f'"{"n" * 300}"', "at most"),
        ("hardness", "60", "HRC"),
        ("hardness", '"60 HRB"', "HRC"),
        ("push_angle", "20", "deg"),
        ("push_angle", '"20 mm"', "angle"),
        ("point_angle", '"30 deg"', "60 deg to 170 deg"),
        ("overclose", "0.05", "length or an angle"),
        ("overclose", '"30 deg"', "-20 deg to 20 deg"),
        ("overclose", '"30 mm"', "-5 mm to 5 mm"),
        ("mass", '"24 lbf"', "mass"),
    ],
)
def test_bad_values_of_other_kinds(key, value, says):
    pattern = re.compile(rf"^{key} = [^#\n]*", re.MULTILINE)
    text = pattern.sub(lambda _: f"{key} = {value} ", GARDEN_TEXT, count=1)
    lines = told(text)
    assert len(lines) == 1
    assert re.match(rf"garden.toml:\d+: (\w+\.)?{key}: ", lines[0])
    assert says in lines[0]


@pytest.mark.parametrize(
    ("old", "new", "key", "says"),
    [
        ("width =", "widht =", "bar.widht", "did you mean width"),
        ("width =", "rim_feed =", "bar.rim_feed", "did you mean dimple.rim_feed"),
        ("hand =", "hnad =", "hnad", "did you mean hand"),
        ("hand =", "mass =", "mass", "belongs in [blade]"),
        ("[blade]", "[blades]", "blades", "did you mean blade"),
        ("[blade]", "[zzz]", "zzz", "sections are bar, ball"),
        ("[blade]", "[[blade]]", "blade", "without doubled brackets"),
        ("[blade]", "[bar.blade]", "bar.blade", "is no input"),
        ("hand =", f'"{"k" * 100_000}" =', "", "stands in no section"),
        ("hand =", '"a\\nb" =', "", "stands in no section"),
        ("bend =", 'measured = "3 N"\nbend =', "bar.measured", "measured = { pull"),
        ("bend =", 'measured.pul = "3 N"\nbend =', "bar.measured.pul", "did you mean"),
        ("hand =", '"bar.bend" = "9 mm"\nhand =', "bar.bend", "write it without quotes, or bend under [bar]"),
        ("bend =", '"measured.pull" = "3 N"\nbend =', "bar.measured.pull", "write measured = { pull"),
    ],
)
def test_unknown_keys_and_sections(old, new, key, says):
    lines = told(GARDEN_TEXT.replace(old, new, 1))
    assert any(re.search(rf"^garden.toml:\d+: {re.escape(key)}", line) and says in line for line in lines)


def test_a_tolerance_given_twice_is_told_whichever_way_it_is_written():
    lines = '[tolerance]\nbar.bend = { plus_minus = "0.1 mm" }\n"bar.bend" = { plus_minus = "0.3 mm" }\n'
    assert [line.split(": ", 1)[1] for line in told(GARDEN_TEXT + lines)] == [
        "tolerance.bar.bend: is given twice, with quotes and without; keep one"
    ]


def test_a_section_must_be_a_section():
    lines = told("bar = 3\ntarget = 4\ntolerance = [1]\nball = 'x'\n")
    assert [line.split(": ")[1] for line in lines] == ["bar", "target", "tolerance", "ball"]
    assert [int(line.split(":")[1]) for line in lines] == [1, 2, 3, 4]


def test_everything_wrong_at_once_with_lines():
    text = GARDEN_TEXT.replace('"3.0 mm"', "3.0").replace('width = "8 mm"', 'widht = "8 mm"')
    text = text.replace('"#53"', '"#99"').replace("[ball]", "[balls]").replace('radius = "15 mm"', "")
    found = {line.split(": ")[1]: line for line in told(text, needs=CURVE_SECTIONS)}
    lines = text.split("\n")
    for key, start in [
        ("bar.thickness", "thickness"),
        ("bar.widht", "widht"),
        ("bar.width", "[bar]"),
        ("balls", "[balls]"),
        ("dimple.rim_drill", "rim_drill"),
        ("opener.radius", "[opener]"),
    ]:
        number = int(found.pop(key).split(":")[1])
        assert lines[number - 1].startswith(start)
    assert list(found) == ["ball"]
    assert found["ball"].startswith("garden.toml: ball: the section [ball] is missing; it takes diameter = ")


def test_a_section_is_asked_for_by_who_needs_it():
    text = re.sub(r"\[opener\][^\[]*", "", GARDEN_TEXT)
    build = Build.loads(text, "garden.toml")
    assert build.opener.radius is None
    build.require("bar", "ball", "dimple", "tang")
    with pytest.raises(BuildError, match=r"^garden.toml: opener: the section \[opener\] is missing"):
        build.require(*CURVE_SECTIONS)
    assert "opener" in told(text, needs=CURVE_SECTIONS)[0]
    assert not build.has("opener")
    assert build.has("bar")


@pytest.mark.parametrize("name", [i.name for i in INPUTS.values() if i.required and i.name != "tang.face_gap"])
def test_each_required_input_is_missed(name):
    section, key = name.split(".")
    start = GARDEN_TEXT.index(f"[{section}]")
    text = GARDEN_TEXT[:start] + re.sub(rf"^{key} = .*\n", "", GARDEN_TEXT[start:], count=1, flags=re.MULTILINE)
    lines = told(text)
    assert any(f": {name}: is missing" in line for line in lines)


def test_line_numbers_survive_any_layout():
    text = (
        '# note\n\nname = """a"""\nbar.thickness = 3\nbar.width = """8\\\n   mm"""\n'
        'ball = { diameter = 1, material = "zirconia", protrusion = "25 thou" }\n[dimple]\nrim_feed = 2\n'
    )
    with pytest.raises(BuildError) as caught:
        Build.loads(text)
    numbers = {p.key: p.line for p in caught.value.problems}
    assert numbers["bar.thickness"] == 4
    assert numbers["ball.diameter"] == 7
    assert numbers["dimple.rim_feed"] == 9
    assert numbers["dimple.pilot_drill"] == 8


def test_long_file_with_a_fault_is_told_at_once():
    text = "# note\n" * 20_000 + "[bar]\nthickness = 3\nwidth = '''" + "\n" * 5_000 + "'''\n"
    assert any(line.startswith("garden.toml:20002: bar.thickness: 3 has no unit") for line in told(text))
