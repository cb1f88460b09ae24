"""Inputs that stand for others: a measured stiffness, a loose ball's height; many designs at once."""

import numpy as np
import pytest
from helpers.garden import garden

from detentsim.knife.checks.problems import BuildError
from detentsim.knife.record.fields import assemble
from detentsim.knife.record.record import plain, record
from detentsim.mechanics.bar import beam
from detentsim.mechanics.contact import dimple, envelope
from detentsim.mechanics.detent import bar_spring

GARDEN = garden()
INCH = 25.4e-3
THOU = INCH / 1000

BALL = INCH / 32
SHARP = {"dimple.edge_radius": "0 mm"}


def moved(before, after):
    """Fields of two records that differ."""
    pairs = zip(before._fields, before, after, strict=True)
    return {name for name, old, new in pairs if not np.array_equal(old, new, equal_nan=True)}


# A measured stiffness


def hand_flexibility(at):
    """Deflection per force of a clamped garden bar pulled at `at`, bending and shear alone [m/N].

    Without cross-contraction a wide relief is no stiffer than a beam; Cowper's coefficient is then 10/12.
    """
    modulus, width = 114e9, 8e-3
    relief, whole, length = 1.3e-3, 3e-3, 10e-3
    inner, outer = (modulus * width * t**3 / 12 for t in (relief, whole))
    bending = (at**3 - (at - length) ** 3) / (3 * inner) + (at - length) ** 3 / (3 * outer)
    shear = (length / relief + (at - length) / whole) * 12 / 10 * 2 / (modulus * width)
    return bending + shear


# The step's own give, beside bending and shear: 0.6 relief thicknesses less what a full bar would have.
STEP_GIVE = 0.60 * 1.3e-3 * (1 - (1.3 / 3) ** 2)
STIFF_ROOT = {"bar.root": "clamped", "bar.poissons_ratio": 0.0}


def measured(at=None, pull=10.0, travel=0.8):
    changes = {"bar.measured.pull": f"{pull} N", "bar.measured.travel": f"{travel} mm"}
    return changes | ({} if at is None else {"bar.measured.at": f"{at} mm"})


@pytest.mark.parametrize("at", [30, 44, 50])
def test_calibration_by_a_pull_is_measured_over_computed_at_the_same_place(at):
    found = record(GARDEN.change(STIFF_ROOT | measured(at)))
    inner = 114e9 * 8e-3 * 1.3e-3**3 / 12
    computed = hand_flexibility(at * 1e-3) + STEP_GIVE * (at * 1e-3 - 10e-3) ** 2 / inner
    assert float(found.calibration) == pytest.approx(10 / 0.8e-3 * computed, rel=1e-9)


def test_a_stiffer_measurement_calibrates_up():
    soft, stiff = (float(record(GARDEN.change(measured(50, travel=t))).calibration) for t in (0.8, 0.4))
    assert stiff == pytest.approx(2 * soft, rel=1e-12)
    strong = float(record(GARDEN.change(measured(50, pull=20.0))).calibration)
    assert strong == pytest.approx(2 * soft, rel=1e-12)


@pytest.mark.parametrize("stiffness", [9.0, 13.0, 17.0])
def test_a_stiffness_at_the_ball_is_the_springs_own(stiffness):
    found = record(GARDEN.change({"bar.stiffness": f"{stiffness} N/mm"}))
    assert float(bar_spring.solve(found).spring.stiffness) == pytest.approx(stiffness * 1e3, rel=1e-12)
    alone = float(beam.bar_stiffness(record(GARDEN)))
    assert float(found.calibration) == pytest.approx(stiffness * 1e3 / alone, rel=1e-12)


def test_a_pull_at_the_ball_and_its_stiffness_say_the_same():
    pulled = record(GARDEN.change(measured(44)))
    assert moved(pulled, record(GARDEN.change({"bar.stiffness": "12.5 N/mm"}))) <= {"calibration"}
    assert float(pulled.calibration) == pytest.approx(
        float(record(GARDEN.change({"bar.stiffness": "12.5 N/mm"})).calibration), rel=1e-12
    )


