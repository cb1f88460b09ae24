"""Washers and pin of a pivot under a force beside it, against balances of forces written out here.

Sources: even pressure on a ring, T = (mu F/3)(D^3 - d^3)/(D^2 - d^2), R. G. Budynas and J. K. Nisbett, Shigley's
Mechanical Engineering Design, section on frictional-contact axial clutches; core of a ring (the force nearest the
middle that leaves the pressure one-sided), (Ro^2 + Ri^2)/(4 Ro), any text on statics; friction circle of a journal,
r sin(arctan mu), F. P. Beer and E. R. Johnston, Vector Mechanics for Engineers: Statics, section on journal bearings.
"""

import numpy as np
import pytest
from helpers import ways
from helpers.records import demo
from scipy.optimize import brentq, least_squares

from detentsim.mechanics.motion import panels, pivot, resistance
from detentsim.mechanics.record import Record
from detentsim.mechanics.response import respond, starts

RINGS, SPOKES = 120, 720


def spots(outer, inner):
    """Middles and areas of the cells of a ring [m], [m^2]."""
    edges = np.linspace(inner / 2, outer / 2, RINGS + 1)
    r = (edges[1:] + edges[:-1]) / 2
    turn = (np.arange(SPOKES) + 0.5) * 2 * np.pi / SPOKES
    x, y = r[:, None] * np.cos(turn), r[:, None] * np.sin(turn)
    return x, y, np.broadcast_to((r * np.diff(edges) * 2 * np.pi / SPOKES)[:, None], x.shape)


def beds(outer, inner, arm, gap=0.0, force=10.0, bed=1e12):
    """Friction torque over mu F of a rigid blade between two washers that push back only where it comes into them.

    Each is a bed of springs [Pa/m] with `gap` [m] between blade and washer on either side; the balance is solved
    numerically for the blade's travel and tilt.
    """
    x, y, area = spots(outer, inner)

    def pushes(state):
        sinks = (state[0] + state[1] * x / outer) * 1e-6
        far, near = np.maximum(sinks - gap, 0), np.maximum(-sinks - gap, 0)
        return bed * far * area, bed * near * area

    def unbalance(state):
        far, near = pushes(state)
        return [np.sum(far - near) / force - 1, np.sum((far - near) * x) / (force * arm) - 1]

    found = least_squares(unbalance, [gap * 1e6 + 0.1, gap * 2e6 + 1.0], xtol=1e-15, ftol=1e-15, gtol=1e-15)
    far, near = pushes(found.x)
    assert np.max(np.abs(found.fun)) < 1e-6
    return float(np.sum((far + near) * np.hypot(x, y)) / force)


@pytest.mark.parametrize(("outer", "inner"), [(9.5e-3, 4.8e-3), (14e-3, 5e-3)])
@pytest.mark.parametrize("arm", [0.5e-3, 3e-3, 5e-3, 8e-3, 14e-3])
def test_snug_washers_are_a_bed_of_springs(outer, inner, arm):
    assert float(pivot.tilted_radius(outer, inner, arm)) == pytest.approx(beds(outer, inner, arm), rel=3e-4)


def test_a_force_within_the_core_of_the_ring_leaves_the_pressures_torque_as_it_is():
    outer, inner = 10.0, 5.0
    core = (5.0**2 + 2.5**2) / (4 * 5.0)
    even = (outer**3 - inner**3) / (outer**2 - inner**2) / 3
    assert pivot.tilted_radius(outer, inner, [1e-3, core / 2, core]) == pytest.approx(even, rel=1e-9)
    assert pivot.tilted_radius(outer, inner, 1.2 * core) > even


def test_far_outside_the_torque_is_a_quarter_more_than_on_the_rims_and_never_less():
    """4/pi: mean of |cos| against mean of cos squared, round any ring."""
    arm = np.geomspace(1e-4, 10.0, 60)
    found = pivot.tilted_radius(9.5e-3, 4.8e-3, arm)
    assert np.all(found > arm)
    assert np.all(np.diff(found) > -1e-12)
    assert found[-1] / arm[-1] == pytest.approx(4 / np.pi, rel=1e-6)


def test_washers_with_play_bear_on_their_rims_where_the_arm_is_the_force_s_own():
    """Rims: F1 - F2 = F and (F1 + F2) Ro = F rho, so that mu (F1 + F2) Ro = mu F rho; play of 0.1 mm, stiff beds."""
    rim = beds(9.5e-3, 4.8e-3, 8e-3, gap=0.05e-3, bed=1e15)
    assert rim == pytest.approx(8e-3, rel=0.01)
    assert rim > 8e-3


def test_the_gap_that_play_opens_is_that_of_a_stick_between_four_points():
    """Straight line through the far rim at +Ro, risen by the play, and the near rim at -Ro, not risen."""
    play, outer, arm = 0.04e-3, 9.5e-3, 8e-3
    line = np.polyfit([-outer / 2, outer / 2], [0.0, play], 1)
    assert float(pivot.gap_opened(play, outer, arm)) == pytest.approx(np.polyval(line, arm), rel=1e-12)
    assert float(pivot.gap_opened(play, outer, outer / 2)) == pytest.approx(play, rel=1e-12)


