"""The model's page: every function that it names is there, and every formula names one."""

import inspect
import json
import re
from importlib import import_module
from pathlib import Path

import pytest

PAGE = Path(__file__).parents[2] / "studies" / "00-the-model.ipynb"
CELLS = json.loads(PAGE.read_text(encoding="utf-8"))["cells"]
WORDS = ["".join(cell["source"]) for cell in CELLS if cell["cell_type"] == "markdown"]
FORMULAS = [(cell, formula) for cell in WORDS for formula in re.findall(r"\$\$(.+?)\$\$", cell, re.S)]
NAMED = re.compile(r"`(detentsim(?:\.\w+)+)`")
NAMES = sorted({name for cell in WORDS for name in NAMED.findall(cell)})


def test_the_page_has_formulas_and_names():
    assert len(FORMULAS) >= 20
    assert len(NAMES) >= 40


@pytest.mark.parametrize("name", NAMES)
def test_a_name_is_a_function_or_class_that_stands_there(name):
    module, _, attribute = name.rpartition(".")
    thing = getattr(import_module(module), attribute)
    assert inspect.isfunction(thing) or inspect.isclass(thing)
    assert thing.__module__ == module  # where it is defined, not where it is imported
    assert inspect.getdoc(thing)


def test_every_mention_of_the_package_is_a_full_name_in_backticks():
    for cell in WORDS:
        assert len(re.findall(r"detentsim\.\w", cell)) == len(NAMED.findall(cell))


@pytest.mark.parametrize(("cell", "formula"), FORMULAS)
def test_a_formula_names_its_function_in_its_own_cell(cell, formula):
    assert NAMED.search(cell), formula


@pytest.mark.parametrize("formula", [formula for _, formula in FORMULAS])
def test_a_formula_is_well_formed(formula):
    assert len(re.findall(r"(?<!\\)\{", formula)) == len(re.findall(r"(?<!\\)\}", formula))
    assert len(re.findall(r"\\left(?![a-z])", formula)) == len(re.findall(r"\\right(?![a-z])", formula))
    assert "$" not in formula


def test_the_mechanics_is_covered_room_by_room():
    modules = {name.rsplit(".", 1)[0] for name in NAMES}
    assert len([module for module in modules if module.startswith("detentsim.mechanics.")]) >= 15


def test_the_page_is_short_enough_to_read():
    assert len([cell for cell in CELLS if not cell["metadata"]]) <= 40  # cells of asserts alone are folded
    assert max(len(cell) for cell in WORDS) < 3000
    assert PAGE.stat().st_size < 800_000
