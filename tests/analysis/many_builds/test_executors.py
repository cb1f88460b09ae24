"""Sweeps solved by threads, processes and a cluster: as here to the last bit, and kept when stopped."""

import gc
import multiprocessing
import threading
from concurrent.futures import Executor, Future, ProcessPoolExecutor, ThreadPoolExecutor

import numpy as np
import pytest
from helpers.sweeps import GARDEN
from helpers.swept_blocks import OF, VARY

import detentsim as ds
from detentsim.analysis.many_builds.sweep import solving
from detentsim.analysis.many_builds.sweep.blocks import cut
from detentsim.knife.outcomes import FLAGS

pytestmark = pytest.mark.slow


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
def alone(small_blocks):
    s = ds.sweep(GARDEN, VARY, OF)
    assert s.size == 270
    assert len(list(cut(s.shape, small_blocks))) > 8
    assert s.excluded.sum() == 90
    assert np.isnan(s.results["breakout_force"]).any()
    return s


# Elsewhere


def test_threads_give_the_same_bits(alone):
    with ThreadPoolExecutor(2) as pool:
        same_bits(alone, ds.sweep(GARDEN, VARY, OF, executor=pool))


@pytest.mark.usefixtures("small_blocks")
def test_a_batch_has_the_same_bits_in_threads_and_processes():
    of = ["breakout_force", "falls_shut"]
    here = ds.batch(GARDEN, 256, of=of)
    spawned = ProcessPoolExecutor(2, mp_context=multiprocessing.get_context("spawn"))
    for pool in (ThreadPoolExecutor(2), spawned):
        with pool:
            there = ds.batch(GARDEN, 256, of=of, executor=pool)
        assert there.to_records().tobytes() == here.to_records().tobytes()
        assert there.share() == here.share()


def never(_record):
    raise AssertionError("solved in this process")


def test_processes_give_the_same_bits(alone, monkeypatch):
    monkeypatch.setattr(solving, "respond", never)
    with ProcessPoolExecutor(2, mp_context=multiprocessing.get_context("spawn")) as pool:
        same_bits(alone, ds.sweep(GARDEN, VARY, OF, executor=pool))
        # the pool is left as it was, to be used again
        assert pool.submit(abs, -1).result() == 1


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


class Backwards(Executor):
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
    def fails(_record, _wanted, _worn=False):
        raise MemoryError("worker")

    monkeypatch.setattr(solving, "answer", fails)
    with ThreadPoolExecutor(2) as pool, pytest.raises(MemoryError, match="worker"):
        ds.sweep(GARDEN, VARY, OF, executor=pool)


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

    def third_stops(record, wanted, worn=False):
        calls.append(record)
        if len(calls) == 3:
            raise KeyboardInterrupt
        return answer(record, wanted, worn)

    monkeypatch.setattr(solving, "answer", third_stops)
    with pytest.warns(UserWarning, match="stopped"):
        s = ds.sweep(GARDEN, VARY, OF)
    assert 0 < np.count_nonzero(s.done & ~s.excluded) < 180
    held(s, alone)


def test_ctrl_c_calls_back_what_an_executor_has_not_begun(alone, monkeypatch):
    gate, begun, answer = threading.Event(), [], solving.answer

    def gated(record, wanted, worn=False):
        begun.append(record)
        if len(begun) > 1:
            gate.wait(20)
        return answer(record, wanted, worn)

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