def pushed(record, torque, push, between):
    """Finger's force at the angle of best leverage by a balance in the plane, `between` ball and opener [rad].

    The pin's reaction is the sum of the two forces across; its friction torque is the circle's radius times it.
    """
    ball = torque / float(record.pivot_to_ball)
    other = float(record.pivot_torque) + float(record.washer_friction * record.pivot_to_ball) * push

    def unbalance(force):
        across = np.hypot(force * np.cos(between) - ball, force * np.sin(between))
        return force * float(record.opener_radius) - torque - other - float(record.friction_circle) * across

    return brentq(unbalance, 0.0, 1e3, xtol=1e-14, rtol=1e-14)


PINNED = {"friction_circle": 0.3e-3, "washer_friction": 0.12}


def test_the_pin_takes_what_a_balance_with_opener_and_ball_on_opposite_sides_gives():
    record = demo(**PINNED)
    best = float(record.push_angle)
    found = float(pivot.finger_force(record, best, 0.08, 12.0))
    assert found == pytest.approx(pushed(record, 0.08, 12.0, np.pi), rel=1e-12)
    # Any other place of the opener presses the pin less: by no more than twice the lesser of both forces' shares.
    for between in np.linspace(0, np.pi, 7):
        least = pushed(record, 0.08, 12.0, between)
        assert least <= found * (1 + 1e-12)
        assert found - least < 0.05 * found


def test_without_a_pin_s_friction_nothing_changes():
    plain, pinned = demo(), demo(friction_circle=0.0, washer_radius=0.0)
    for one, other in zip(respond(plain).results.values(), respond(pinned).results.values(), strict=True):
        np.testing.assert_array_equal(one, other)


def test_a_journal_adds_its_share_to_drag_and_slows_the_fall():
    """On the flat: F (r_o cos - r_f) = mu N rho (1 + r_f/rho) + T_0, by hand."""
    wanted = ("drag_force", "riding_force", "closing_spare", "breakout_force")
    rolling, sliding = (respond(demo(friction_circle=r), wanted).results for r in (0.0, 0.3e-3))
    r = demo()
    arm = float(r.opener_radius * np.cos(r.push_angle - r.open_angle / 2))
    torque = float(r.friction * r.pivot_to_ball) * float(sliding["riding_force"])
    by_hand = (torque * (1 + 0.3 / 8) + float(r.pivot_torque)) / (arm - 0.3e-3)
    assert float(sliding["drag_force"]) == pytest.approx(by_hand, rel=1e-12)
    # The falling blade meets the ball's share alone; the least spare lies where it hangs longest, on the flat.
    lost = float(rolling["closing_spare"] - sliding["closing_spare"])
    assert lost == pytest.approx(torque * 0.3 / 8, rel=0.02)
    assert 1.02 < float(sliding["breakout_force"] / rolling["breakout_force"]) < 1.08


def test_work_along_the_way_of_a_blade_on_its_pin_is_that_of_the_curve():
    """Both ways, by Gauss over the curve's torque; the pin's torque has a corner where the ball begins to pull in."""
    response = respond(demo(friction_circle=0.4e-3, washer_friction=0.1))
    start = starts(response)
    out = panels.opening(start.load, start.phi, start.angle)
    back = panels.closing(start.load, start.phi, np.full(1, 1.5), start.rest)
    for way, opening, rel in ((out, True, 1e-7), (back, False, 2e-4)):
        first, last = sorted((float(way.theta[0, 0, 0]), float(way.theta[0, -1, -1])))
        wanted = ways.work(ways.path(response, opening=opening, low=first, high=last, splines=False))
        found = float(np.sum(resistance.work(way)[..., -1]))
        assert found == pytest.approx(wanted, rel=rel)


def test_the_washers_and_the_pin_s_shares_of_the_drag():
    """Knife on washers 9.5/4.8 mm, ball at 8 mm, pin of 4 mm, friction 0.12 everywhere, nothing else at the pivot.

    Tilted, bearing on their rims, the washers add 38 % to the drag of an upright blade on worn-in faces. To that, snug
    faces add 15 % (31 % of the washers' own part), and the pin adds 6 %.
    """
    base = demo(washer_friction=0.12, pivot_torque=0.0)
    face = base._replace(washer_radius=pivot.tilted_radius(9.5e-3, 4.8e-3, 8e-3))
    pin = base._replace(friction_circle=pivot.friction_circle(4e-3, 0.12))
    flat = base._replace(washer_friction=base.washer_friction * 3.575 / 8)
    drag = {name: drag_of(one) for name, one in {"rim": base, "face": face, "pin": pin, "upright": flat}.items()}
    more = {one: drag[one] / drag[other] - 1 for one, other in (("rim", "upright"), ("face", "rim"), ("pin", "rim"))}
    assert more == pytest.approx({"rim": 0.38, "face": 0.15, "pin": 0.06}, abs=0.005)
    bed = beds(9.5e-3, 4.8e-3, 8e-3) / 8e-3
    assert drag["face"] / drag["rim"] == pytest.approx((1 + bed) / 2, rel=1e-3)
    assert drag["rim"] / drag["upright"] == pytest.approx(2 / (1 + 3.575 / 8), rel=1e-9)
    circle = 2e-3 * np.sin(np.arctan(0.12))
    lever = 15e-3 * np.cos(np.radians(70))
    assert drag["pin"] / drag["rim"] == pytest.approx((1 + circle / 8e-3 / 2) * lever / (lever - circle), rel=1e-9)


def drag_of(record: Record) -> float:
    """Drag force of a record [N]."""
    return float(respond(record, ("drag_force",)).results["drag_force"])
