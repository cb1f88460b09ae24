"""Sweeps in blocks: every design once, elsewhere as here to the last bit, and kept when stopped."""

import gc
import multiprocessing
import threading
from concurrent.futures import Future, ProcessPoolExecutor, ThreadPoolExecutor
from pathlib import Path

import numpy as np
import pytest
from helpers.sweeps import GARDEN

import detentsim as ds
from detentsim.analysis.many_builds.sweep import blocks, solving
from detentsim.analysis.many_builds.sweep.blocks import box, cut, knives
from detentsim.knife.outcomes import FLAGS
from detentsim.knife.record.fields import assemble
from detentsim.knife.record.record import swept
from detentsim.knife.table.columns import read_columns
from detentsim.mechanics.names import RESULT_NAMES

pytestmark = pytest.mark.slow

VARY = {
    "bar.relief_thickness": ["0.9 mm", "1.3 mm", "3.1 mm"],
    "dimple.overclose": ("-0.05 mm", "0.08 mm", 9),
    "bar.lateral_stiffness": ["rigid", "120 N/mm"],
    "bar.bend": ("0 mm", "2.4 mm", 5),
}
OF = [*RESULT_NAMES, "falls_shut"]


def same_bits(one, other):
    assert list(one.results) == list(other.results) == OF
    for name, array in one.results.items():
        assert np.array_equal(array, other.results[name], equal_nan=array.dtype == float), name
    for name in FLAGS:
        assert np.array_equal(one.flags[name], other.flags[name]), name
    assert np.array_equal(one.excluded, other.excluded)
    assert one.done.all()
    assert other.done.all()


@pytest.fixture
def small_blocks(monkeypatch):
    """Blocks of at most 32 designs; the cut's own default was bound when it was made."""
    monkeypatch.setattr(solving, "cut", lambda shape, most=32: cut(shape, most))
    return 32


@pytest.fixture
def alone(small_blocks):
    s = ds.sweep(GARDEN, VARY, OF)
    assert s.size == 270
    assert len(list(cut(s.shape, small_blocks))) > 8
    assert s.excluded.sum() == 90
    assert np.isnan(s.results["breakout_force"]).any()
    return s


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
        for whole, part in zip(record, box(record, place), strict=True):
            wanted = np.broadcast_to(whole, shape)[place]
            np.testing.assert_array_equal(np.broadcast_to(part, wanted.shape), wanted)
        chosen, where = knives(record, excluded, place)
        assert np.array_equal(where, ~excluded[place])
        for whole, part in zip(record, chosen, strict=True):
            np.testing.assert_array_equal(part, np.broadcast_to(whole, shape)[place][where])


@pytest.mark.slow
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

    def watched(record, wanted):
        sizes.append(np.prod(np.broadcast_shapes(*map(np.shape, record))))
        return answer(record, wanted)

    monkeypatch.setattr(solving, "answer", watched)
    s = ds.sweep(GARDEN, {"bar.bend": ("1 mm", "2 mm", 2500)}, of="preload")
    assert sum(sizes) == s.size
    assert max(sizes) <= blocks.DESIGNS


# Elsewhere


def test_threads_give_the_same_bits(alone):
    with ThreadPoolExecutor(2) as pool:
        same_bits(alone, ds.sweep(GARDEN, VARY, OF, executor=pool))


def never(_record):
    raise AssertionError("solved in this process")


def test_processes_give_the_same_bits(alone, monkeypatch):
    monkeypatch.setattr(solving, "respond", never)
    with ProcessPoolExecutor(2, mp_context=multiprocessing.get_context("spawn")) as pool:
        same_bits(alone, ds.sweep(GARDEN, VARY, OF, executor=pool))
        # the pool is left as it was, to be used again
        assert pool.submit(abs, -1).result() == 1


@pytest.mark.slow
@pytest.mark.parametrize("processes", [False, True], ids=["threads", "processes"])
def test_a_cluster_gives_the_same_bits(alone, processes, tmp_path, monkeypatch):
    distributed = pytest.importorskip("distributed")
    if processes:
        monkeypatch.setattr(solving, "respond", never)
    with (
        distributed.LocalCluster(
            n_workers=2,
            threads_per_worker=1,
            processes=processes,
            dashboard_address=None,
            silence_logs=50,
            local_directory=str(tmp_path),
        ) as cluster,
        distributed.Client(cluster, set_as_default=False) as client,
        client.get_executor() as pool,
    ):
        same_bits(alone, ds.sweep(GARDEN, VARY, OF, executor=pool))


class Backwards:
    """An executor that answers the last block handed in first, and remembers how many it held."""

    def __init__(self):
        self.waiting, self.most, self.parts = [], 0, []

    def submit(self, function, *given):
        future = Future()
        self.waiting.append((future, function, given))
        self.most = max(self.most, len(self.waiting))
        self.parts.append(given[0])
        return future

    def settle(self):
        while self.waiting:
            future, function, given = self.waiting.pop()
            if future.set_running_or_notify_cancel():
                future.set_result(function(*given))


