"""Every flag raised and not raised, and the place where each begins."""

import numpy as np
import pytest
from helpers.flagged import RAISED, quiet
from helpers.records import BALL, CONE_118, NO_53, NO_54, demo, raised
from helpers.walked import bench, mouth, slide

from detentsim.mechanics.names import ALL_NAMES, FLAG_NAMES, LIMIT_NAMES, NO_BREAKOUT
from detentsim.mechanics.response import respond

# What a knife still has that no finger opens out of its dimple: nothing of the way out, and nothing of a throw.
STANDING = {
    *LIMIT_NAMES,
    *("bar_stiffness", "lateral_stiffness", "free_offset", "seat_depth", "rim_diameter", "loose_ball_height"),
    *("riding_force", "seated_force", "lift_force_open", "lift_force_closed", "drag_torque", "drag_force"),
    *("preload", "contact_angle", "draw_torque", "rest_angle", "lash", "pull_in_angle"),
    *("falls_shut", "hang_angle", "closing_spare"),
}


def test_a_quiet_knife_raises_nothing_and_lacks_nothing():
    response = respond(quiet())
    assert set(response.flags) == set(FLAG_NAMES) == set(RAISED)
    assert raised(response) == set()
    assert all(np.isfinite(value) for value in response.results.values())


@pytest.mark.parametrize("flag", sorted(RAISED))
def test_each_flag_is_reached_by_one_change(flag):
    assert flag in raised(respond(quiet(**RAISED[flag])))


@pytest.mark.parametrize("flag", sorted(set(RAISED) - {"locks_solid", "bar_on_tang", "never_lets_go"}))
def test_each_of_these_changes_raises_only_its_own_flag(flag):
    assert raised(respond(quiet(**RAISED[flag]))) == {flag}


@pytest.mark.parametrize("flag", NO_BREAKOUT)
def test_a_knife_that_does_not_open_has_no_result_of_opening(flag):
    results = respond(quiet(**RAISED[flag]), ALL_NAMES).results
    assert {name for name, value in results.items() if np.isfinite(value)} <= STANDING


# --- where each flag begins --------------------------------------------------------------------------------------


def _edge(flag, name, low, high, **changes):
    """Value of one field at which a flag changes between two ends, by bisection on the kernel."""

    def up(value):
        return flag in raised(respond(quiet(**(changes | {name: value}))))

    first = up(low)
    assert first != up(high)
    for _ in range(40):
        middle = (low + high) / 2
        low, high = (middle, high) if up(middle) == first else (low, middle)
    return (low + high) / 2


def test_floats_begins_where_the_free_ball_just_clears_the_flat():
    b = bench(quiet())
    assert _edge("floats", "face_gap", 0.5e-3, 3e-3) == pytest.approx(b.record.face_gap + b.reach, rel=1e-9)


def test_misses_dimple_begins_where_the_ball_at_rest_reaches_the_mouth():
    edge = _edge("misses_dimple", "radial_error", 0.1e-3, 0.9e-3, edge_radius=0, overclose=0)
    # Depth falls with the square of the offset, so 1e-12 of the radius in depth is sqrt(2e-12) of it in offset.
    assert edge == pytest.approx(NO_54, abs=1.5 * np.sqrt(2e-12) * 2 * BALL)


@pytest.mark.parametrize("changes", [{"radial_error": 0.8e-3}, {"radial_error": -0.8e-3}, {"overclose": 0.15}])
def test_ball_beside_its_dimple_neither_leaves_nor_enters_it(changes):
    for more in ({}, {"bend": 0}, {"lateral_compliance": 0}):
        response = respond(quiet(**changes, **more))
        assert "misses_dimple" in raised(response)
        assert "hangs_loose" not in raised(response)
        assert response.results["contact_angle"] == 0
        for name in ("breakout_force", "breakout_torque", "let_go_angle", "breakout_energy", "pull_in_angle"):
            assert np.isnan(response.results[name])
        assert response.results["drag_torque"] >= 0


def test_ball_that_is_still_in_its_dimple_at_lock_up_has_no_let_go_and_no_work():
    response = respond(quiet(**RAISED["never_lets_go"]))
    assert np.isnan(response.results["let_go_angle"])
    assert np.isnan(response.results["breakout_energy"])
    assert np.isnan(response.results["breakout_force"])
    assert not response.results["pull_in_angle"] <= 0


