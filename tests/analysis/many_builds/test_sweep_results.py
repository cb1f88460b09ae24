"""What a sweep gives back: shapes, units, axes, records and tables; one design and one point."""

import numpy as np
import pytest
from helpers.sweeps import (
    CLOSE,
    GARDEN,
    everywhere,
    matches,
)

import detentsim as ds
from detentsim.knife.outcomes import FLAGS
from detentsim.mechanics.names import RESULT_NAMES
from detentsim.units.errors import InputError

# One design, one point, backwards


def test_nothing_varied_is_the_build_itself():
    s = ds.sweep(GARDEN, {})
    assert s.shape == ()
    assert s.size == 1
    single = ds.curve(GARDEN)
    for name in RESULT_NAMES:
        assert float(s.results[name]) == pytest.approx(single.results[name], rel=1e-12)
    assert s["preload"].units == "newton"
    assert s.build_at().values == GARDEN.values


@pytest.mark.parametrize("changes", [{}, {"bar.bend": "-2 mm"}, {"friction.ball_on_tang": 0.9}])
def test_what_the_build_itself_does_is_what_its_motion_says(changes):
    build, names = GARDEN.change(changes), ["opens_fully", "falls_shut"]
    alone = ds.motion(build)
    assert ds.sweep(build, {}, of=names).own == {name: alone.results[name] for name in names}  # None: not known


def test_one_point_keeps_its_axis():
    for values in (["1.8 mm"], ("1.8 mm", "2 mm", 1)):
        s = ds.sweep(GARDEN, {"bar.bend": values, "friction.ball_on_tang": [0.1, 0.2]})
        assert s.shape == s["preload"].shape == (1, 2)
        matches(s, everywhere(s))


def test_backwards_is_the_same_backwards():
    there, back = (ds.sweep(GARDEN, {"bar.bend": ends}) for ends in (("1 mm", "2 mm", 9), ("2 mm", "1 mm", 9)))
    assert back.axis("bar.bend").values[0] == 2
    for name, array in there.results.items():
        np.testing.assert_allclose(back.results[name][::-1], array, rtol=CLOSE, err_msg=name)


def test_the_same_value_twice_stands_twice():
    s = ds.sweep(GARDEN, {"dimple.rim_drill": ["#53", "none", "#53"]})
    assert all(array[0] == array[2] or np.isnan(array[0]) for array in s.results.values())


# What comes back


def small():
    vary = {"dimple.rim_drill": ["none", "#53"], "bar.bend": ("1 mm", "2 mm", 3)}
    return ds.sweep(GARDEN, vary, of=["breakout_force", "draw_torque", "falls_shut", "breakout_to_drag"])


def test_results_are_those_asked_for_in_their_unit_and_shape():
    s = small()
    assert list(s.results) == ["breakout_force", "draw_torque", "falls_shut", "breakout_to_drag"]
    assert s["breakout_force"].shape == (2, 3)
    np.testing.assert_allclose(s["draw_torque"].m_as("N*m") * 1e3, s.results["draw_torque"], rtol=1e-12)
    assert s["falls_shut"].dtype == bool
    assert set(s.flags) == set(FLAGS)
    assert all(array.shape == (2, 3) and array.dtype == bool for array in s.flags.values())
    assert list(ds.sweep(GARDEN, {}).results) == list(RESULT_NAMES)
    with pytest.raises(InputError, match="did you mean breakout_force"):
        s["breakout_forse"]
    with pytest.raises(InputError, match=r"this sweep varies dimple\.rim_drill, bar\.bend"):
        s.axis("bar.width")


def test_axes_know_their_unit_and_the_builds_own_place():
    s = ds.sweep(
        GARDEN,
        {
            "bar.bend": ["1 mm", "0.1 in"],
            "dimple.rim_drill": ["none", "#53"],
            "dimple.pilot_drill": ["#54", "1.2 mm"],
            "friction.ball_on_tang": [0.1],
            "stop.radius": ["9 mm"],
        },
        of=[],
    )
    bend, rim, pilot, friction, stop = s.axes
    np.testing.assert_allclose(bend.values, [1, 2.54], rtol=1e-12)
    assert (bend.unit, bend.labels, bend.is_scale, bend.here) == ("mm", ("1 mm", "0.1 in"), True, pytest.approx(1.6))
    assert (rim.values.tolist(), rim.labels, rim.is_scale, rim.here) == ([0, 1], ("none", "#53"), False, 1)
    assert pilot.values == pytest.approx([0.055 * 25.4, 1.2])
    assert pilot.here == pytest.approx(0.055 * 25.4)
    assert (friction.unit, friction.here) == ("", 0.12)
    assert np.isnan(stop.here)


