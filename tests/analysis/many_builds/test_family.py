"""Curves of a whole sweep, held to single curves."""

import re

import numpy as np
import pytest
from helpers.sweeps import GARDEN, MISFITS, WASHERS, everywhere

import detentsim as ds
from detentsim.analysis.many_builds.sweep import blocks, family
from detentsim.units.errors import InputError
from detentsim.units.quantities import quantity

# Curves


KINDS = {
    "plain": ({}, {"bar.bend": ["1.2 mm", "1.8 mm"], "dimple.rim_feed": ["0 mm", "0.07 mm", "0.15 mm"]}),
    "rigid": (
        {"bar.lateral_stiffness": "rigid"},
        {"dimple.rim_drill": ["none", "#53"], "dimple.radial_error": ["0 mm", "0.02 mm"]},
    ),
    "proud": ({}, {"dimple.overclose": ["-0.06 mm", "-0.02 mm", "0 mm", "0.06 mm"]}),
    "soft sideways": ({}, {"bar.lateral_stiffness": ["20 N/mm", "60 N/mm"], "friction.ball_on_tang": [0.0, 0.2]}),
    "face on the tang": ({"tang.face_gap": "0.2 mm"}, {"ball.protrusion": ["0.3 mm", "0.35 mm"]}),
    "washers": (WASHERS, {"pivot.washer_friction": [0.1, 0.3], "opener.push": ["fixed", "follows"]}),
    "slanted, pressed": ({"grip.force": "4 N"}, {"tang.travel_angle": ["-15 deg", "10 deg"]}),
    "floats": ({}, {"bar.bend": ["-2 mm", "1.6 mm"]}),
    "locks": ({}, {"friction.ball_on_tang": [0.12, 0.9, 1.4]}),
}


def steady(columns):
    """Rows of a single curve that stand alone: no jump there, and none within rounding of its place."""
    angle = columns[0]
    apart = np.diff(angle) > 1e-6
    return np.concatenate([[False], apart]) & np.concatenate([apart, [True]])


@pytest.mark.slow
@pytest.mark.parametrize("kind", KINDS)
def test_curves_are_the_single_curves_at_their_own_rows(kind):
    needs, vary = KINDS[kind]
    s = ds.sweep(GARDEN.change(needs), vary, of="preload")
    for place in everywhere(s):
        single = ds.curve(s.build_at(*place))
        rows = single.columns[:, steady(single.columns)]
        assert rows.shape[1] > 20
        f = s.curves(at=quantity(rows[0], "deg"))
        assert f.force.shape == (*s.shape, rows.shape[1])
        for array, column in ((f.opening, rows[1]), (f.closing, rows[2])):
            size = np.nanmax(np.abs(column), initial=1e-3)
            np.testing.assert_allclose(array[place], column, rtol=1e-7, atol=1e-7 * size)
        # Where the bar's push jumps, face and washers feel it and the torque may not: a row is the limit from below.
        before = s.curves(at=quantity(np.maximum(rows[0] - 1e-9, 0), "deg")).force[place]
        same = np.isclose(f.force[place], rows[3], rtol=1e-7, atol=1e-6, equal_nan=True)
        assert np.all(same | np.isclose(before, rows[3], rtol=1e-6, atol=1e-6))
        assert np.count_nonzero(~same) <= (4 if kind in ("face on the tang", "washers") else 0)


def test_curves_stand_in_their_units():
    f = ds.sweep(GARDEN, {"bar.bend": ["1.2 mm", "1.8 mm"]}, of=[]).curves(("0 deg", "12 deg", 25))
    assert f.blade_angle.units == "degree"
    assert f.blade_angle.magnitude == pytest.approx(np.linspace(0, 12, 25))
    assert f.opening_force.units == "newton"
    assert f.opening_torque.m_as("N*m") * 1e3 == pytest.approx(f.opening, rel=1e-12)
    assert f.closing_torque.m_as("N*m") * 1e3 == pytest.approx(f.closing, rel=1e-12)
    assert repr(f) == "<Family of 2 curves at 25 blade angles, 0 to 12 deg>"
    assert repr(ds.sweep(GARDEN, {}, of=[]).curves("3 deg")).startswith("<Family of one curve")


def test_a_proud_blade_has_no_curve_below_its_rest():
    """It rests -overclose / pivot_to_ball open: 0.06 mm at 8 mm is 0.43 deg."""
    s = ds.sweep(GARDEN, {"dimple.overclose": ["-0.06 mm", "0 mm"]}, of="rest_angle")
    assert s.results["rest_angle"][0] == pytest.approx(np.degrees(0.06 / 8))
    f = s.curves(["0 deg", "0.42 deg", "0.44 deg", "3 deg"])
    for array in (f.opening, f.closing, f.force):
        assert np.isnan(array).tolist() == [[True, True, False, False], [False] * 4]


def test_a_locked_blade_closes_but_does_not_open():
    f = ds.sweep(GARDEN, {"friction.ball_on_tang": [0.12, 1.4]}, of=[]).curves(("0 deg", "9 deg", 10))
    assert np.isnan(f.opening[1]).all()
    assert np.isnan(f.force[1]).all()
    assert np.isfinite(f.closing).all()
    assert np.isfinite(f.opening[0]).all()


