"""Studies: run from scratch they say what is committed, and carry nothing of the machine they ran on."""

import base64
import importlib.util
import json
import re
import struct
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
STUDIES = sorted((ROOT / "studies").glob("*.ipynb"))
FIGURES = sorted((ROOT / "figures").iterdir())
NAMES = [path.stem for path in STUDIES]
MODEL, *WORKSHOP = STUDIES
"""The model's page comes first, and is longer; the others are one question from the workshop each."""

needs_kernel = pytest.mark.skipif(
    any(importlib.util.find_spec(name) is None for name in ("nbclient", "nbformat", "ipykernel")),
    reason="studies run with the extra named test",
)


def cells(path: Path) -> list[dict]:
    return json.loads(path.read_text(encoding="utf-8"))["cells"]


def outputs(path: Path) -> list[tuple[int, dict]]:
    return [(number, out) for number, cell in enumerate(cells(path), 1) for out in cell.get("outputs", [])]


def text(value: list[str] | str) -> str:
    return "".join(value)


def size(image: bytes) -> tuple[int, int]:
    """Width and height of a PNG [px]."""
    assert image.startswith(b"\x89PNG\r\n\x1a\n")
    return struct.unpack(">II", image[16:24])


def images(path: Path) -> list[tuple[int, tuple[int, int]]]:
    """Figures of a notebook: cell, width and height."""
    data = [(number, out["data"]["image/png"]) for number, out in outputs(path) if "image/png" in out.get("data", {})]
    return [(number, size(base64.b64decode(text(image)))) for number, image in data]


@pytest.fixture(scope="module")
def remade(tmp_path_factory) -> Path:
    """A folder in which everything was made anew by the one command, in a process of its own."""
    into = tmp_path_factory.mktemp("remade")
    command = [sys.executable, str(ROOT / "studies" / "remake.py"), "--into", str(into)]
    run = subprocess.run(command, capture_output=True, text=True, timeout=600)
    assert run.returncode == 0, run.stderr
    assert run.stdout == ""
    return into


# ---------------------------------------------------------------- run from scratch


@pytest.mark.slow
@needs_kernel
@pytest.mark.parametrize("name", NAMES)
def test_a_fresh_run_draws_its_figures_where_they_stood(remade, name):
    fresh, committed = (images(folder / "studies" / f"{name}.ipynb") for folder in (remade, ROOT))
    assert fresh
    assert [number for number, _ in fresh] == [number for number, _ in committed]
    for (_, new), (_, old) in zip(fresh, committed, strict=True):
        assert new == pytest.approx(old, abs=10)  # fonts are drawn a little differently from one release to the next


@pytest.mark.slow
@needs_kernel
def test_the_command_remakes_every_figure(remade):
    fresh = {path.name: size(path.read_bytes()) for path in (remade / "figures").iterdir()}
    assert fresh == {path.name: size(path.read_bytes()) for path in FIGURES}


@pytest.mark.slow
@needs_kernel
@pytest.mark.parametrize("name", NAMES)
def test_a_fresh_run_says_what_is_committed_to_the_byte(remade, name):
    """Everything but the figures."""
    image = re.compile(r'"image/png": ".*?"|<Figure size .*?>')
    fresh, committed = ((folder / "studies" / f"{name}.ipynb").read_text("utf-8") for folder in (remade, ROOT))
    assert image.sub("", fresh).split("\n") == image.sub("", committed).split("\n")


