"""Build files: every way of being unreadable, problems with lines, edits that leave the rest alone."""

import os
import re
import stat
import sys
import tomllib

import numpy as np
import pytest
from helpers.garden import GARDEN_TEXT

from detentsim.knife.checks.problems import BuildError
from detentsim.knife.file.statements import flat
from detentsim.knife.file.text import LARGEST, read_text
from detentsim.knife.model import Build
from detentsim.knife.packaged import demo, template_text
from detentsim.knife.table.schema import CURVE_SECTIONS, INPUTS
from detentsim.units.errors import InputError

GARDEN = GARDEN_TEXT


def garden():
    """Return the build the tests change."""
    return Build.loads(GARDEN)


def told(text, needs=()):
    """Return the problems of a text, checked to be plain single lines."""
    with pytest.raises(BuildError) as caught:
        Build.loads(text, "garden.toml", needs)
    lines = str(caught.value).split("\n")
    assert len(lines) == len(caught.value.problems)
    assert all(line.startswith("garden.toml:") and len(line) < 500 and line.isprintable() for line in lines)
    return lines


def with_line(key, value):
    """Return the build file with one key's value replaced, its line number beside it."""
    pattern = re.compile(rf"^{re.escape(key)} = [^#\n]*", re.MULTILINE)
    text, count = pattern.subn(lambda _: f"{key} = {value} ", GARDEN)
    assert count == 1
    line = next(n for n, line in enumerate(text.split("\n"), 1) if line.startswith(f"{key} = {value}"[:40]))
    return text, line


# -- whole files ---------------------------------------------------------------------------------


def test_packaged_files_read_and_are_complete():
    build = demo()
    build.require(*CURVE_SECTIONS)
    assert build.demo
    assert build.change({"bar.width": "7 mm"}).demo
    assert build.name == "82 mm garden folder"
    template = Build.loads(template_text(), needs=CURVE_SECTIONS)
    assert not template.demo


def test_template_names_every_input():
    text = template_text()
    for name in INPUTS:
        key = name.split(".")[1] if "." in name else name
        assert re.search(rf"^(# )?{key} = ", text, re.MULTILINE), name


def test_every_optional_line_of_the_template_may_be_used():
    lines = template_text().split("\n")
    for number, line in enumerate(lines):
        if not re.match(r"# [\"\w.]+ = ", line):
            continue
        section = next(found for s in lines[number::-1] if (found := re.match(r"(?:# )?\[(\w+)\]", s)))
        alone = f"[{section[1]}]\n{line[2:]}\n"
        faults = ()
        try:
            Build.loads(alone)
        except BuildError as error:
            faults = error.problems
        # alone in its section a line may lack company, but it must be known and well formed
        lacks = ("is missing", "has no value to put a tolerance on", "needs a rim drill", "the bar has none")
        assert all(any(lack in p.message for lack in lacks) for p in faults), line


def test_file_read_like_text(tmp_path):
    path = tmp_path / "garden.toml"
    path.write_text(GARDEN, encoding="utf-8")
    build = Build.read(path)
    assert build.values == Build.loads(GARDEN).values
    assert build.source == str(path)
    assert Build.read(str(path)).name == build.name


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (b"", "is empty"),
        (b" \n\t\n", "is empty"),
        (bytes(range(256)), "not a text file"),
        (b"\x7fELF\x00\x01", "not a text file"),
        ('name = "caf\u00e9"'.encode("latin-1"), "not UTF-8"),
        ("\ufeff" + "name = 1").encode("utf-16") and (b"\xff\xfen\x00a\x00", "not a text file"),
        (b"#" * (LARGEST + 1), "larger than"),
    ],
)
def test_unreadable_contents(tmp_path, content, says):
    path = tmp_path / "odd.toml"
    path.write_bytes(content)
    with pytest.raises(BuildError, match=says) as caught:
        Build.read(path)
    assert str(caught.value).startswith(f"{path}: ")
    assert "\n" not in str(caught.value)