@pytest.mark.parametrize("fit", ["relief_thickness", "rim_drill"])
def test_what_is_no_knife_has_no_curve(fit):
    needs, vary = MISFITS[fit]
    s = ds.sweep(GARDEN.change(needs), vary, of=[])
    f = s.curves(("0 deg", "6 deg", 7))
    assert np.isnan(f.force).all(axis=-1).tolist() == [False, True, False]
    ((name, values),) = vary.items()
    good = ds.sweep(GARDEN.change(needs), {name: values[::2]}, of=[]).curves(("0 deg", "6 deg", 7))
    np.testing.assert_allclose(f.force[::2], good.force, rtol=1e-12)


def test_without_angles_a_third_past_the_last_let_go():
    s = ds.sweep(GARDEN, {"bar.bend": ["-2 mm", "1.6 mm"], "dimple.rim_feed": ["0.02 mm", "0.15 mm"]})
    f = s.curves()
    assert f.angle[0] == 0
    assert np.all(np.diff(f.angle) > 0)
    assert np.diff(f.angle)[:5].max() < 0.1 * np.diff(f.angle)[-1]  # the crest stands near closed
    assert f.angle[-1] == pytest.approx(np.nanmax(s.results["let_go_angle"]) * 4 / 3, rel=1e-9)
    # on the flat nothing is left but drag, at every design that touches
    np.testing.assert_allclose(
        f.opening[1, :, -1], ds.sweep(GARDEN, {}, "drag_torque").results["drag_torque"], rtol=1e-9
    )


def test_no_crest_of_a_few_designs_is_cut_off():
    s = ds.sweep(GARDEN, {"bar.bend": ("1 mm", "3 mm", 9)}, of="breakout_force")
    np.testing.assert_allclose(np.nanmax(s.curves().force, axis=-1), s.results["breakout_force"], rtol=1e-6)


def test_nothing_that_opens_still_has_angles():
    f = ds.sweep(GARDEN, {"bar.bend": ["-2 mm", "-3 mm"]}).curves()
    assert f.angle[-1] == pytest.approx(4)


def test_curves_do_not_hang_on_how_they_are_cut(monkeypatch):
    s = ds.sweep(GARDEN, {"bar.bend": ("1 mm", "2 mm", 5), "dimple.overclose": ("-0.05 mm", "0.05 mm", 4)}, of=[])
    whole = s.curves(("0 deg", "6 deg", 31))
    cut = blocks.cut
    monkeypatch.setattr(family, "cut", lambda shape, most=1024: cut(shape, min(most, 3)))
    parts = s.curves(("0 deg", "6 deg", 31))
    for name in ("opening", "closing", "force"):
        np.testing.assert_allclose(getattr(parts, name), getattr(whole, name), rtol=1e-10, atol=1e-10, err_msg=name)


def test_angles_in_any_order_and_twice():
    s = ds.sweep(GARDEN, {"bar.bend": ["1.6 mm"]}, of=[])
    mixed, plain = s.curves(["3 deg", "1 deg", "3 deg"]), s.curves(["1 deg", "3 deg"])
    np.testing.assert_allclose(mixed.force[0], plain.force[0][[1, 0, 1]], rtol=1e-12)


@pytest.mark.parametrize(
    "at",
    [
        [],
        5,
        [1, 2],
        np.array([1.0, 2.0]),
        "three",
        ["1 mm"],
        quantity(np.array([1.0]), "mm"),
        quantity(np.ones((2, 2)), "deg"),
        ["-1 deg"],
        ["361 deg"],
        (),
        ("0 deg", "9 deg"),
        ("0 deg", "9 deg", 0),
        ("0 deg", "9 deg", 2.5),
        ("0 deg", "9 deg", True),
        ("0 deg", "9 deg", "10"),
        ("0 deg", "9 deg", 10**12),
        ("0 deg", "9 mm", 3),
        (0, 9, 3),
        ("0 deg", "400 deg", 3),
        {"0 deg": 1},
    ],
    ids=str,
)
def test_wrong_angles_are_told_in_a_line(at):
    s = ds.sweep(GARDEN, {"bar.bend": ["1.6 mm"]}, of=[])
    with pytest.raises(InputError) as told:
        s.curves(at)
    message = str(told.value)
    assert message.startswith("at: ")
    assert "\n" not in message
    assert re.search(r'"\d+(\.\d+)? deg"', message), message


@pytest.mark.parametrize("at", [None, ("0 deg", "9 deg", 500)])
def test_more_than_memory_holds_is_told_before_any_work(monkeypatch, at):
    def never(_record):
        raise AssertionError("solved")

    s = ds.sweep(GARDEN, {"bar.bend": ("1 mm", "2 mm", 50)}, of=[])
    monkeypatch.setattr(family, "respond", never)
    monkeypatch.setattr(family, "MOST_NUMBERS", 9_000)
    with pytest.raises(InputError, match=r"at: 50 designs at (361|500) angles are too many; at most 9,000"):
        s.curves(at)
