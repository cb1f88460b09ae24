"""The README keeps its word: its commands are those that run, its Python runs, its files exist."""

import re
import tomllib
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")


def commands() -> list[str]:
    return [line.strip() for line in README.splitlines() if line.startswith("    ")]


def test_the_job_comes_first_in_one_paragraph():
    title, paragraph = README.split("\n\n")[:2]
    assert title == "# detentsim"
    assert paragraph.startswith("A maker of folding knives")


def test_the_test_command_is_the_one_that_continuous_integration_runs():
    test = next(line for line in commands() if line.endswith("-m pytest"))
    assert test in (ROOT / ".ci" / "run").read_text(encoding="utf-8").splitlines()
    assert f"    {test}\n" in (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")


def test_the_run_command_starts_from_nothing_and_ends_in_the_main_job():
    run = next(line for line in commands() if line.startswith("python3 -m venv") and "pytest" not in line)
    assert run.endswith(".venv/bin/detentsim curve")


def test_every_command_named_is_there():
    from detentsim.cli.entry import all_commands

    known = all_commands().format_help()
    for word in re.findall(r"(?:`|bin/)detentsim (\w+)", README):
        assert word in known, word


def test_every_command_is_named():
    from detentsim.cli.entry import all_commands

    listed = re.findall(r"^    (\w+)  ", all_commands().format_help(), re.M)
    assert len(listed) > 8
    for name in listed:
        assert f"| `detentsim {name}" in README, name


@pytest.mark.slow
@pytest.mark.parametrize("block", re.findall(r"```python\n(.*?)```", README, re.S))
def test_python_in_it_runs(block, capsys):
    exec(compile(block, "README.md", "exec"), {})
    assert capsys.readouterr().out.count("\n") == block.count("print(")


def test_links_and_figures_are_there():
    for target in re.findall(r"\]\(([^)]+)\)", README):
        assert (ROOT / target).is_file(), target


def test_figures_name_the_command_or_the_study_that_made_them():
    for figure in (ROOT / "figures").iterdir():
        told = re.search(rf"\(figures/{re.escape(figure.name)}\)\n\n\*(.*?)\*", README, re.S)
        assert told, figure.name
        command = f"--figure figures/{figure.name}" in told[1]
        studies = [ROOT / "studies" / name for name in re.findall(r"\(studies/([\w-]+\.ipynb)\)", told[1])]
        assert command != any(figure.name in study.read_text(encoding="utf-8") for study in studies)


def test_top_level_is_the_fixed_one():
    with (ROOT / "pyproject.toml").open("rb") as file:
        assert tomllib.load(file)["project"]["name"] == "detentsim"
    seen = {path.name for path in ROOT.iterdir() if not path.name.startswith(".")}
    assert seen <= {"README.md", "DEVELOPERS.md", "pyproject.toml", "detentsim", "tests", "studies", "figures"}