def test_missing_file_folder_and_strange_names(tmp_path):
    for path, says in [
        (tmp_path / "none.toml", "no such file"),
        (tmp_path, "is a folder"),
        (tmp_path / ("x" * 5000), "cannot be read"),
        (str(tmp_path) + "/a\0b", "cannot be read"),
    ]:
        with pytest.raises(BuildError, match=says):
            Build.read(path)


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no pipes here")
def test_a_pipe_is_not_waited_for(tmp_path):
    path = tmp_path / "pipe.toml"
    os.mkfifo(path)
    with pytest.raises(BuildError, match="not a plain file"):
        Build.read(path)


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() == 0, reason="root may read anything")
def test_no_permission(tmp_path):
    path = tmp_path / "mine.toml"
    path.write_text(GARDEN)
    path.chmod(0)
    with pytest.raises(BuildError, match="cannot be read"):
        Build.read(path)


def test_failing_read_is_told(tmp_path, monkeypatch):
    def refuse(*_args, **_kwargs):
        raise PermissionError(13, "Permission denied")

    path = tmp_path / "mine.toml"
    path.write_text(GARDEN)
    monkeypatch.setattr(type(path), "open", refuse)
    with pytest.raises(BuildError, match="cannot be read: Permission denied"):
        Build.read(path)


def test_byte_order_mark_and_windows_line_ends_are_fine(tmp_path):
    path = tmp_path / "win.toml"
    path.write_bytes(b"\xef\xbb\xbf" + GARDEN.replace("\n", "\r\n").encode())
    build = Build.read(path)
    assert build["bar.bend"] == garden()["bar.bend"]
    build.change({"bar.bend": "2 mm", "stop.radius": "9 mm", "bar.calibration": 1.1}).save()
    content = path.read_bytes()
    assert content.startswith(b"\xef\xbb\xbf# A build")
    assert content.count(b"\n") == content.count(b"\r\n") == GARDEN.count("\n") + 4
    assert Build.read(path)["stop.radius"].text == "9 mm"


# -- not TOML ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("key", "value", "quoted"),
    [
        ("protrusion", "25 thou", '"25 thou"'),
        ("protrusion", "25thou", '"25thou"'),
        ("pilot_drill", "#54", '"#54"'),
        ("diameter", "1/16 in", '"1/16 in"'),
        ("diameter", "1 1/16 in", '"1 1/16 in"'),
        ("material", "silicon nitride", '"silicon nitride"'),
    ],
)
def test_forgotten_quotes(key, value, quoted):
    text = f"[ball]\n# a note\n{key} = {value}   # another\nwidth = 3\n"
    assert told(text)[0] == (f"garden.toml:3: {key}: {value} stands without quotes; put quotes: {key} = {quoted}")


def test_all_forgotten_quotes_at_once():
    text = GARDEN.replace('"25 thou"', "25 thou").replace('"#54"', "#54").replace('"9 N"', "9 N")
    assert [line.split(": ")[1] for line in told(text)] == ["protrusion", "pilot_drill", "at_least"]


@pytest.mark.parametrize(
    ("text", "line", "says"),
    [
        ('[bar]\nwidth = "8 mm"\nwidth = "8 mm"\n', 3, "twice"),
        ('[bar]\nwidth = "8 mm"\n[bar]\n', 3, "twice"),
        ('[bar\nwidth = "8 mm"\n', 1, "not valid TOML"),
        ('[bar]\nwidth "8 mm"\n', 2, "not valid TOML"),
        ('[bar]\nwidth = "8 mm\n', 2, "not valid TOML"),
        ("[bar]\nwidth =\n", 2, "not valid TOML"),
        ('[bar]\nmeasured = { pull = "3 N"\n', 2, "not valid TOML"),
        ("hello", 1, "not valid TOML"),
        ("x = " + "9" * 5000, 1, "too many digits"),
    ],
)
def test_broken_toml_has_its_line(text, line, says):
    lines = told(text)
    assert len(lines) == 1
    assert lines[0].startswith(f"garden.toml:{line}: ")
    assert says in lines[0]


