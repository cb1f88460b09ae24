"""Pulls at another place than the opener, with a zero that is off, and a ball that sticks at rest."""

import re

import numpy as np
import pytest
from helpers.garden import garden
from helpers.gauges import readings

import detentsim as ds
from detentsim.knife.measured.measured import Measured
from detentsim.show.in_hand.compare.report import compare_report
from detentsim.units.systems import INCH

GARDEN = garden()
OPENER = 15.0  # mm


def pulled(scale=1.0, zero=0.0, heading="", tail="", force=None):
    """A pull on the garden folder whose force is scaled, or given, on a gauge that shows `zero` with nothing on it."""
    angle, own = readings(GARDEN, count=400, peak=True)
    force = own * scale if force is None else force
    rows = [f"{a:.9g},{f:.9g}{tail}" for a, f in zip(angle, force + zero, strict=True)]
    return Measured.from_text("\n".join([f"angle_deg,force_N{heading}", *rows]), "pull")


def test_a_pull_at_another_radius_is_converted_by_its_torque():
    """Twice the radius needs half the force; lever rule, any text on statics."""
    far = pulled(0.5, heading=",radius_mm", tail=f",{2 * OPENER}")
    _, at_opener, other = ds.compare(GARDEN, pulled(), far).items
    for name in ("breakout_force", "drag_after_let_go", "breakout_energy", "let_go_angle"):
        assert other.values[name] == pytest.approx(at_opener.values[name], rel=1e-6)
    assert "Pulled 30 mm from the pivot; converted by its torque to 15 mm." in other.notes
    assert not [note for note in at_opener.notes if "pivot" in note]


def test_pulls_at_two_radii_without_a_build_are_compared_at_the_first():
    near, far = (pulled(OPENER / r, heading=",radius_mm", tail=f",{r}") for r in (10.0, 20.0))
    found = ds.compare(near, far)
    assert found.distances[1].steps == pytest.approx(0, abs=1e-6)
    assert found.items[1].values["breakout_force"] == pytest.approx(found.first.values["breakout_force"], rel=1e-6)
    assert "Pulled 20 mm from the pivot; converted by its torque to 10 mm." in found.items[1].notes


def test_notes_speak_the_units_of_the_report():
    """1 in is 25.4 mm and 1 lbf 4.448 N by definition: 30 mm are 1.2 in, 15 mm 590 thou."""
    angle = np.concatenate([np.zeros(40), np.linspace(0.02, 12, 300)])
    force = np.concatenate([np.linspace(0.35, 14, 40), np.where(angle < 5, 10 - 1.8 * angle, 1.0)[40:]])
    far = pulled(0.5, heading=",radius_mm", tail=f",{2 * OPENER}")
    inch = GARDEN.change({"units": "inch"})
    for found in (
        ds.compare(inch, far, _text(angle, force)),
        ds.compare(GARDEN, far, _text(angle, force), shown_in=INCH),
    ):
        notes = " ".join(note for feel in found.items for note in feel.notes)
        assert not re.search(r"\d (mm|N)\b", notes)
        assert "Pulled 1.2 in from the pivot; converted by its torque to 590 thou." in notes
        assert "The highest force, 3.1 lbf, stands alone" in notes


def test_a_zero_that_is_given_changes_nothing_and_one_below_the_drag_is_doubted():
    _, good, mended, off = ds.compare(
        GARDEN, pulled(), pulled(zero=-3, heading=",zero_N", tail=",-3"), pulled(zero=-3)
    ).items
    assert mended.values == pytest.approx(good.values)
    assert off.values["breakout_force"] == pytest.approx(good.values["breakout_force"] - 3, rel=1e-6)
    assert any("the gauge's zero is off" in note for note in off.notes)
    assert not any("zero" in note for note in (*good.notes, *mended.notes))


def test_a_peak_alone_at_the_first_angle_is_named_with_what_the_rest_leads_back_to():
    """A force that falls evenly from 10 N, and before it a ramp to 14 N at the angle of rest."""
    angle = np.concatenate([np.zeros(40), np.linspace(0.02, 12, 300)])
    flank = np.where(angle < 5, 10 - 1.8 * angle, 1.0)
    force = np.concatenate([np.linspace(0.35, 14, 40), flank[40:]])
    (feel,) = ds.compare(_text(angle, force), target=GARDEN).items
    (note,) = [note for note in feel.notes if "first angle" in note]
    assert "The highest force, 14 N, stands alone at the first angle; what follows leads back to 10 N." in note
    (even,) = ds.compare(_text(angle[39:], np.append(10.0, flank[40:])), target=GARDEN).items
    assert not any("first angle" in note for note in even.notes)


def _text(angle, force):
    rows = [f"{a:.9g},{f:.9g}" for a, f in zip(angle, force, strict=True)]
    return Measured.from_text("\n".join(["angle_deg,force_N", *rows]), "pull")


def test_what_few_readings_leave_open_stands_beside_the_value():
    """25 readings over 14 deg take the highest of two neighbours that differ by a third: the peak may be any height."""
    few = _text(*readings(GARDEN, count=25, noise=0.05, last=14.0, seed=3))
    many = _text(*readings(GARDEN, count=3000, last=14.0, peak=True))
    coarse, fine = ds.compare(GARDEN, few), ds.compare(GARDEN, many)
    assert np.isinf(coarse.items[1].most_breakout)
    assert fine.items[1].most_breakout is None
    assert re.search(r"breakout \[N\] +14 +13 or more", compare_report(coarse))
    assert "lighter, but the readings leave that open." in " ".join(compare_report(coarse).split())
    assert "or more" not in compare_report(fine)
