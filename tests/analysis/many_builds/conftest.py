"""Parts of the program replaced, so that sweeps are small and quick."""

import pytest

from detentsim.analysis.many_builds.sweep import solving
from detentsim.analysis.many_builds.sweep.blocks import cut


@pytest.fixture
def no_ranges(monkeypatch):
    """Leaves out likely ranges, which take most of a single curve's time, where no test looks at them."""
    monkeypatch.setattr("detentsim.analysis.one_build.curve.curve.likely", lambda *_given: None)


@pytest.fixture
def small_blocks(monkeypatch):
    """Blocks of at most 32 designs; the cut's own default was bound when it was made."""
    monkeypatch.setattr(solving, "cut", lambda shape, most=32: cut(shape, most))
    return 32