def test_brackets_without_end():
    limit = sys.getrecursionlimit()
    assert "nested" in told("x = " + "[" * limit * 5)[0]
    assert "nested" in told("x = " + "[" * limit * 5 + "]" * limit * 5)[0]


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
        ('{ a = "3 mm" }', "dict"),
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
    text = pattern.sub(lambda _: f"{key} = {value} ", GARDEN, count=1)
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
    ],
)
def test_unknown_keys_and_sections(old, new, key, says):
    lines = told(GARDEN.replace(old, new, 1))
    assert any(re.search(rf"^garden.toml:\d+: {re.escape(key)}", line) and says in line for line in lines)


def test_a_section_must_be_a_section():
    lines = told("bar = 3\ntarget = 4\ntolerance = [1]\nball = 'x'\n")
    assert [line.split(": ")[1] for line in lines] == ["bar", "target", "tolerance", "ball"]
    assert [int(line.split(":")[1]) for line in lines] == [1, 2, 3, 4]


def test_everything_wrong_at_once_with_lines():
    text = GARDEN.replace('"3.0 mm"', "3.0").replace('width = "8 mm"', 'widht = "8 mm"')
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
    text = re.sub(r"\[opener\][^\[]*", "", GARDEN)
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
    start = GARDEN.index(f"[{section}]")
    text = GARDEN[:start] + re.sub(rf"^{key} = .*\n", "", GARDEN[start:], count=1, flags=re.MULTILINE)
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


# -- edits ---------------------------------------------------------------------------------------


def test_only_the_value_changes():
    build = garden().change({"dimple.rim_feed": "0.12 mm", "bar.bend": "2.4 mm"})
    old, new = GARDEN.split("\n"), build.text.split("\n")
    changed = [(a, b) for a, b in zip(old, new, strict=True) if a != b]
    assert len(changed) == 2
    for a, b in changed:
        assert a.split("#")[1] == b.split("#")[1]
    assert garden().text == GARDEN


def test_new_keys_join_their_section_and_removed_ones_leave():
    build = garden().change({"bar.calibration": 1.1, "stop.radius": "9 mm", "blade.mass": None, "name": None})
    assert re.search(r"bend = \"1.6 mm\".*\ncalibration = 1.1\n\n\[ball\]", build.text)
    assert build.text.endswith('\n[stop]\nradius = "9 mm"\n')
    assert "mass =" not in build.text
    again = Build.loads(build.text)
    assert again.values == build.values
    assert again.name == "text"


LAYOUTS = [
    'ball = { diameter = "1/16 in", material = "zirconia", protrusion = "25 thou" } # 1/16 in\n',
    "ball.diameter = '1/16 in'\nball.material = 'zirconia'\nball.protrusion = '25 thou'\n",
    '[ball]\n  material = "zirconia"\n\n  diameter = """1/16 in"""\n  protrusion = "25 thou"  # diameter = 3',
    "[ball]\n\"diameter\" = '''\n1/16 in'''# x\n'material' = \"zirconia\"\nprotrusion = \"25 thou\"",
    '[ball]\nmaterial = "zirconia" # "1/16 in"\nprotrusion = "3 mil"\ndiameter="1/16 in"#"1/16 in"\n[stop]\n',
]


BAR = GARDEN[GARDEN.index("[bar]") : GARDEN.index("[ball]")]


@pytest.mark.parametrize("layout", LAYOUTS)
@pytest.mark.parametrize(
    "changes",
    [
        {"ball.diameter": "1.5 mm"},
        {"ball.hole_depth": "1.6 mm", "ball.hole_drill": "1.5 mm"},
        {"stop.radius": "9 mm"},
        {"name": 'a "b" \\ c', "hand": "left"},
        {"bar.measured.pull": "3 N", "bar.measured.travel": "1 mm", "bar.measured.at": "40 mm"},
    ],
)
def test_edits_find_their_place_in_any_layout(layout, changes):
    text = f"{layout}\n{BAR}" if "bar.measured.pull" in changes else layout
    build = Build.loads(text)
    after = build.change(changes)
    before = flat(tomllib.loads(text))
    assert flat(tomllib.loads(after.text)) == {**before, **changes}
    assert re.findall("#.*", after.text) == re.findall("#.*", text)
    back = after.change({name: before.get(name) for name in changes})
    assert {n: v for n, v in flat(tomllib.loads(back.text)).items() if v} == {n: v for n, v in before.items() if v}


