"""From a build to the record: inputs that stand for others, met in what the record gives back."""

import numpy as np
import pytest
from helpers.garden import WORKSHOP_TEXT, workshop

from detentsim.knife.checks.problems import BuildError
from detentsim.knife.model import Build
from detentsim.knife.record.fields import assemble
from detentsim.knife.record.record import plain, record
from detentsim.mechanics.bar import beam
from detentsim.mechanics.contact import dimple, envelope


def test_without_a_second_drill_the_pilot_stands_in():
    found = record(workshop().change({"dimple.rim_drill": "none", "dimple.rim_feed": None}))
    assert float(found.rim_radius) == float(found.pilot_radius)
    assert float(found.rim_feed) == float(found.pilot_depth)


def test_a_pull_measured_elsewhere_is_met_there():
    measured = {"bar.measured.pull": "2.5 N", "bar.measured.travel": "1.1 mm", "bar.measured.at": "50 mm"}
    found = record(workshop().change(measured))
    there = found.calibration / beam.flexibility(found, 50e-3, 50e-3)
    assert float(there) == pytest.approx(2500 / 1.1, rel=1e-12)


def test_a_calibration_stays_when_the_geometry_is_swept():
    numbers = plain(workshop().change({"bar.stiffness": "3.1 N/mm"}))
    swept = assemble(numbers | {"bar.relief_thickness": np.array([0.9e-3, 1.0e-3])})
    assert float(swept.calibration) == float(numbers["bar.calibration"])
    stiff = beam.bar_stiffness(swept)
    assert stiff[0] == pytest.approx(3100, rel=1e-12)
    assert stiff[1] > 3800


def test_a_loose_ball_height_finds_its_feed():
    build = workshop().change({"dimple.rim_feed": None, "dimple.loose_ball_height": "1.10 mm"})
    found = record(build)
    seat = float(dimple.seat_depth(envelope.pieces(found)))
    assert 2 * float(found.ball_radius) - seat == pytest.approx(1.10e-3, abs=1e-11)
    assert 0 < float(found.rim_feed) < 0.2e-3


@pytest.mark.parametrize("height", ["0.2 mm", "1.5 mm"])
def test_a_loose_ball_height_out_of_reach_is_told(height):
    build = workshop().change({"dimple.rim_feed": None, "dimple.loose_ball_height": height})
    with pytest.raises(BuildError, match=r"dimple\.loose_ball_height: .* decides no feed"):
        record(build)


def test_a_missing_section_is_asked_for():
    build = Build.loads(WORKSHOP_TEXT.split("[opener]")[0])
    with pytest.raises(BuildError, match="opener"):
        record(build)
