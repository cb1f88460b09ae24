"""Names and units of results and flags, as notebooks and scripts rely on them."""

import pytest

from detentsim.knife.outcomes import FLAGS, RESULTS
from detentsim.units.quantities import factor

BY_UNIT = {
    "N/mm": "bar_stiffness lateral_stiffness",
    "mm": "free_offset seat_depth rim_diameter loose_ball_height "
    "travel_before_loss travel_to_unlock push_for_bend springback",
    "N": "preload seated_force riding_force lift_force_open lift_force_closed breakout_force drag_force lockup_force",
    "N*mm": "breakout_torque draw_torque drag_torque closing_spare",
    "deg": "contact_angle rest_angle breakout_angle breakout_force_angle let_go_angle pull_in_angle lash "
    "stall_angle hang_angle",
    "mJ": "breakout_energy arrival_energy wrist_energy opening_spare",
    "": "breakout_to_drag carry_g",
    "MPa": "working_stress yield_strength contact_pressure contact_pressure_limit",
    "truth": "opens_fully falls_shut",
    "rad/s": "arrival_speed",
}
FLAG_NAMES = (
    "floats misses_dimple stopped_short never_lets_go lacks_lever hangs_loose bar_on_tang ball_on_floor locks_solid "
    "stands_proud snaps loses_bend dents_tang"
)


@pytest.mark.parametrize("unit", BY_UNIT)
def test_results_by_unit(unit):
    assert {n for n, o in RESULTS.items() if o.unit == unit} == set(BY_UNIT[unit].split())


def test_no_other_result():
    assert set(RESULTS) == {name for names in BY_UNIT.values() for name in names.split()}


def test_units_are_known():
    assert all(factor(o.unit) > 0 for o in RESULTS.values() if not o.is_truth)


def test_flags_in_order():
    assert list(FLAGS) == FLAG_NAMES.split()


def test_each_is_told_in_one_line():
    for text in [o.meaning for o in RESULTS.values()] + list(FLAGS.values()):
        assert 10 < len(text) < 110
        assert "\n" not in text
