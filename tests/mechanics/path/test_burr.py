"""A burr round the dimple: against the wedge of any statics text, the bar's energy, and a balance written out here."""

import numpy as np
import pytest
from helpers.records import demo
from scipy.integrate import quad

from detentsim.mechanics.detent import closing
from detentsim.mechanics.motion import in_motion, panels, resistance
from detentsim.mechanics.path import at_blade_angle, burr, segments
from detentsim.mechanics.response import respond, starts

H = 0.02e-3
ALL = ("breakout_force", "falls_shut", "hang_angle", "closing_spare")
RIGID = {"lateral_compliance": 0.0}


def tables(record):
    response = respond(record)
    return response, at_blade_angle.closing_table(response.load, response.rest.phi)


def test_at_the_first_touch_it_is_a_wedge_of_the_slope_of_a_lip():
    """`N rho tan(psi + lambda)`, `cos(psi) = 1 - h/R`; 0.02 mm under a 1/16 in ball is three times the drag."""
    record = demo(burr_height=H, **RIGID)
    response, table = tables(record)
    touch = burr.lip(table).touch[0]
    slope = np.arccos(1 - H / float(record.ball_radius))
    riding = float(response.results["riding_force"])
    wedge = riding * 8e-3 * np.tan(slope + np.arctan(0.12))
    on = -float(closing.felt_at(table, [touch], above=False).torque[0])
    before = -float(closing.felt_at(table, [touch], above=True).torque[0])
    # The path over the edge of a round hole is not quite square to it.
    assert on == pytest.approx(wedge, rel=0.005)
    assert before == pytest.approx(float(response.results["drag_torque"]), rel=1e-12)
    assert on / before == pytest.approx(3.0, abs=0.06)


@pytest.mark.parametrize("height", [2e-6, 10e-6, 30e-6])
def test_without_friction_the_climb_costs_what_the_bar_takes_up(height):
    record = demo(burr_height=height, friction=0, washer_friction=0, pivot_torque=0, blade_mass=np.nan, **RIGID)
    response, table = tables(record)
    over, bar = burr.lip(table), response.load.spring
    taken = float(bar.stiffness) / 2 * ((float(bar.reach) + height) ** 2 - float(bar.reach) ** 2)
    work = quad(lambda at: -closing.felt_at(table, [at], above=False).torque[0], over.crest[0], over.touch[0])[0]
    assert work == pytest.approx(taken, rel=1e-6)
    flat, phi = segments.flatten(response.load, ()), np.ravel(response.rest.phi)
    way = panels.closing(flat, phi, np.full(1, 1.0), np.full(1, float(over.crest[0])))
    assert float(np.sum(resistance.work(way)[..., -1])) == pytest.approx(-taken, rel=1e-9)


def test_along_the_climb_against_a_balance_of_forces():
    """Ball over an edge: normal force along the line to the edge, friction up the slope; solved as two equations."""
    record = demo(burr_height=H, rim_radius=0.75e-3, **RIGID)
    response, table = tables(record)
    over, bar = burr.lip(table), response.load.spring
    r, mu, rho = float(record.ball_radius), 0.12, 8e-3
    width = np.sqrt(2 * r * H - H**2)
    for share in (0.1, 0.5, 0.9):
        theta = over.crest[0] + share * (over.touch[0] - over.crest[0])
        psi = np.arcsin(share * width / r)
        lift = H - r * (1 - np.cos(psi))
        push = float(bar.stiffness) * (float(bar.reach) + lift)
        # Up: F (cos - mu sin) = N; along: F (sin + mu cos) = what the blade must give.
        force = np.linalg.solve([[np.cos(psi) - mu * np.sin(psi), 0], [np.sin(psi) + mu * np.cos(psi), -1]], [push, 0])
        assert -closing.felt_at(table, [theta], above=True).torque[0] == pytest.approx(force[1] * rho, rel=0.01)


def test_a_burr_of_no_height_changes_nothing():
    plain, none = (respond(demo(burr_height=h), ALL) for h in (0.0, -0.0))
    low = respond(demo(burr_height=1e-12), ALL)
    for name in ALL:
        assert float(plain.results[name]) == pytest.approx(float(none.results[name]), nan_ok=True)
        assert float(low.results[name]) == pytest.approx(float(plain.results[name]), rel=1e-6, nan_ok=True)


def test_a_blade_that_fell_shut_hangs_where_the_burr_has_used_up_its_speed():
    """The energy at the touch less the work of the climb, by quadrature, is gone where it hangs."""
    knife = {"bend": 1e-3, "down_angle": -0.8, "blade_mass": 0.04, "close_from": 0.3}
    smooth, rough = (respond(demo(burr_height=h, **knife), ALL) for h in (0.0, 0.03e-3))
    assert smooth.results["falls_shut"] == 1
    assert rough.results["falls_shut"] == 0
    table = at_blade_angle.closing_table(rough.load, rough.rest.phi)
    over, hang = burr.lip(table), float(rough.results["hang_angle"])
    assert over.crest[0] < hang <= over.touch[0]
    start = starts(respond(demo(burr_height=0.03e-3, **knife)))
    _, _, flight = in_motion.fall(start)
    at_touch = float(np.interp(-over.touch[0], -np.ravel(flight.theta), np.ravel(flight.energy)))

    def slowed(at):
        weight = 0.04 * 9.80665 * 0.034 * np.sin(-0.8 - at)
        return -closing.felt_at(table, [at], above=False).torque[0] + 1.5e-3 + weight

    assert quad(slowed, hang, over.touch[0])[0] == pytest.approx(at_touch, rel=0.02)


def test_many_knives_are_each_as_alone():
    heights = np.array([0.0, 5e-6, 20e-6, 30e-6])
    together = respond(demo(burr_height=heights), ALL).results
    for i, height in enumerate(heights):
        alone = respond(demo(burr_height=height), ALL).results
        for name in ALL:
            assert float(together[name][i]) == pytest.approx(float(alone[name]), rel=1e-9, nan_ok=True)


def test_a_burr_too_steep_for_its_friction_stops_the_blade():
    """tan(psi) > 1/mu: friction alone holds it, whatever pushes; one call gives no infinite number."""
    knife = {"bend": 1e-3, "down_angle": -0.8, "blade_mass": 0.04, "blade_inertia": 6e-5, "close_from": 0.5}
    stuck = respond(demo(burr_height=0.19e-3, friction=1.4, **knife), ALL).results
    assert stuck["falls_shut"] == 0
    assert np.isfinite(stuck["hang_angle"])


@pytest.mark.parametrize("compliance", [1e-3, 1e-4, 1e-5])
def test_a_bar_soft_sideways_leaves_no_gap(compliance):
    """Where the bar gives so much that the dimple's mouth lies behind the stop, there is no burr on the way."""
    with np.errstate(all="raise", under="ignore"):
        found = respond(demo(burr_height=0.01e-3, lateral_compliance=compliance), ALL).results
    assert np.isfinite(found["closing_spare"])
