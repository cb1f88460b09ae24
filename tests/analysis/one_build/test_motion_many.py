"""Ten thousand motions in one call, and sweeps of motion."""

import numpy as np
import pytest
from helpers.moved import BUILD, motion
from helpers.records import demo, dig
from helpers.scattered import scatter

import detentsim as ds
from detentsim.analysis.results import in_unit
from detentsim.knife.record.record import record as record_of
from detentsim.mechanics.motion import in_motion as mechanics
from detentsim.mechanics.motion import panels
from detentsim.mechanics.names import ALL_NAMES, MOTION_NAMES
from detentsim.mechanics.record import Record
from detentsim.mechanics.response import respond
from detentsim.show.one_build.motion.shut_words import staying_words
from detentsim.show.one_build.motion.words import closing_words
from detentsim.units.errors import InputError

# Ten thousand


@pytest.fixture(scope="module")
def many():
    return ds.sweep(
        BUILD,
        {
            "dimple.rim_feed": ("0 mm", "0.15 mm", 25),
            "bar.bend": ("1 mm", "3 mm", 20),
            "friction.ball_on_tang": (0.05, 0.2, 20),
        },
        MOTION_NAMES,
    )


@pytest.mark.slow
def test_ten_thousand_in_one_call_equal_single_calls(many):
    assert many.size == 10_000
    rng = np.random.default_rng(63)
    for place in zip(*(rng.integers(n, size=40) for n in many.shape), strict=True):
        place = tuple(int(i) for i in place)
        one = respond(record_of(many.build_at(*place)), MOTION_NAMES)
        for name in MOTION_NAMES:
            value, found = float(in_unit(name, one.results[name])), many.results[name][place]
            if name in ("opens_fully", "falls_shut"):
                assert bool(found) == (value > 0), (name, place)
            else:
                np.testing.assert_allclose(found, value, rtol=1e-7, atol=1e-9, err_msg=f"{name} {place}")


@pytest.mark.slow
def test_ten_thousand_hold_every_end(many):
    opens, falls = many.results["opens_fully"], many.results["falls_shut"]
    for truth in (opens, falls):
        assert 100 < np.count_nonzero(truth) < 9900
    np.testing.assert_array_equal(np.isnan(many.results["arrival_speed"]), ~opens)
    np.testing.assert_array_equal(np.isnan(many.results["hang_angle"]), falls)
    known = np.isfinite(many.results["carry_g"])
    np.testing.assert_array_equal(np.isnan(many.results["stall_angle"]), opens | ~known)
    np.testing.assert_array_equal(np.isnan(many.results["wrist_energy"]), opens | ~known)


@pytest.mark.slow
def test_random_designs_in_one_call_equal_single_calls():
    """Every field varied, in blocks; what one design cannot do leaves its neighbours alone."""
    record = scatter(3000, 64)
    record = record._replace(blade_mass=np.where(np.arange(3000) % 10 == 0, np.nan, record.blade_mass))
    many = respond(record, ALL_NAMES)
    rows = np.random.default_rng(65).choice(3000, 40, replace=False)
    for i in rows:
        one = respond(dig(record, i), MOTION_NAMES).results
        for name in MOTION_NAMES:
            np.testing.assert_allclose(many.results[name][i], one[name], rtol=1e-7, atol=1e-9, err_msg=f"{name} {i}")
    for name in MOTION_NAMES:
        assert 0 < np.count_nonzero(np.isnan(many.results[name])) < 3000, name
    assert not any(np.isinf(many.results[name]).any() for name in MOTION_NAMES)


@pytest.mark.slow
@pytest.mark.parametrize("name", MOTION_NAMES)
def test_a_result_asked_for_alone_is_the_same(name):
    record = scatter(60, 66)
    alone = respond(record, (name,)).results
    assert list(alone) == [name]
    np.testing.assert_array_equal(alone[name], respond(record, MOTION_NAMES).results[name])


def test_no_designs_at_all():
    found = respond(demo(bend=np.empty(0)), MOTION_NAMES).results
    assert all(value.shape == (0,) for value in found.values())


@pytest.mark.parametrize(
    ("of", "changes", "said"),
    [
        ("falls_shut", {"blade.mass": None}, "falls_shut needs blade.mass, such as"),
        (
            "carry_g",
            {"blade.mass": None, "blade.balance_radius": None},
            "carry_g needs blade.mass and blade.balance_rad",
        ),
        ("arrival_speed", {"blade.inertia": None}, "arrival_speed needs blade.inertia, such as"),
        (["opens_fully", "stall_angle"], {"blade.inertia": None}, "opens_fully needs blade.inertia, such as"),
    ],
)
def test_a_sweep_of_motion_says_what_the_blade_lacks(of, changes, said):
    with pytest.raises(InputError, match=r"^of: ") as told:
        ds.sweep(BUILD.change(changes), {"bar.bend": ["1 mm", "2 mm"]}, of)
    assert said in str(told.value)
    assert "\n" not in str(told.value)


def test_a_sweep_may_bring_what_the_blade_lacks():
    s = ds.sweep(
        BUILD.change({"blade.inertia": None}), {"blade.inertia": ["40 kg*mm**2", "50 kg*mm**2"]}, "arrival_speed"
    )
    assert s.results["arrival_speed"][0] == pytest.approx(motion().results["arrival_speed"], rel=1e-7)


def test_friction_halved_is_all_friction_and_nothing_else():
    rec = demo(washer_friction=0.1)
    half = mechanics.with_friction(rec, 0.5)
    names = ("friction", "static_friction", "washer_friction", "pivot_torque")
    assert {n for n in Record._fields if not np.array_equal(getattr(rec, n), getattr(half, n), equal_nan=True)} == {
        *names
    }
    assert all(float(getattr(half, n)) == float(getattr(rec, n)) / 2 for n in names)
    assert float(panels.finger_leaves(half)) == float(panels.finger_leaves(rec))


@pytest.mark.parametrize("name", ["dimple.overclose", "dimple.radial_error"])
def test_ball_beside_its_dimple_is_not_said_to_seat(name):
    found = motion({name: "0.8 mm", "attitude.close_from": "90 deg"})
    text = " ".join([*closing_words(found), *staying_words(found)])
    assert "misses_dimple" in found.flags
    assert "seats" not in text
    assert "friction alone holds the blade shut" in text
    assert found.staying.drop is None
