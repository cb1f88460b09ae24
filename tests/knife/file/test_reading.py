"""Build files: every way of being unreadable, each problem told with its line."""

import os
import re
import sys

import pytest
from helpers.build_texts import told
from helpers.garden import GARDEN_TEXT, garden

from detentsim.knife.checks.problems import BuildError
from detentsim.knife.file.text import LARGEST
from detentsim.knife.model import Build
from detentsim.knife.packaged import demo, template_text
from detentsim.knife.table.schema import CURVE_SECTIONS, INPUTS

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
    path.write_text(GARDEN_TEXT, encoding="utf-8")
    build = Build.read(path)
    assert build.values == garden().values
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
        ("name = 1".encode("utf-16"), "is saved as UTF-16; save it as UTF-8"),
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
    path.write_text(GARDEN_TEXT)
    path.chmod(0)
    with pytest.raises(BuildError, match="cannot be read"):
        Build.read(path)


def test_failing_read_is_told(tmp_path, monkeypatch):
    def refuse(*_args, **_kwargs):
        raise PermissionError(13, "Permission denied")

    path = tmp_path / "mine.toml"
    path.write_text(GARDEN_TEXT)
    monkeypatch.setattr(type(path), "open", refuse)
    with pytest.raises(BuildError, match="cannot be read: Permission denied"):
        Build.read(path)


def test_byte_order_mark_and_windows_line_ends_are_fine(tmp_path):
    path = tmp_path / "win.toml"
    path.write_bytes(b"\xef\xbb\xbf" + GARDEN_TEXT.replace("\n", "\r\n").encode())
    build = Build.read(path)
    assert build["bar.bend"] == garden()["bar.bend"]
    build.change({"bar.bend": "2 mm", "stop.radius": "9 mm", "bar.calibration": 1.1}).save()
    content = path.read_bytes()
    assert content.startswith(b"\xef\xbb\xbf# A build")
    assert content.count(b"\n") == content.count(b"\r\n") == GARDEN_TEXT.count("\n") + 4
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
    text = GARDEN_TEXT.replace('"25 thou"', "25 thou").replace('"#54"', "#54").replace('"9 N"', "9 N")
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
        ("x = { " + "a." * 2000 + "a = 1 }", 1, "more than 1000 dots"),
        ("# " + "." * 2000 + "\n" + "a." * 2000 + "a = 1", 2, "more than 1000 dots"),
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
