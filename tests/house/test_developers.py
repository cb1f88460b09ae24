"""DEVELOPERS.md leads where it says: each path in it exists, and each name in its tables stands in the file given."""

import ast
import re
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
PACKAGE = ROOT / "detentsim"
TEXT = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
QUESTIONS = re.findall(r"^\| (.*\?) \| `(\S+)` \| (?:`(\w+)` )?\|$", TEXT, re.M)
PATHS = re.findall(r"`([\w.-]*(?:/[\w.-]*)+)`", TEXT)
TABLE = TEXT[TEXT.index("## Layout") : TEXT.index("How one input")]
ROOMS = re.findall(r"^\| `([\w/]+)/`(?: itself)? \| (.*?) \|(?: .* \|)?$", TABLE, re.M)


def names_in(path):
    """Functions, classes and constants that a file defines at its top."""
    for node in ast.parse(path.read_text("utf-8")).body:
        if isinstance(node, ast.FunctionDef | ast.ClassDef):
            yield node.name
        elif isinstance(node, ast.Assign | ast.AnnAssign):
            yield from (n.id for n in ast.walk(node) if isinstance(n, ast.Name) and isinstance(n.ctx, ast.Store))


def test_every_path_exists():
    assert len(PATHS) > 40
    folders = {path.name for base in (PACKAGE, ROOT / "tests") for path in base.rglob("*") if path.is_dir()}
    for path in PATHS:
        there = [base / path for base in (ROOT, PACKAGE) if (base / path).exists()]
        assert there or path.strip("/") in folders, path


def test_the_questions_that_come_up_are_answered():
    words = " ".join(question for question, _, _ in QUESTIONS)
    for what in ("spring", "plate", "`snaps`", "likely range", "falls shut"):
        assert what in words, what


@pytest.mark.parametrize(("question", "path", "name"), QUESTIONS)
def test_an_answer_stands_in_the_file_given(question, path, name):
    file = PACKAGE / path
    assert file.is_file(), question
    assert not name or name in names_in(file), question


@pytest.mark.parametrize(("room", "holds"), ROOMS)
def test_what_a_room_holds_is_there(room, holds):
    """Each word in the row is a file or a folder of the room, a path from above, or a word of the room's code."""
    files = list((PACKAGE / room).rglob("*.py"))
    known = {part for file in (PACKAGE / room).rglob("*") for part in (file.name, file.stem)}
    code = "\n".join(file.read_text("utf-8") for file in files)
    for word in re.findall(r"`([^`]+)`", holds):
        last = word.strip("/").rpartition("/")[2]
        assert (PACKAGE / word).exists() or last in known or re.search(rf"\b{re.escape(last)}\b", code), word


def test_adding_an_input_names_all_that_asks_for_it():
    start = TEXT.index("### To add an input")
    told = TEXT[start : TEXT.index("### To add a flag")]
    for what in ("`source`", "`doubt`", "values.py", "value.py", "tests/robustness/", "cli/commands/", "`COMMANDS`"):
        assert what in told, what