@pytest.mark.slow
def test_lacks_lever_begins_where_the_lever_is_short_at_rest_or_at_let_go():
    limit = np.arccos(0.05)  # a twentieth of the opener's radius
    let_go = float(respond(quiet()).results["let_go_angle"])
    assert _edge("lacks_lever", "push_angle", 0.0, 1.8) == pytest.approx(limit, rel=1e-9)
    assert _edge("lacks_lever", "push_angle", -1.6, 0.0) == pytest.approx(let_go - limit, rel=1e-9)
    assert _edge("lacks_lever", "push_angle", 0.0, 1.8, push_follows=1) == pytest.approx(limit, rel=1e-9)
    assert _edge("lacks_lever", "push_angle", -1.8, 0.0, push_follows=1) == pytest.approx(-limit, rel=1e-9)


def test_a_lever_that_ends_while_the_ball_still_sticks_leaves_no_breakout_force_but_a_torque():
    """So soft a bar sideways gives for more than a right angle before its ball slips: the finger never gets there."""
    response = respond(quiet(lateral_compliance=1 / 1.5e3))
    assert float(response.rest.slip) > np.radians(20) + np.arccos(0.05)
    assert "lacks_lever" in raised(response)
    assert np.isnan(response.results["breakout_force"])
    assert np.isnan(response.results["breakout_force_angle"])
    assert response.results["breakout_torque"] > 0
    assert response.results["let_go_angle"] > response.rest.slip * (1 - 1e-12)


def test_bar_on_tang_does_not_depend_on_rounding():
    """Deeper seats stay flagged; ball and face share the push, and lengths scaled by a rounding change nothing."""
    feeds = np.linspace(0.0, 0.3e-3, 301)
    record = demo(rim_feed=feeds, protrusion=0.45e-3, bend=3e-3)
    for scale in (1.0, 1 + 4e-16):
        response = respond(record._replace(protrusion=record.protrusion * scale, rim_feed=feeds * scale))
        flag, loads = response.flags["bar_on_tang"], response.results
        assert np.count_nonzero(np.diff(flag.astype(int))) <= 1
        assert np.all(flag == (loads["seat_depth"] > 0.45e-3))
    assert np.count_nonzero(flag) > 100


def test_ball_on_the_edge_of_a_bar_that_lies_on_the_tang_carries_what_draws_it():
    """Without draw nothing is left of it, as of the force of a centred ball."""
    for overclose, most in ((0.0, 0.0), (1e-6, 0.01), (1e-4, 1.0)):
        found = respond(demo(rim_feed=0.3e-3, protrusion=0.45e-3, bend=3e-3, overclose=overclose))
        assert "bar_on_tang" in raised(found)
        assert found.results["seated_force"] <= found.results["preload"] <= most


def test_hangs_loose_begins_where_the_free_ball_just_touches_the_seat():
    edge = _edge("hangs_loose", "face_gap", 0.5e-3, 1.8e-3, edge_radius=0)
    b = bench(quiet(face_gap=edge, edge_radius=0))
    assert b.reach == pytest.approx(BALL - np.sqrt(BALL**2 - NO_54**2), rel=1e-9)


def test_bar_on_tang_begins_where_the_seat_is_as_deep_as_the_protrusion():
    edge = _edge("bar_on_tang", "protrusion", 0.35e-3, 0.6e-3, edge_radius=0, face_gap=0.2e-3, overclose=0)
    assert edge == pytest.approx(BALL - np.sqrt(BALL**2 - NO_54**2), rel=1e-6)


def test_bar_that_never_reaches_the_tang_does_not_lie_on_it():
    # The seat is deeper than the ball stands out, but the free bar stops before its face gets there.
    record = quiet(protrusion=0.3e-3, face_gap=0.1e-3, bend=0.0)
    assert 0 < bench(record).reach < 0.3e-3 < float(respond(record).results["seat_depth"])
    assert raised(respond(record)) == {"hangs_loose"}