def test_inline_table_is_edited_and_taken_out():
    line = 'measured = { pull = "3 N", travel = "1 mm", at = "40 mm" }  # scale'
    text = GARDEN.replace("bend =", f"{line}\nbend =")
    build = Build.loads(text)
    edited = build.change({"bar.measured.travel": "1.1 mm"})
    assert edited.text == text.replace(line, line.replace('"1 mm"', '"1.1 mm"'))
    gone = build.change(dict.fromkeys(("bar.measured.pull", "bar.measured.travel", "bar.measured.at")))
    assert gone.text == GARDEN


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(40))
def test_random_layouts_round_trip(seed):
    """Random notes, blanks, indents, quotes and line ends: the wanted data, and every note still there."""
    rng = np.random.default_rng(seed)
    text = _shuffled_layout(GARDEN, rng)
    build = Build.loads(text)
    assert build.values == garden().values
    numbers = rng.integers(1, 99, 3)
    changes = {
        "bar.bend": f"{numbers[0] / 50:.2f} mm",
        "dimple.rim_feed": f"0.{numbers[1]:02d} mm",
        "friction.ball_on_tang": float(numbers[2] / 100),
        "blade.mass": None,
        "pivot.clearance": "0.02 mm",
    }
    after = build.change(changes)
    assert Build.loads(after.text).values == after.values
    wanted = {**flat(tomllib.loads(text)), **changes}
    del wanted["blade.mass"]
    assert flat(tomllib.loads(after.text)) == wanted
    # the last line may gain an end
    kept = [line.rstrip("\r") for line in text.split("\n") if not re.match(r"\s*(bend|rim_feed|mass)\b", line)]
    left = iter([line.rstrip("\r") for line in after.text.split("\n")])
    assert all(line in left for line in kept)


def _shuffled_layout(text, rng):
    lines = []
    for line in text.rstrip("\n").split("\n"):
        if rng.random() < 0.3:
            lines.append(rng.choice(["", "   ", "# bend = '3 mm'", '\t# [bar] "x" \u2028 \u00e9', "#"]))
        if rng.random() < 0.3:
            line = rng.choice([" ", "\t", "    "]) + line
        if rng.random() < 0.3 and '"' in line and "{" not in line and "#" not in line:
            line = line.replace('"', "'")
        if rng.random() < 0.3:
            line = re.sub(r" = ", str(rng.choice(["=", "  =  ", " =\t"])), line, count=1)
        if rng.random() < 0.3:
            line = line + str(rng.choice(["", "  ", " # [stop]", '#"1.6 mm"']))
        lines.append(line)
    end = str(rng.choice(["\n", "\r\n"]))
    return end.join(lines) + (end if rng.random() < 0.5 else "")


# -- saving --------------------------------------------------------------------------------------


def test_saving_keeps_the_rest_of_the_file(tmp_path):
    path = tmp_path / "garden.toml"
    path.write_text(GARDEN)
    path.chmod(0o640)
    build = Build.read(path)
    assert build.save() == path
    assert path.read_text() == GARDEN
    build.change({"bar.bend": "2 mm"}).save()
    assert path.read_text() == GARDEN.replace('bend = "1.6 mm"', 'bend = "2 mm"')
    assert stat.S_IMODE(path.stat().st_mode) == 0o640
    assert [p.name for p in tmp_path.iterdir()] == ["garden.toml"]


