"""A power screw with a collar: the wedge and the washer in one torque, in both senses.

Source: R. G. Budynas and J. K. Nisbett, Shigley's Mechanical Engineering Design, power screws (square thread), eqs.
8-1, 8-2 and 8-6: T_R = F d_m/2 (l + pi f d_m)/(pi d_m - f l), T_L = F d_m/2 (pi f d_m - l)/(pi d_m + f l),
T_c = F f_c d_c/2. Example 8-1 (from memory): major diameter 32 mm, pitch 4 mm, double thread, f = f_c = 0.08, collar
diameter 40 mm, load 6.4 kN: mean diameter 30 mm, lead 8 mm, T_R = 26.18 N m and T_L = 9.77 N m, collar included.
"""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from detentsim.mechanics.detent import balance
from detentsim.mechanics.motion import pivot


def _screw(load, mean, lead, friction, collar_friction, collar, *, raising):
    """Torque [N m]: the thread is a flank of slope lead/(pi d_m) on an arm d_m/2, the collar a washer face."""
    slope = np.arctan(np.asarray(lead) / (np.pi * np.asarray(mean)))
    touch = balance.BallContact(np.asarray(0.0), np.sin(slope), np.asarray(1.0))
    thread = balance.torque(load, touch, friction, np.asarray(mean) / 2, opening=raising)
    face = collar_friction * load * pivot.collar_radius(collar, collar)
    return thread + face if raising else face - thread


def test_square_thread_example():
    assert float(_screw(6400, 0.030, 0.008, 0.08, 0.08, 0.040, raising=True)) == pytest.approx(26.18, abs=0.005)
    # The thread alone would let the load run down, with -0.466 N m; the collar's 10.24 N m hold it.
    assert float(_screw(6400, 0.030, 0.008, 0.08, 0.08, 0.040, raising=False)) == pytest.approx(9.77, abs=0.005)


def test_formula_of_the_text_both_ways():
    rng = np.random.default_rng(23)
    load, mean = rng.uniform(10, 1e4, 200), rng.uniform(5e-3, 80e-3, 200)
    lead, f = mean * rng.uniform(0.05, 2.0, 200), rng.uniform(0, 0.25, 200)
    fc, dc = rng.uniform(0, 0.25, 200), mean * rng.uniform(1, 2, 200)
    up = load * mean / 2 * (lead + np.pi * f * mean) / (np.pi * mean - f * lead) + load * fc * dc / 2
    down = load * mean / 2 * (np.pi * f * mean - lead) / (np.pi * mean + f * lead) + load * fc * dc / 2
    assert_allclose(_screw(load, mean, lead, f, fc, dc, raising=True), up, rtol=1e-11)
    assert_allclose(_screw(load, mean, lead, f, fc, dc, raising=False), down, rtol=1e-9)


def test_screw_overhauls_where_friction_is_below_the_lead_angle():
    # Text: self-locking when f > tan(lead angle), collar left aside.
    for f, falls in ((0.084, True), (0.086, False)):
        torque = float(_screw(6400, 0.030, 0.008, f, 0.0, 0.040, raising=False))
        assert (torque < 0) is falls