@pytest.mark.slow
def test_ball_on_floor_begins_where_the_point_is_as_high_as_the_edge_leaves_the_ball():
    edge = _edge("ball_on_floor", "pilot_depth", 0.05e-3, 0.6e-3, edge_radius=0, rim_feed=0)
    # Ball in a cone of slope 1/tau whose point lies pilot_depth + a1/tau deep: centre R sqrt(1 + 1/tau^2) over it.
    cone = BALL * np.sqrt(1 + 1 / CONE_118**2) - NO_54 / CONE_118
    assert edge == pytest.approx(cone - np.sqrt(BALL**2 - NO_54**2), rel=1e-6)


@pytest.mark.slow
def test_locks_solid_begins_at_the_slope_of_the_friction_angle():
    edge = _edge("locks_solid", "friction", 0.12, 0.9, edge_radius=0, overclose=0)
    psi = np.arcsin(NO_54 / BALL)
    assert edge == pytest.approx(1 / np.tan(psi), rel=1e-9)


def test_static_friction_alone_can_lock():
    steep = 1 / np.tan(np.arcsin(NO_54 / BALL))
    assert "locks_solid" in raised(respond(quiet(edge_radius=0, overclose=0, static_friction=1.001 * steep)))
    assert "locks_solid" not in raised(respond(quiet(edge_radius=0, overclose=0, static_friction=0.999 * steep)))


def test_snaps_begins_where_give_outruns_the_falling_torque():
    b = bench(quiet(edge_radius=0, overclose=0))
    phi = np.linspace(1e-9, mouth(b), 200001)
    steepest = -np.min(np.gradient(slide(b, phi, +1)[0], phi))
    limit = 8e-3**2 / steepest  # compliance with 1/(k_lat rho^2) times the fall of torque = 1
    # Just over the limit the blade turns back by less than 1e-5 rad, which nobody feels and the flag may pass over.
    for compliance, snaps in ((0.999 * limit, False), (1.06 * limit, True), (1.5 * limit, True)):
        response = respond(quiet(edge_radius=0, overclose=0, lateral_compliance=compliance))
        assert ("snaps" in raised(response)) == snaps


def test_stands_proud_begins_below_zero():
    assert "stands_proud" not in raised(respond(quiet(overclose=0.0)))
    assert "stands_proud" in raised(respond(quiet(overclose=-1e-9)))


def test_dents_tang_begins_at_the_pressure_of_iso_76():
    # K. L. Johnson, Contact Mechanics, eq. 4.24: p0 = (6 N E*^2 / (pi^3 R^2))^(1/3); ISO 76: 4200 to 4600 MPa.
    edge = _edge("dents_tang", "bend", 1.0e-3, 3.0e-3)
    ride = float(respond(quiet(bend=edge)).results["riding_force"])
    modulus = 1 / ((1 - 0.26**2) / 310e9 + (1 - 0.29**2) / 205e9)
    pressure = (6 * ride * modulus**2 / (np.pi**3 * BALL**2)) ** (1 / 3)
    assert 4150e6 < pressure < 4650e6


@pytest.mark.slow
def test_bar_bent_at_one_place_loses_bend_at_half_its_first_yield():
    # A sharp bend needs the full plastic moment 1.5 M_y; what may come back without yielding is 2 M_y - 1.5 M_y, there.
    for changes in ({}, {"face_gap": 0.6e-3}, {"protrusion": 0.55e-3}, {"calibration": 1.2}):
        edge = _edge("loses_bend", "yield_strength", 100e6, 3000e6, bend_at=3e-3, **changes)
        b = bench(quiet(bend_at=3e-3, **changes))
        travel = b.reach  # from free to riding on the flat: y_f - (g - p)
        first_yield = edge * 8e-3 * 1.3e-3**2 / 6
        assert (44e-3 - 3e-3) * b.stiffness * travel == pytest.approx(0.5 * first_yield, rel=1e-6)


def test_loses_bend_depends_on_travel_not_on_the_hole():
    edge = _edge("loses_bend", "yield_strength", 250e6, 900e6)
    for changes in ({"pilot_radius": NO_53, "rim_radius": NO_53}, {"edge_radius": 0}, {"friction": 0.0}):
        for strength, lost in ((0.999 * edge, True), (1.001 * edge, False)):
            assert ("loses_bend" in raised(respond(quiet(yield_strength=strength, **changes)))) == lost
    assert "loses_bend" not in raised(respond(quiet(yield_strength=edge, bend=0.0)))
