"""What holds for every test file."""

import gc
from functools import partial
from pathlib import Path

import pytest

pytest.register_assert_rewrite("helpers")
collect_ignore = ["benchmarks"]  # scripts that measure; importing one would run it

gc.disable()  # modules and tests are made to stay: looking for garbage among them takes a third of the collection


def pytest_collection_finish():
    """From here on there is garbage, and what has been collected is none."""
    gc.freeze()
    gc.enable()


@pytest.fixture
def run(capsys):
    """The command run in this process: its words in; status, output and errors out."""

    def call(*words: str) -> tuple[int, str, str]:
        from detentsim.cli.entry import main

        status = main([str(word) for word in words])
        out, err = capsys.readouterr()
        return status, out, err

    return call


@pytest.fixture
def build_file(tmp_path):
    """Writes a build file into the test's own folder."""

    def write(text: str | bytes, name: str = "knife.toml") -> Path:
        path = tmp_path / name
        path.write_bytes(text if isinstance(text, bytes) else text.encode())
        return path

    return write


@pytest.fixture(scope="session")
def demo():
    """The workshop's knife, with something to say to every command."""
    from helpers.garden import workshop

    return workshop()


@pytest.fixture(scope="session")
def light(demo):
    """The same with less bend."""
    from helpers.gauged import LIGHT

    return demo.change(LIGHT)


@pytest.fixture
def remembered(monkeypatch, request):
    """Answers that cost seconds are computed once for each question, save in tests that ask `afresh`."""
    from helpers.remembered import remember

    if "afresh" not in request.fixturenames:
        remember(monkeypatch, tuple(name for name in ("fewer", "ranges_alone") if name in request.fixturenames))


@pytest.fixture
def fewer(monkeypatch):
    """Fewer knives for what is asked of a batch beside itself, where no test looks at those answers' numbers."""
    from detentsim.analysis.many_builds.batch.answers import holding, indices, nested

    monkeypatch.setattr(holding, "KNIVES", 64)
    monkeypatch.setattr(nested, "SHOPS", 16)
    monkeypatch.setattr(indices, "indices", partial(indices.indices, knives=64))


@pytest.fixture
def ranges_alone(monkeypatch):
    """Leaves out a fit's likeliest knife and its build, a quarter of its time, where no test looks at them."""
    monkeypatch.setattr("detentsim.analysis.in_hand.fit.fit.peak", lambda _residuals, start: start)
    monkeypatch.setattr("detentsim.analysis.in_hand.fit.fit.fitted_build", lambda build, *_found: build)


@pytest.fixture
def afresh():
    """Asked for by a test that computes everything anew."""


@pytest.fixture
def small_blocks(monkeypatch):
    """Blocks of at most 32 designs; the cut's own default was bound when it was made."""
    from detentsim.analysis.many_builds.sweep import solving
    from detentsim.analysis.many_builds.sweep.blocks import cut

    monkeypatch.setattr(solving, "cut", lambda shape, most=32: cut(shape, most))
    return 32