@pytest.fixture
def backwards(monkeypatch):
    pool = Backwards()
    wait = solving.wait

    def settled(running, **how):
        pool.settle()
        return wait(running, **how)

    monkeypatch.setattr(solving, "wait", settled)
    return pool


def test_answers_in_any_order_stand_in_place(alone, backwards):
    same_bits(alone, ds.sweep(GARDEN, VARY, OF, executor=backwards))


def test_only_so_many_blocks_are_handed_out_at_once(alone, backwards, monkeypatch):
    monkeypatch.setattr(solving, "IN_FLIGHT", 3)
    same_bits(alone, ds.sweep(GARDEN, VARY, OF, executor=backwards))
    assert backwards.most == 3
    assert len(backwards.parts) > 6


@pytest.mark.usefixtures("small_blocks")
def test_a_block_carries_only_its_own_designs(backwards):
    ds.sweep(GARDEN, VARY, OF, executor=backwards)
    sizes = [np.prod(np.broadcast_shapes(*map(np.shape, part)), dtype=int) for part in backwards.parts]
    assert max(sizes) <= 32
    assert sum(sizes) == 180
    assert all(
        field.base is None or field.base.size <= 32 for part in backwards.parts for field in map(np.asarray, part)
    )


@pytest.mark.usefixtures("small_blocks")
def test_what_a_worker_raises_is_raised_here(monkeypatch):
    def fails(_record, _wanted):
        raise MemoryError("worker")

    monkeypatch.setattr(solving, "answer", fails)
    with ThreadPoolExecutor(2) as pool, pytest.raises(MemoryError, match="worker"):
        ds.sweep(GARDEN, VARY, OF, executor=pool)


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


def stopping(after):
    """A progress that Ctrl-C interrupts after so many blocks."""
    told = []

    def tell(done, _total):
        told.append(done)
        if len(told) == after:
            raise KeyboardInterrupt

    return tell, told


def held(s, whole):
    """What is done is right, what is not is empty."""
    for name, array in s.results.items():
        if array.dtype == float:
            np.testing.assert_array_equal(array[s.done], whole.results[name][s.done], err_msg=name)
            assert np.isnan(array[~s.done]).all()
    for name in FLAGS:
        np.testing.assert_array_equal(s.flags[name], whole.flags[name] & s.done, err_msg=name)


def test_ctrl_c_keeps_what_is_done(alone):
    tell, told = stopping(2)
    with pytest.warns(UserWarning, match=r"stopped: \d+ of 270 designs are solved") as warned:
        s = ds.sweep(GARDEN, VARY, OF, progress=tell)
    assert len(told) == 2
    assert warned[0].filename == __file__
    places = list(cut(s.shape, 32))
    assert len(places) > 4
    wanted = s.excluded.copy()
    for place in places[:2]:
        wanted[place] = True
    np.testing.assert_array_equal(s.done, wanted)
    assert f"{np.count_nonzero(wanted)} of 270" in str(warned[0].message)
    held(s, alone)
    assert s.build_at(0, 0, 0, 0)
    assert len(s.to_records()) == 270


def test_ctrl_c_in_the_kernel_keeps_what_is_done(alone, monkeypatch):
    answer, calls = solving.answer, []

    def third_stops(record, wanted):
        calls.append(record)
        if len(calls) == 3:
            raise KeyboardInterrupt
        return answer(record, wanted)

    monkeypatch.setattr(solving, "answer", third_stops)
    with pytest.warns(UserWarning, match="stopped"):
        s = ds.sweep(GARDEN, VARY, OF)
    assert 0 < np.count_nonzero(s.done & ~s.excluded) < 180
    held(s, alone)


def test_ctrl_c_calls_back_what_an_executor_has_not_begun(alone, monkeypatch):
    gate, begun, answer = threading.Event(), [], solving.answer

    def gated(record, wanted):
        begun.append(record)
        if len(begun) > 1:
            gate.wait(20)
        return answer(record, wanted)

    monkeypatch.setattr(solving, "answer", gated)
    tell, told = stopping(1)
    with ThreadPoolExecutor(1) as pool:
        with pytest.warns(UserWarning, match="stopped"):
            s = ds.sweep(GARDEN, VARY, OF, executor=pool, progress=tell)
        gc.collect()
        gate.set()
    assert len(told) == 1
    assert len(begun) <= 3
    held(s, alone)


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

    project = tomllib.loads((Path(__file__).parents[2] / "pyproject.toml").read_text(encoding="utf-8"))
    assert any(line.startswith("distributed") for line in project["project"]["optional-dependencies"]["test"])