def test_a_sideways_stiffness_that_was_given_is_not_calibrated():
    found = record(GARDEN.change({"bar.lateral_stiffness": "250 N/mm", "bar.calibration": 1.2}))
    assert float(beam.lateral_compliance(found)) == pytest.approx(4e-6, rel=1e-12)


# A loose ball's height in place of the feed


@pytest.mark.parametrize("feed", [0.01, 0.05, 0.09])
def test_a_loose_ball_height_is_its_feed_by_hand(feed):
    """On the sharp inner edge, depth q and radius a1, the ball stands R + sqrt(R^2 - a1^2) - q proud."""
    height = 1e3 * (BALL + np.sqrt(BALL**2 - (27.5 * THOU) ** 2)) - feed
    changes = SHARP | {"dimple.rim_feed": None, "dimple.loose_ball_height": f"{height:.9f} mm"}
    found = record(GARDEN.change(changes))
    assert float(found.rim_feed) == pytest.approx(feed * 1e-3, abs=2e-12)
    assert moved(record(GARDEN.change(SHARP)), found) == {"rim_feed"}


def test_a_wide_rim_drill_may_be_fed_deep():
    """A rim nearly as wide as the ball leaves it on the inner edge to a quarter of a millimetre."""
    wide = SHARP | {"dimple.rim_drill": "1.58 mm"}
    height = 1e3 * (BALL + np.sqrt(BALL**2 - (27.5 * THOU) ** 2)) - 0.25
    found = record(GARDEN.change(wide | {"dimple.rim_feed": None, "dimple.loose_ball_height": f"{height:.9f} mm"}))
    assert float(found.rim_feed) == pytest.approx(0.25e-3, abs=2e-12)


def test_a_ball_on_the_outer_edge_decides_no_feed():
    """Once the #53 rim carries the ball, R + sqrt(R^2 - a2^2), no deeper feed lowers it; nor is a hole unfed one."""
    lowest = 1e3 * (BALL + np.sqrt(BALL**2 - (29.75 * THOU) ** 2))
    highest = 1e3 * (BALL + np.sqrt(BALL**2 - (27.5 * THOU) ** 2))
    for height, decides in ((lowest - 1e-4, 0), (lowest + 1e-4, 1), (highest - 1e-4, 1), (highest + 1e-4, 0)):
        changes = SHARP | {"dimple.rim_feed": None, "dimple.loose_ball_height": f"{height:.6f} mm"}
        build = GARDEN.change(changes)
        if decides:
            shape = envelope.pieces(record(build))
            assert 2 * BALL - float(dimple.seat_depth(shape)) == pytest.approx(height * 1e-3, abs=1e-9)
        else:
            with pytest.raises(BuildError, match=f"from above {lowest:.3f} to below {highest:.3f} mm"):
                record(build)


# Many designs at once


@pytest.mark.parametrize(
    ("name", "texts"),
    [
        ("dimple.rim_feed", ("0 mm", "0.03 mm", "0.16 mm")),
        ("bar.tip_from_root", ("48 mm", "50 mm", "53 mm")),
        ("tang.pivot_to_ball", ("7 mm", "8 mm", "9 mm")),
        ("dimple.hole_oversize", ("0 mm", "0.01 mm", "0.02 mm")),
        ("dimple.point_angle", ("110 deg", "118 deg", "135 deg")),
        ("friction.ball_on_tang", (0.08, 0.12, 0.18)),
        ("stop.pin_change", ("-0.02 mm", "0 mm", "0.03 mm")),
    ],
)
def test_arrays_of_numbers_are_builds_one_at_a_time(name, texts):
    base = GARDEN.change({"stop.radius": "10 mm"})
    builds = [base.change({name: text}) for text in texts]
    together = assemble(plain(base) | {name: np.array([build.si(name) for build in builds])})
    for i, build in enumerate(builds):
        one = record(build)
        for field in one._fields:
            found = np.broadcast_to(getattr(together, field), (3,))[i]
            np.testing.assert_allclose(found, getattr(one, field), rtol=1e-12, err_msg=field, equal_nan=True)