@pytest.mark.slow
@needs_kernel
@pytest.mark.parametrize(
    ("cell", "why"),
    [
        ("assert 1 + 1 == 3", "01-first-curve.ipynb: AssertionError"),
        ("import warnings\n\nwarnings.warn('loose')", "01-first-curve.ipynb: a cell warned"),
    ],
)
def test_a_study_that_fails_or_warns_is_told_and_not_written(tmp_path, cell, why):
    (tmp_path / "studies").mkdir()
    (tmp_path / "README.md").write_text("no figures\n")
    script = tmp_path / "studies" / "remake.py"
    script.write_bytes((ROOT / "studies" / "remake.py").read_bytes())
    study = json.loads(WORKSHOP[0].read_text(encoding="utf-8"))
    study["cells"] = [{**study["cells"][1], "source": cell, "outputs": []}]
    (tmp_path / "studies" / WORKSHOP[0].name).write_text(before := json.dumps(study), encoding="utf-8")
    run = subprocess.run([sys.executable, str(script)], capture_output=True, text=True, timeout=120)
    assert run.returncode == 1
    assert why in run.stderr
    assert (tmp_path / "studies" / WORKSHOP[0].name).read_text(encoding="utf-8") == before


# ---------------------------------------------------------------- what is committed


def test_the_studies_are_there():
    assert [name[:2] for name in NAMES] == [f"{number:02}" for number in range(15)]


@pytest.mark.parametrize("path", STUDIES, ids=NAMES)
def test_a_study_is_short_and_asserts_what_it_claims(path):
    found = [cell for cell in cells(path) if not cell["metadata"]]  # cells of asserts alone are folded
    code = [text(cell["source"]) for cell in cells(path) if cell["cell_type"] == "code"]
    if path != MODEL:
        assert not [cell for cell in found if re.search(r"^assert ", text(cell["source"]), re.M)]
    assert 6 <= len(found) <= (40 if path == MODEL else 14)
    assert sum(len(re.findall(r"^assert ", source, re.M)) for source in code) >= 3
    assert path.stat().st_size < (800_000 if path == MODEL else 250_000)


@pytest.mark.parametrize("path", STUDIES, ids=NAMES)
def test_a_study_opens_with_its_question_and_closes_at_the_bench(path):
    first, *_, last = (text(cell["source"]) for cell in cells(path))
    title, question = first.split("\n\n")
    assert title.startswith("# ")
    assert "?" in question
    assert last.startswith("## At the bench\n")


@pytest.mark.parametrize("path", STUDIES, ids=NAMES)
def test_a_study_carries_nothing_of_its_machine(path):
    whole = re.sub(r'"image/png": ".*?"', "", path.read_text(encoding="utf-8"))
    for trace in ("/home/", "/root/", "/tmp/", "/work/", "/Users/", "C:\\\\", "site-packages", "Traceback", str(ROOT)):
        assert trace not in whole
    assert not re.search(r"\d{4}-\d\d-\d\d|\d\d:\d\d:\d\d|0x[0-9a-f]{6,}", whole)
    found = json.loads(whole.replace('"data": {\n      ,', '"data": {'))
    assert found["metadata"] == {
        "kernelspec": {"display_name": "Python 3", "language": "python", "name": "python3"},
        "language_info": {"name": "python"},
    }
    assert [cell["id"] for cell in found["cells"]] == [f"cell-{n:02}" for n in range(1, len(found["cells"]) + 1)]
    assert all(cell["metadata"] in ({}, {"jupyter": {"source_hidden": True}}) for cell in found["cells"])


@pytest.mark.parametrize("path", STUDIES, ids=NAMES)
def test_a_study_ran_from_top_to_bottom_without_an_error(path):
    code = [cell for cell in cells(path) if cell["cell_type"] == "code"]
    assert [cell["execution_count"] for cell in code] == list(range(1, len(code) + 1))
    assert {out["output_type"] for _, out in outputs(path)} <= {"stream", "display_data", "execute_result"}
    assert all(out.get("name", "stdout") == "stdout" for _, out in outputs(path))


@pytest.mark.parametrize("path", FIGURES, ids=[path.name for path in FIGURES])
def test_a_figure_is_named_by_the_command_or_the_study_that_makes_it(path):
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    source = "".join(text(cell["source"]) for study in STUDIES for cell in cells(study) if cell["cell_type"] == "code")
    by_command = f"--figure figures/{path.name}`" in readme
    by_study = f'"../figures/{path.name}"' in source
    assert by_command != by_study
