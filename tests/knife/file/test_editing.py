"""Edits and saving of build files leave the rest of the file alone."""

import os
import re
import stat
import tomllib

import numpy as np
import pytest
from helpers.garden import GARDEN_TEXT, garden

from detentsim.knife.checks.problems import BuildError
from detentsim.knife.file.statements import flat
from detentsim.knife.file.text import read_text
from detentsim.knife.model import Build
from detentsim.knife.packaged import demo
from detentsim.units.errors import InputError

# -- edits ---------------------------------------------------------------------------------------


def test_only_the_value_changes():
    build = garden().change({"dimple.rim_feed": "0.12 mm", "bar.bend": "2.4 mm"})
    old, new = GARDEN_TEXT.split("\n"), build.text.split("\n")
    changed = [(a, b) for a, b in zip(old, new, strict=True) if a != b]
    assert len(changed) == 2
    for a, b in changed:
        assert a.split("#")[1] == b.split("#")[1]
    assert garden().text == GARDEN_TEXT


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


BAR = GARDEN_TEXT[GARDEN_TEXT.index("[bar]") : GARDEN_TEXT.index("[ball]")]


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
    text = GARDEN_TEXT.replace("bend =", f"{line}\nbend =")
    build = Build.loads(text)
    edited = build.change({"bar.measured.travel": "1.1 mm"})
    assert edited.text == text.replace(line, line.replace('"1 mm"', '"1.1 mm"'))
    gone = build.change(dict.fromkeys(("bar.measured.pull", "bar.measured.travel", "bar.measured.at")))
    assert gone.text == GARDEN_TEXT


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(40))
def test_random_layouts_round_trip(seed):
    """Random notes, blanks, indents, quotes and line ends: the wanted data, and every note still there."""
    rng = np.random.default_rng(seed)
    text = _shuffled_layout(GARDEN_TEXT, rng)
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
    path.write_text(GARDEN_TEXT)
    path.chmod(0o640)
    build = Build.read(path)
    assert build.save() == path
    assert path.read_text() == GARDEN_TEXT
    build.change({"bar.bend": "2 mm"}).save()
    assert path.read_text() == GARDEN_TEXT.replace('bend = "1.6 mm"', 'bend = "2 mm"')
    assert stat.S_IMODE(path.stat().st_mode) == 0o640
    assert [p.name for p in tmp_path.iterdir()] == ["garden.toml"]


def test_saving_through_a_link_keeps_the_link(tmp_path):
    real, link = tmp_path / "real.toml", tmp_path / "link.toml"
    real.write_text(GARDEN_TEXT)
    link.symlink_to(real)
    Build.read(link).change({"bar.bend": "2 mm"}).save()
    assert link.is_symlink()
    assert '"2 mm"' in real.read_text()


def test_saving_elsewhere_and_without_a_file(tmp_path):
    with pytest.raises(InputError, match="came from no file"):
        garden().save()
    path = garden().change({"bar.bend": "2 mm"}).save(tmp_path / "mine.toml")
    assert Build.read(path)["bar.bend"].text == "2 mm"
    assert not Build.read(demo().save(tmp_path / "demo.toml")).demo
    copy = Build.read(path)
    copy.save(tmp_path / "copy.toml")
    assert read_text(tmp_path / "copy.toml") == copy.text


def test_notes_added_meanwhile_survive_and_changed_inputs_are_not_overwritten(tmp_path):
    path = tmp_path / "garden.toml"
    path.write_text(GARDEN_TEXT)
    build = Build.read(path).change({"bar.bend": "2 mm"})
    path.write_text(GARDEN_TEXT + "# a late note\n")
    build.save()
    assert path.read_text().endswith("# a late note\n")
    assert '"2 mm"' in path.read_text()
    build.change({"bar.width": "7 mm"}).save()
    path.write_text(GARDEN_TEXT.replace('"#54"', '"#55"'))
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
    path.write_text(GARDEN_TEXT)
    build = Build.read(path).change({"bar.bend": "2 mm"})

    def fail(*_args):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "replace", fail)
    with pytest.raises(InputError, match="cannot be written: No space left on device"):
        build.save()
    assert path.read_text() == GARDEN_TEXT
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
