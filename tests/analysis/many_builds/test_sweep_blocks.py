"""A sweep cut into blocks: every design once, the same numbers for any size of block, and progress told."""

from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import numpy as np
import pytest
from helpers.sweeps import GARDEN
from helpers.swept_blocks import OF, VARY

import detentsim as ds
from detentsim.analysis.many_builds.sweep import blocks, solving
from detentsim.analysis.many_builds.sweep.blocks import block_of, cut, part_of_record
from detentsim.knife.outcomes import FLAGS
from detentsim.knife.record.fields import assemble
from detentsim.knife.record.record import swept
from detentsim.knife.table.columns import read_columns

pytestmark = pytest.mark.slow


# Cutting


def test_boxes_cover_every_design_once():
    """Whatever the shape and the room; the last axes stay whole where they can."""
    rng = np.random.default_rng(4)
    for _ in range(300):
        shape = tuple(int(n) for n in rng.integers(1, 9, size=rng.integers(0, 6)))
        most = int(rng.integers(1, 200))
        count, order = np.zeros(shape, int), []
        for place in cut(shape, most):
            part = count[blocks.view_of(place)]
            assert 1 <= part.size <= most
            part[...] += 1
            order.append(tuple(edge.start for edge in place))
        assert np.all(count == 1)
        assert order == sorted(order)
        assert len(order) <= 1 + 4 * count.size / most * (2 ** max(0, len(shape) - 1))


def test_a_box_holds_what_its_designs_are_made_of():
    """Every field of a block, laid out, is that part of the field laid out."""
    columns = read_columns(VARY)
    record = assemble(swept(GARDEN, columns).numbers)
    shape = tuple(len(column) for column in columns)
    excluded = np.random.default_rng(0).random(shape) < 0.3
    for place in cut(shape, 50):
        for whole, part in zip(record, part_of_record(record, place), strict=True):
            wanted = np.broadcast_to(whole, shape)[place]
            np.testing.assert_array_equal(np.broadcast_to(part, wanted.shape), wanted)
        chosen, where = block_of(record, excluded, place)
        assert np.array_equal(where, ~excluded[place])
        for whole, part in zip(record, chosen, strict=True):
            np.testing.assert_array_equal(part, np.broadcast_to(whole, shape)[place][where])


def test_blocks_of_any_size_give_the_same_numbers(monkeypatch):
    """Not bit for bit: a sum over another number of designs may be taken in another order."""
    whole = ds.sweep(GARDEN, VARY, OF)
    for most in (5, 64):
        monkeypatch.setattr(solving, "cut", lambda shape, most=most: cut(shape, most))
        parts = ds.sweep(GARDEN, VARY, OF)
        for name, array in whole.results.items():
            np.testing.assert_allclose(parts.results[name], array, rtol=1e-11, atol=1e-11, err_msg=name)
        for name in FLAGS:
            np.testing.assert_array_equal(parts.flags[name], whole.flags[name], err_msg=name)


def test_the_kernel_sees_no_more_than_a_block_at_a_time(monkeypatch):
    sizes = []
    answer = solving.answer

    def watched(record, *asked):
        sizes.append(np.prod(np.broadcast_shapes(*map(np.shape, record))))
        return answer(record, *asked)

    monkeypatch.setattr(solving, "answer", watched)
    s = ds.sweep(GARDEN, {"bar.bend": ("1 mm", "2 mm", 2500)}, of="preload")
    assert sum(sizes) == s.size
    assert max(sizes) <= blocks.DESIGNS


# Progress, and stopping


@pytest.mark.usefixtures("small_blocks")
@pytest.mark.parametrize("pooled", [False, True])
def test_progress_rises_to_the_whole(pooled):
    told = []
    with ThreadPoolExecutor(2) as pool:
        s = ds.sweep(GARDEN, VARY, "preload", executor=pool if pooled else None, progress=lambda *two: told.append(two))
    done = [count for count, _ in told]
    assert {total for _, total in told} == {s.size}
    assert done == sorted(set(done))
    assert done[-1] == s.size
    assert len(told) == len(list(cut(s.shape, 32)))


@pytest.mark.usefixtures("small_blocks")
def test_a_progress_that_fails_is_not_hushed():
    def fails(_done, _total):
        raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        ds.sweep(GARDEN, VARY, "preload", progress=fails)


class Terminal:
    def __init__(self, real):
        self.real, self.text = real, ""

    def isatty(self):
        return self.real

    def write(self, text):
        self.text += text

    def flush(self):
        pass


@pytest.mark.usefixtures("small_blocks")
@pytest.mark.parametrize("real", [True, False])
def test_a_terminal_is_told_when_it_takes_long(monkeypatch, real):
    clock = iter(range(0, 1000, 2))
    monkeypatch.setattr("detentsim.analysis.many_builds.sweep.blocks.time.monotonic", lambda: float(next(clock)))
    screen = Terminal(real)
    monkeypatch.setattr("sys.stderr", screen)
    ds.sweep(GARDEN, {"bar.bend": ("1 mm", "2 mm", 40)}, of="preload")
    assert screen.text == ("\r32 of 40 designs\r40 of 40 designs\n" if real else "")


def test_the_test_extra_brings_what_these_tests_need():
    import tomllib

    project = tomllib.loads((Path(__file__).parents[3] / "pyproject.toml").read_text(encoding="utf-8"))
    assert any(line.startswith("distributed") for line in project["project"]["optional-dependencies"]["test"])
