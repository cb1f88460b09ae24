"""Run every study from scratch and remake everything in `figures/`: the same bytes each time.

    .venv/bin/python studies/remake.py

A study is edited as a notebook and committed with its outputs; this command alone writes the outputs. Figures that the
README names with their command are made by that command; the others are saved by a cell of a study.
"""

from __future__ import annotations

import argparse
import ast
import asyncio
import contextlib
import io
import os
import re
import shlex
import sys
import tempfile
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[1]
STUDIES = sorted((ROOT / "studies").glob("*.ipynb"))

AT_ONCE = 2
"""Notebooks that run at the same time."""

LONGEST = 300
"""Seconds that one cell may take."""

METADATA = {
    "kernelspec": {"display_name": "Python 3", "language": "python", "name": "python3"},
    "language_info": {"name": "python"},
}
"""All that a notebook says of the machine it ran on."""


FOLDED: dict[str, Any] = {"jupyter": {"source_hidden": True}}
"""Metadata of a cell that a notebook shows folded."""


def only_checks(source: str) -> bool:
    """Whether a cell does nothing but assert what the study claims.

    Parameters
    ----------
    source : str
    """
    lines = [line for line in source.splitlines() if not line.startswith("%")]
    return bool(lines) and all(isinstance(node, ast.Assert) for node in ast.parse("\n".join(lines)).body)


def blank(notebook: Any) -> Any:
    """Take out of a notebook whatever a run or an editor left in it; cells are numbered from the top.

    Parameters
    ----------
    notebook : NotebookNode
        Changed in place.

    Returns
    -------
    NotebookNode
    """
    notebook.metadata.clear()
    notebook.metadata.update(METADATA)
    notebook.nbformat, notebook.nbformat_minor = 4, 5
    for number, cell in enumerate(notebook.cells, 1):
        cell.metadata.clear()
        if cell.cell_type == "code" and only_checks(cell.source):
            cell.metadata.update(FOLDED)
        cell.id = f"cell-{number:02}"
        if cell.cell_type == "code":
            cell.outputs, cell.execution_count = [], None
    return notebook


async def run(path: Path, folder: Path, gate: asyncio.Semaphore) -> None:
    """Run one study in a fresh kernel and write it with its outputs.

    Parameters
    ----------
    path : Path
        The notebook.
    folder : Path
        Where to run it, and to write it under the same name.
    gate : Semaphore
        How many may run at the same time.

    Raises
    ------
    RuntimeError
        Where a cell fails or warns; nothing is written then.
    """
    import nbformat
    from nbclient import NotebookClient
    from nbclient.exceptions import CellExecutionError

    notebook = blank(nbformat.read(path, as_version=4))
    options: dict[str, Any] = {"kernel_name": "python3", "timeout": LONGEST, "coalesce_streams": True}
    options["extra_arguments"] = ["--log-level=ERROR"]  # the kernel would warn of its plain connection
    where = {"metadata": {"path": str(folder)}}
    client = NotebookClient(notebook, resources=where, record_timing=False, **options)
    async with gate:
        try:
            await client.async_execute()
        except CellExecutionError as error:
            plain = re.sub(r"\x1b\[[\d;]*m", "", error.traceback)
            raise RuntimeError(f"{path.name}: {error.ename}: {error.evalue}\n{plain}") from None
    notebook.metadata.clear()
    notebook.metadata.update(METADATA)
    for cell in notebook.cells:
        for output in cell.get("outputs", []):
            if output.get("name") == "stderr":
                raise RuntimeError(f"{path.name}: a cell warned: {output.text}")
    text = nbformat.writes(nbformat.from_dict(notebook)) + "\n"
    (folder / path.name).write_text(text, encoding="utf-8", newline="\n")


async def run_all(paths: list[Path], folder: Path) -> list[str]:
    """Run studies side by side.

    Parameters
    ----------
    paths : list of Path
        The notebooks.
    folder : Path
        Where to run and write them.

    Returns
    -------
    list of str
        What went wrong, one text for each study that failed.
    """
    gate = asyncio.Semaphore(AT_ONCE)
    found = await asyncio.gather(*(run(path, folder, gate) for path in paths), return_exceptions=True)
    return [str(error) or repr(error) for error in found if isinstance(error, BaseException)]


def commands() -> list[list[str]]:
    """Return the commands that the README names as makers of its figures, each as its words."""
    text = " ".join((ROOT / "README.md").read_text(encoding="utf-8").split())
    return [shlex.split(words) for words in re.findall(r"`detentsim ([^`]*--figure figures/[^`]+)`", text)]


def draw(words: list[str], folder: Path) -> None:
    """Run one such command.

    Parameters
    ----------
    words : list of str
        After the program's name.
    folder : Path
        Where `figures/` stands.

    Raises
    ------
    RuntimeError
        Where the command fails.
    """
    from detentsim.cli.entry import main

    with contextlib.chdir(folder), contextlib.redirect_stdout(io.StringIO()):
        status = main([*words, "--replace"])
    if status:
        raise RuntimeError(f"detentsim {shlex.join(words)}: ended with status {status}")


def settle(home: str) -> None:
    """Keep what this machine's user has set for notebooks and figures out of the outputs.

    Parameters
    ----------
    home : str
        An empty folder.
    """
    own = {"IPYTHONDIR": "ipython", "JUPYTER_CONFIG_DIR": "jupyter", "JUPYTER_RUNTIME_DIR": "runtime"}
    os.environ.update({name: os.path.join(home, folder) for name, folder in own.items()})
    os.environ.update(JUPYTER_PLATFORM_DIRS="1", JUPYTER_PREFER_ENV_PATH="1")
    os.environ.pop("MPLBACKEND", None)
    (Path(home) / "matplotlibrc").write_text("", encoding="utf-8")
    os.environ["MATPLOTLIBRC"] = os.path.join(home, "matplotlibrc")


def remake(into: Path) -> list[str]:
    """Make all studies and figures.

    Parameters
    ----------
    into : Path
        Folder that gets `studies/` and `figures/`.

    Returns
    -------
    list of str
        What went wrong.
    """
    for name in ("studies", "figures"):
        (into / name).mkdir(parents=True, exist_ok=True)
    for words in commands():
        draw(words, into)
    return asyncio.run(run_all(STUDIES, into / "studies"))


def main() -> int:
    """Remake everything in place, or in another folder.

    Returns
    -------
    int
        0, or 1 where something failed.
    """
    parser = argparse.ArgumentParser(description="Run every study from scratch and remake everything in figures/.")
    parser.add_argument("--into", type=Path, default=ROOT, metavar="FOLDER", help="write there instead of in place")
    into = parser.parse_args().into.resolve()
    with tempfile.TemporaryDirectory() as home:
        settle(home)
        wrong = remake(into)
    print("\n".join(wrong), file=sys.stderr, end="\n" if wrong else "")
    return 1 if wrong else 0


if __name__ == "__main__":
    raise SystemExit(main())
