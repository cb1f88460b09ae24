"""The detent as a wedge.

Sources
-------
- R. S. Khurmi and J. K. Gupta, A Textbook of Machine Design, ch. 17 (screw as an inclined plane): raising
  P = W tan(theta + phi), lowering P = W tan(phi - theta), self-locking when theta <= phi, tan phi = mu. The same in any
  statics text (J. L. Meriam and L. G. Kraige, Engineering Mechanics: Statics, art. 6/5, wedges; from memory).
- Ball in a countersink: a workholding maker's public note on ball plungers gives the end force of 18, 35.5 and 53 N
  and the free body for a 90 deg seat; side force = end force x tan(wall slope + friction angle), computed from it.
"""

import numpy as np
import pytest

from detentsim.mechanics.detent import balance


def _side_force(slope, mu, force=1.0, opening=True):
    """Sideways force that moves the ball up (or lets it down) a straight flank [N]: the torque on a 1 m arm."""
    touch = balance.BallContact(np.asarray(0.0), np.sin(slope), np.asarray(1.0))
    return balance.torque(force, touch, mu, 1.0, opening=opening)


def test_incline_raising_and_lowering():
    slope = np.radians(np.linspace(1, 70, 24))[:, None]
    mu = np.array([0.0, 0.08, 0.12, 0.18, 0.3])
    friction_angle = np.arctan(mu)
    climbs = slope + friction_angle < np.pi / 2
    up = np.where(climbs, np.tan(slope + friction_angle), np.inf)
    np.testing.assert_allclose(_side_force(slope, mu, opening=True), up, rtol=1e-12)
    down = np.tan(slope - friction_angle)  # pulls in where positive: minus the text's lowering effort
    np.testing.assert_allclose(_side_force(slope, mu, opening=False), down, rtol=1e-11, atol=1e-15)


def test_wedge_in_its_other_form():
    rng = np.random.default_rng(21)
    psi, mu, force = rng.uniform(0, 1.2, 500), rng.uniform(0, 0.3, 500), rng.uniform(1, 60, 500)
    up = force * (np.tan(psi) + mu) / (1 - mu * np.tan(psi))
    down = force * (np.tan(psi) - mu) / (1 + mu * np.tan(psi))
    np.testing.assert_allclose(_side_force(psi, mu, force, opening=True), up, rtol=1e-12)
    np.testing.assert_allclose(_side_force(psi, mu, force, opening=False), down, rtol=1e-11, atol=1e-13)


def test_self_locking_where_the_slope_is_below_the_friction_angle():
    mu = 0.2
    edge = np.arctan(mu)
    assert float(_side_force(edge - 1e-3, mu, opening=False)) < 0 < float(_side_force(edge + 1e-3, mu, opening=False))
    assert float(_side_force(edge, mu, opening=False)) == pytest.approx(0, abs=1e-12)


@pytest.mark.parametrize(
    ("mu", "printed"),
    [
        (0.00, [1.0000, 0.6009, 0.5774, 0.4142]),
        (0.10, [1.2222, 0.7457, 0.7189, 0.5364]),
        (0.15, [1.3529, 0.8252, 0.7963, 0.6016]),
    ],
)
def test_ball_in_a_countersink(mu, printed):
    # Included angles 90, 118, 120, 135 deg; wall slope = 90 deg - half of it. Printed to four decimals.
    slope = np.radians(90 - np.array([90, 118, 120, 135]) / 2)
    np.testing.assert_allclose(_side_force(slope, mu), printed, rtol=0, atol=0.6e-4)


def test_plunger_in_a_right_angled_seat_kicks_out_at_its_end_force():
    # 90 deg seat, no friction: 35.5 N at half travel needs 35.5 N from the side; 18 and 53 N at the ends likewise.
    ends = np.array([18.0, 35.5, 53.0])
    np.testing.assert_allclose(_side_force(np.radians(45), 0.0, ends), ends, rtol=1e-12)