def test_saving_through_a_link_keeps_the_link(tmp_path):
    real, link = tmp_path / "real.toml", tmp_path / "link.toml"
    real.write_text(GARDEN)
    link.symlink_to(real)
    Build.read(link).change({"bar.bend": "2 mm"}).save()
    assert link.is_symlink()
    assert '"2 mm"' in real.read_text()


def test_saving_elsewhere_and_without_a_file(tmp_path):
    with pytest.raises(InputError, match="came from no file"):
        garden().save()
    with pytest.raises(InputError, match="came from no file"):
        Build.loads(GARDEN).save()
    path = garden().change({"bar.bend": "2 mm"}).save(tmp_path / "mine.toml")
    assert Build.read(path)["bar.bend"].text == "2 mm"
    assert not Build.read(demo().save(tmp_path / "demo.toml")).demo
    copy = Build.read(path)
    copy.save(tmp_path / "copy.toml")
    assert read_text(tmp_path / "copy.toml") == copy.text


def test_notes_added_meanwhile_survive_and_changed_inputs_are_not_overwritten(tmp_path):
    path = tmp_path / "garden.toml"
    path.write_text(GARDEN)
    build = Build.read(path).change({"bar.bend": "2 mm"})
    path.write_text(GARDEN + "# a late note\n")
    build.save()
    assert path.read_text().endswith("# a late note\n")
    assert '"2 mm"' in path.read_text()
    build.change({"bar.width": "7 mm"}).save()
    path.write_text(GARDEN.replace('"#54"', '"#55"'))
    with pytest.raises(InputError, match="was changed since it was read"):
        build.save()
    assert '"#55"' in path.read_text()
    path.unlink()
    build.save()
    assert '"2 mm"' in path.read_text()


@pytest.mark.parametrize("name", ["", "no/such/folder/x.toml", "bad\0name.toml", "n" * 400])
def test_unwritable_places(tmp_path, name):
    with pytest.raises(InputError):
        garden().save(f"{tmp_path}/{name}")
    assert list(tmp_path.iterdir()) == []


def test_a_failed_write_leaves_what_stood_there(tmp_path, monkeypatch):
    path = tmp_path / "garden.toml"
    path.write_text(GARDEN)
    build = Build.read(path).change({"bar.bend": "2 mm"})

    def fail(*_args):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "replace", fail)
    with pytest.raises(InputError, match="cannot be written: No space left on device"):
        build.save()
    assert path.read_text() == GARDEN
    assert [p.name for p in tmp_path.iterdir()] == ["garden.toml"]


# Text pasted from a page or a message: the advice given must work.


@pytest.mark.parametrize("quotes", ["“”", "‘’", "„“", "«»"])
def test_curly_quotes_are_named_and_the_advice_works(quotes):
    broken = GARDEN_TEXT.replace('bend = "1.6 mm"', f"bend = {quotes[0]}1.6 mm{quotes[1]}")
    with pytest.raises(BuildError) as caught:
        Build.loads(broken)
    (problem,) = caught.value.problems
    assert "curly quotes" in problem.message
    assert Build.loads(broken.replace(f"bend = {quotes[0]}1.6 mm{quotes[1]}", problem.message.partition(": ")[2]))


@pytest.mark.parametrize(("there", "code"), [("bend\N{NO-BREAK SPACE}=", "U+00A0"), ("\ufeffbend =", "U+FEFF")])
def test_a_space_that_is_none_is_named_with_its_line(there, code):
    broken = GARDEN_TEXT.replace("bend =", there)
    with pytest.raises(BuildError) as caught:
        Build.loads(broken)
    (problem,) = caught.value.problems
    assert code in problem.message
    assert broken.split("\n")[problem.line - 1].startswith(there)


@pytest.mark.parametrize(("text", "says"), [("１.６ mm", "plain ones 0 to 9"), ("“1.6 mm”", "curly quotes")])
def test_digits_and_quotes_of_another_script_are_named(text, says):
    with pytest.raises(BuildError, match=says):
        Build.loads(GARDEN_TEXT.replace('bend = "1.6 mm"', f'bend = "{text}"'))
