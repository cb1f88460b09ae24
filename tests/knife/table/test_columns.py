"""What is to be varied: ranges, lists and arrays read alike, and a million points make no texts."""

import re
import tracemalloc

import numpy as np
import pytest
from helpers.columns import column
from helpers.sweeps import ALONE, GARDEN, HEIGHT

import detentsim as ds
from detentsim.analysis.many_builds.sweep import blocks, solving
from detentsim.analysis.many_builds.sweep.blocks import Answers
from detentsim.knife.outcomes import FLAGS
from detentsim.knife.record.record import swept
from detentsim.knife.table import values as reading
from detentsim.knife.table.columns import read_columns
from detentsim.knife.table.schema import INPUTS
from detentsim.units.errors import InputError
from detentsim.units.kinds import KINDS
from detentsim.units.quantities import quantity

# Three ways to give one thing


@pytest.mark.parametrize(
    "given",
    [
        ("1 mm", "2 mm", 5),
        ("1 mm", "0.2 cm", np.int64(5)),
        ["1 mm", "1.25 mm", "1.5 mm", "1.75 mm", "2 mm"],
        [quantity(v, "mm") for v in (1, 1.25, 1.5, 1.75, 2)],
        quantity(np.linspace(1, 2, 5), "mm"),
        quantity(np.linspace(0.1, 0.2, 5), "cm"),
        np.array(["1 mm", "1.25 mm", "1.5 mm", "1.75 mm", "2 mm"]),
    ],
    ids=str,
)
def test_a_range_a_list_and_an_array_are_the_same_values(given):
    found = column("bar.bend", given)
    assert found.si == pytest.approx([1e-3, 1.25e-3, 1.5e-3, 1.75e-3, 2e-3], rel=1e-14)
    assert set(found.kinds) == {"length"}
    assert found.is_scale
    s = ds.sweep(GARDEN, {"bar.bend": given}, of="riding_force")
    single = [ds.curve(GARDEN.change({"bar.bend": f"{v} mm"})).results["riding_force"] for v in (1, 2)]
    assert s.results["riding_force"][[0, 4]] == pytest.approx(single, rel=1e-10)


@pytest.mark.parametrize("given", [(0.1, 0.2, 3), [0.1, 0.15, 0.2], np.array([0.1, 0.15, 0.2])], ids=str)
def test_a_coefficient_is_a_plain_number_in_each(given):
    assert column("friction.ball_on_tang", given).si == pytest.approx([0.1, 0.15, 0.2])


def test_a_whole_number_does_for_a_coefficient():
    assert column("friction.ball_on_tang", np.array([0, 1])).si.tolist() == [0, 1]
    assert column("friction.ball_on_tang", [0, 1]).si.tolist() == [0, 1]


def test_a_range_ends_where_it_says():
    found = column("bar.bend", ("2.7 mm", "1.3 mm", 7)).si
    assert (found[0], found[-1]) == pytest.approx((2.7e-3, 1.3e-3), rel=1e-15)
    assert np.diff(found) == pytest.approx(-1.4e-3 / 6)


def test_a_single_array_quantity_from_another_registry_is_read():
    pint = pytest.importorskip("pint")
    other = pint.UnitRegistry()
    assert column("bar.bend", other.Quantity(np.array([1.0, 2.0]), "mm")).si == pytest.approx([1e-3, 2e-3])


def test_an_array_of_diameters_does_for_drills():
    found = column("dimple.pilot_drill", quantity(np.array([1.2, 1.3]), "mm"))
    assert found.si == pytest.approx([1.2e-3, 1.3e-3])
    assert not found.is_scale
    assert [found.raw(i) for i in range(2)] == ["1.2 mm", "1.3 mm"]


def test_over_close_is_read_in_both_its_kinds():
    found = column("dimple.overclose", ["0.05 mm", "1 deg"])
    assert found.kinds == ("length", "angle")
    assert not found.is_scale
    assert found.si == pytest.approx([5e-5, np.radians(1)])
    assert column("dimple.overclose", ("0 deg", "1 deg", 3)).kinds == ("angle",)
    assert column("dimple.overclose", quantity(np.array([0.1, 0.2]), "deg")).kinds == ("angle",)
    assert column("dimple.overclose", quantity(np.array([0.1, 0.2]), "mm")).kinds == ("length",)


@pytest.mark.parametrize("name", ALONE)
def test_what_was_typed_reads_back_as_it_was(name):
    given = ALONE[name][0]
    found = column(name, given)
    for i, item in enumerate(given):
        assert str(found.raw(i)) == str(item)
        fed = {"dimple.rim_feed": None} if item == "none" else {}
        assert found.value(i) == GARDEN.change(ALONE[name][1] | fed | {name: item}).values[name]


@pytest.mark.parametrize("name", [n for n, entry in INPUTS.items() if set(entry.kinds) & set(KINDS)])
def test_every_scale_takes_a_range_over_its_whole_extent(name):
    entry = INPUTS[name]
    for at, kind in enumerate(k for k in entry.kinds if k in KINDS):
        found = column(name, (entry.low[at], entry.high[at], 3))
        assert found.kinds == (kind,)
        assert (found.si[0] + found.si[2]) / 2 == pytest.approx(found.si[1])
        again = column(name, [found.raw(i) for i in range(3)])
        np.testing.assert_allclose(again.si, found.si, rtol=1e-11)


