"""Columns of a gauge's table that hold for the rows below: its zero, and where it pulls."""

import numpy as np
import pytest

from detentsim.knife.measured.measured import Measured
from detentsim.units.errors import InputError

ROWS = [(0, 5), (1, 9), (2, 4), (5, 2), (9, 2)]


def table(heading, *tails):
    """Five readings, each with what its row holds beside angle and force; the last tail stands in all rows left."""
    tails += (tails[-1],) * (len(ROWS) - len(tails))
    rows = [f"{angle},{force},{tail}" for (angle, force), tail in zip(ROWS, tails, strict=True)]
    return "\n".join([f"angle_deg,force_N,{heading}", *rows])


def test_the_zero_is_taken_off_until_another_one_is_given():
    (run,) = Measured.from_text(table("zero_N", "0.5", "", "-0.25", "")).runs
    np.testing.assert_allclose(run.force, [4.5, 8.5, 4.25, 2.25, 2.25])


def test_the_zero_counts_in_its_own_unit_and_for_every_column_of_forces():
    text = "angle_deg,force_N,force_N,zero (lbf)\n" + "\n".join(f"{a},{f},{f + 1},0.1" for a, f in ROWS)
    one, other = Measured.from_text(text).runs
    np.testing.assert_allclose(one.force, np.array([5, 9, 4, 2, 2]) - 0.44482216152605)
    np.testing.assert_allclose(other.force - one.force, 1.0)


def test_the_radius_is_the_runs_and_absent_by_default():
    assert Measured.from_text(table("radius (in)", "0.5", "")).runs[0].radius == pytest.approx(0.0127)
    assert np.isnan(Measured.from_text(table("note", "a")).runs[0].radius)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (table("radius", "18"), "has no unit; write it like radius_mm"),
        (table("zero_mm", "0.1"), "write it like zero_N"),
        (table("radius_mm", "-18", ""), "is too small; give the distance from the pivot"),
        (table("radius_mm", "1800", ""), "is too large; at most 500 mm"),
        (table("radius_mm", "18", "20"), "its radius changes; give one run for each place"),
        (table("radius_mm,radius_mm", "18,18"), "has 2 columns of radius; keep one"),
        (table("zero_N", "none", ""), "is no number"),
    ],
)
def test_a_wrong_one_is_refused_in_one_line(text, words):
    with pytest.raises(InputError) as caught:
        Measured.from_text(text)
    assert words in str(caught.value)
    assert len(str(caught.value).splitlines()) == 1
