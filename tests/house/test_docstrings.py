"""Docstrings of public functions and methods: in the rooms listed, each one names its parameters and its errors."""

import ast
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parents[2] / "detentsim"
WHOLE = (
    "analysis/explore",
    "analysis/in_hand/compare",
    "analysis/many_builds",
    "analysis/one_build",
    "cli",
    "shop",
    "show/explorer",
    "show/in_hand/compare",
    "show/theme",
    "units",
)
"""Rooms whose public functions are documented without a gap; a room may be added, none taken out."""


def functions(path, body=None, owner=""):
    """Public functions and methods of a file; `add` and `run` of a command are described by their room."""
    for node in ast.parse(path.read_text("utf-8")).body if body is None else body:
        if isinstance(node, ast.ClassDef) and not node.name.startswith("_"):
            yield from functions(path, node.body, f"{node.name}.")
        elif isinstance(node, ast.FunctionDef) and not node.name.startswith("_"):
            marks = " ".join(ast.unparse(mark) for mark in node.decorator_list)
            if "property" not in marks and not ("commands" in path.parts and node.name in ("add", "run")):
                yield f"{path.relative_to(PACKAGE)}: {owner}{node.name}", node


def takes(node):
    args = node.args
    given = [*args.posonlyargs, *args.args, *args.kwonlyargs, *filter(None, (args.vararg, args.kwarg))]
    return [arg.arg for arg in given if arg.arg not in ("self", "cls") and not arg.arg.startswith("_")]


def raises(node):
    """Names of the errors that a function raises itself."""
    return {ast.unparse(r.exc.func) for r in ast.walk(node) if isinstance(r, ast.Raise) and isinstance(r.exc, ast.Call)}


@pytest.mark.parametrize("room", WHOLE)
def test_public_functions_name_parameters_and_errors(room):
    checked = 0
    for path in (PACKAGE / room).rglob("*.py"):
        for name, node in functions(path):
            text = ast.get_docstring(node) or ""
            assert not takes(node) or "Parameters\n-" in text, name
            assert not raises(node) or "Raises\n-" in text or "raises" in text, name
            checked += 1
    assert checked > 1