@pytest.mark.parametrize("name", [n for n, entry in INPUTS.items() if n in ALONE and not set(entry.kinds) & set(KINDS)])
def test_what_is_bought_or_a_word_takes_no_range(name):
    first = ALONE[name][0][0]
    with pytest.raises(InputError, match=rf"{re.escape(name)}: takes no range; give a list such as \["):
        column(name, (first, first, 3))


# A million


def cheap(record, wanted, _worn):
    """Stands in for the kernel: what goes in comes out."""
    shape = np.broadcast_shapes(*(np.shape(field) for field in record))
    assert np.prod(shape) <= blocks.DESIGNS
    bend = np.broadcast_to(record.bend * 1e3 + record.friction, shape)
    return Answers(dict.fromkeys(wanted, bend), dict.fromkeys(FLAGS, bend > 2))


@pytest.mark.parametrize(
    ("name", "given", "wanted"),
    [
        ("bar.bend", ("1 mm", "2 mm", 1_000_000), lambda n: np.linspace(1, 2, n) + 0.12),
        ("bar.bend", quantity(np.linspace(1, 2, 1_000_000), "mm"), lambda n: np.linspace(1, 2, n) + 0.12),
        ("friction.ball_on_tang", np.linspace(0.1, 0.2, 1_000_000), lambda n: np.linspace(0.1, 0.2, n) + 1.6),
    ],
    ids=["range", "quantity", "array"],
)
def test_a_million_points_make_no_texts(monkeypatch, name, given, wanted):
    """Single values are read a handful of times, whatever the count; results stand in order."""
    calls = []
    read = reading.read_value
    monkeypatch.setattr("detentsim.knife.table.columns.read_value", lambda *a, **k: calls.append(a) or read(*a, **k))
    monkeypatch.setattr(solving, "answer", cheap)
    told = []
    s = ds.sweep(GARDEN, {name: given}, of="preload", progress=lambda done, total: told.append((done, total)))
    assert s.size == 1_000_000
    assert s.axes[0].column.texts is None
    assert len(calls) < 10
    repr(s)
    page = s._repr_html_()
    assert "labels" not in vars(s.axes[0])
    assert "1,000,000 designs" in page
    np.testing.assert_allclose(s.results["preload"], wanted(1_000_000), rtol=1e-12)
    assert s.done.all()
    assert len(told) == -(-1_000_000 // blocks.DESIGNS)
    assert s.build_at(999_999).si(name) == pytest.approx(s.axes[0].column.si[-1])
    rows = s.to_records()
    assert rows.shape == (1_000_000,)
    assert rows["preload_N"][-1] == s.results["preload"][-1]


def test_a_long_sweep_takes_little_more_room_than_its_results(monkeypatch):
    """A million designs: results, flags and the fields varied are some tens of megabytes, the work a block."""
    monkeypatch.setattr(solving, "answer", cheap)
    tracemalloc.start()
    try:
        s = ds.sweep(GARDEN, {"bar.bend": ("1 mm", "2 mm", 1_000_000)}, of="preload")
        kept, peak = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()
    assert s.results["preload"].nbytes == 8e6
    assert kept < 60e6
    assert peak - kept < 60e6


def test_feeds_for_heights_are_solved_a_part_at_a_time(monkeypatch):
    vary = {"dimple.loose_ball_height": ("1.06 mm", "1.2 mm", 9), "ball.diameter": ["1/16 in", "1.6 mm"]}
    whole = swept(GARDEN.change(HEIGHT), read_columns(vary))
    monkeypatch.setattr("detentsim.knife.record.feed.FEEDS_AT_ONCE", 5)
    parts = swept(GARDEN.change(HEIGHT), read_columns(vary))
    np.testing.assert_allclose(parts.numbers["dimple.rim_feed"], whole.numbers["dimple.rim_feed"], rtol=0, atol=2e-12)
    ((words, where),) = whole.misfits.items()
    assert "no feed" in words
    assert 0 < np.count_nonzero(where) < where.size
    np.testing.assert_array_equal(parts.misfits[words], where)


def test_a_million_over_three_axes_stand_where_they_belong(monkeypatch):
    monkeypatch.setattr(solving, "answer", cheap)
    vary = {"bar.bend": ("1 mm", "2 mm", 100), "bar.root": ["slab", "clamped"], "friction.ball_on_tang": (0, 0.5, 5000)}
    s = ds.sweep(GARDEN, vary, of="preload")
    wanted = np.linspace(1, 2, 100)[:, None, None] + np.zeros((1, 2, 1)) + np.linspace(0, 0.5, 5000)
    np.testing.assert_allclose(s.results["preload"], wanted, rtol=1e-12)
    np.testing.assert_array_equal(s.flags["floats"], s.results["preload"] > 2)