@pytest.mark.parametrize("index", [(), (0,), (0, 0, 0), (2, 0), (0, -4), (0.5, 0), ("a", 0), (None, None)])
def test_a_wrong_index_is_told_in_a_line(index):
    with pytest.raises(InputError) as told:
        small().build_at(*index)
    assert str(told.value).startswith("build_at: ")
    assert "\n" not in str(told.value)


def test_an_index_counts_as_in_an_array():
    s = small()
    assert s.build_at(-1, -3).values == s.build_at(1, 0).values
    assert s.build_at(np.int64(1), np.int8(2)).si("bar.bend") == pytest.approx(2e-3)
    assert s.build_at(0, 1)["dimple.rim_feed"] is None
    assert s.build_at(1, 1).values == GARDEN.change({"bar.bend": "1.5 mm"}).values


def test_records_have_a_row_a_design_in_order():
    s = small()
    rows = s.to_records()
    assert rows.shape == (6,)
    assert rows.dtype.names[:6] == (
        "dimple.rim_drill",
        "bar.bend_mm",
        "breakout_force_N",
        "draw_torque_Nmm",
        "falls_shut",
        "breakout_to_drag",
    )
    assert rows.dtype.names[6:] == (*FLAGS, "excluded", "done")
    assert rows["dimple.rim_drill"].tolist() == ["none"] * 3 + ["#53"] * 3
    assert rows["bar.bend_mm"].tolist() == pytest.approx([1, 1.5, 2] * 2)
    np.testing.assert_array_equal(rows["breakout_force_N"].reshape(2, 3), s.results["breakout_force"])
    np.testing.assert_array_equal(rows["dents_tang"].reshape(2, 3), s.flags["dents_tang"])
    assert ds.sweep(GARDEN, {}).to_records().shape == (1,)


def test_dict_is_what_labelled_arrays_read():
    s = small()
    found = s.to_dict()
    assert found["dims"] == {"dimple.rim_drill": 2, "bar.bend": 3}
    assert found["attrs"] == {"build": "82 mm garden folder"}
    assert found["coords"]["dimple.rim_drill"]["data"] == ["none", "#53"]
    assert found["coords"]["bar.bend"]["attrs"] == {"units": "mm"}
    assert set(found["data_vars"]) == {*s.results, *FLAGS, "excluded", "done"}
    force = found["data_vars"]["breakout_force"]
    assert force["dims"] == ("dimple.rim_drill", "bar.bend")
    assert force["attrs"]["units"] == "N"
    assert "units" not in found["data_vars"]["falls_shut"]["attrs"]


def test_xarray_reads_it():
    xarray = pytest.importorskip("xarray")
    s = small()
    data = xarray.Dataset.from_dict(s.to_dict())
    assert data["breakout_force"].attrs["units"] == "N"
    there = data["breakout_force"].sel({"dimple.rim_drill": "#53", "bar.bend": 2.0}, method=None)
    assert float(there) == s.results["breakout_force"][1, 2]
    one = xarray.Dataset.from_dict(ds.sweep(GARDEN, {}).to_dict())
    assert float(one["preload"]) == pytest.approx(ds.curve(GARDEN).results["preload"])


def test_pandas_reads_it():
    pandas = pytest.importorskip("pandas")
    s = small()
    frame = pandas.DataFrame(s.to_records())
    assert len(frame) == 6
    chosen = frame[(frame["dimple.rim_drill"] == "#53") & (frame["bar.bend_mm"] > 1.9)]
    assert chosen["breakout_force_N"].tolist() == [s.results["breakout_force"][1, 2]]


def test_a_sweep_in_a_line_and_in_a_small_table():
    s = ds.sweep(GARDEN, {"bar.relief_thickness": ["1.3 mm", "3.1 mm"], "bar.bend": ("-1 mm", "2 mm", 4)})
    assert repr(s).startswith("<Sweep of '82 mm garden folder': bar.relief_thickness 2 x bar.bend 4; floats ")
    assert "one design" in repr(ds.sweep(GARDEN, {}))
    page = s._repr_html_()
    assert "8 designs" in page
    assert '<th>bar.bend</th><td style="text-align:left">4: -1 mm to 2 mm</td>' in page
    assert '<th>the relief is thicker than the bar</th><td style="text-align:left">4 of 8</td>' in page
    assert page.count("<tr>") < 50
    assert s._ipython_key_completions_() == list(RESULT_NAMES)
    odd = ds.sweep(GARDEN.change({"name": "a <b> & c"}), {})
    assert "a &lt;b&gt; &amp; c" in odd._repr_html_()


def test_a_sweep_leaves_the_build_alone():
    before = GARDEN.text
    ds.sweep(GARDEN, {"bar.bend": ["1 mm", "2 mm"]}).build_at(0)
    assert GARDEN.text == before
