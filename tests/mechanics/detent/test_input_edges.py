"""Inputs at their edges and random builds: nothing warns, nothing is silently missing."""

import numpy as np
import pytest
from helpers.flagged import RAISED, quiet
from helpers.records import BALL, CONE_118, NO_53, NO_54, demo, one_drill, raised
from helpers.walked import bench, depth_at, highest, mouth, slide

from detentsim.mechanics.names import NO_BREAKOUT
from detentsim.mechanics.response import respond

MAY_BE_NONE = {"lateral_stiffness", "contact_angle", "pull_in_angle"}


# --- edges of the inputs ----------------------------------------------------------------------------------------


def _complete(response, also=()):
    """Only the results that may be missing are."""
    return {name for name, value in response.results.items() if np.any(np.isnan(value))} <= MAY_BE_NONE | set(also)


def test_no_friction():
    response = respond(quiet(friction=0, edge_radius=0))
    results = {name: float(value) for name, value in response.results.items() if name != "breakout_to_drag"}
    assert _complete(response)
    assert results["drag_torque"] == 0.0
    wedge = results["preload"] * 8e-3 * np.tan(np.arcsin(NO_54 / BALL))
    assert results["breakout_torque"] == pytest.approx(wedge, rel=1e-9)
    # Without friction the ball pulls in from the very mouth.
    assert results["pull_in_angle"] == pytest.approx(results["let_go_angle"], rel=1e-6)
    frictionless = respond(quiet(friction=0, pivot_torque=0))
    assert np.isnan(frictionless.results["breakout_to_drag"])  # nothing to divide by
    assert float(frictionless.results["drag_force"]) == 0.0


def test_no_bend():
    response = respond(quiet(bend=0))
    assert float(response.results["free_offset"]) == 0.0
    assert _complete(response)
    assert float(response.results["riding_force"]) > 0


def test_gap_over_the_ball():
    response = respond(quiet(face_gap=5e-3))
    assert raised(response) == {"floats"}
    for name in ("preload", "riding_force", "seated_force", "drag_torque", "lift_force_open", "draw_torque"):
        expected = 0.0 if name != "draw_torque" else pytest.approx(0.0, abs=1e-9)
        assert float(response.results[name]) == expected, name
    nothing = ("breakout_torque", "breakout_angle", "breakout_force", "let_go_angle", "breakout_energy", "lash")
    for name in (*nothing, "contact_angle", "pull_in_angle", "breakout_to_drag", "breakout_force_angle"):
        assert np.isnan(response.results[name]), name
    # The blade still turns on its pivot: 1.5 N mm over the lever at mid-swing.
    lever = 15e-3 * np.cos(np.radians(20) - np.pi / 2)
    assert float(response.results["drag_force"]) == pytest.approx(1.5e-3 / lever)


def test_dimple_deeper_than_needed_changes_nothing():
    shallow, deep = (respond(quiet(pilot_depth=d, rim_feed=d)).results for d in (0.6e-3, 3e-3))
    for name in shallow:
        np.testing.assert_allclose(deep[name], shallow[name], rtol=1e-9, err_msg=name)


def test_ball_resting_on_the_floor_cone():
    response = respond(quiet(pilot_depth=0.05e-3, rim_feed=0.05e-3, edge_radius=0))
    b = bench(quiet(pilot_depth=0.05e-3, rim_feed=0.05e-3, edge_radius=0))
    # Centred on the cone: the slope of the cone itself, 90 deg less half its point.
    assert np.degrees(float(response.results["contact_angle"])) == pytest.approx(31.0, abs=1e-9)
    seat = 0.05e-3 + NO_54 / CONE_118 - BALL * (np.sqrt(1 + 1 / CONE_118**2) - 1)
    assert float(response.results["seat_depth"]) == pytest.approx(seat, rel=1e-9)
    assert float(response.results["loose_ball_height"]) == pytest.approx(2 * BALL - seat, rel=1e-9)
    peak, _ = highest(lambda phi: slide(b, phi, +1)[0], 1e-12, mouth(b))
    assert float(response.results["breakout_torque"]) == pytest.approx(peak, rel=1e-6)
    assert _complete(response)


def test_hole_wider_than_the_ball_locks():
    response = respond(quiet(**RAISED["locks_solid"]))
    for name in ("breakout_torque", "breakout_angle", "breakout_force", "let_go_angle", "breakout_energy"):
        assert np.isnan(response.results[name]), name
    assert np.isfinite(response.results["draw_torque"])
    assert np.isfinite(response.results["drag_torque"])
    assert np.isfinite(response.results["drag_force"])


def test_rim_cut_wider_than_the_ball_locks_too():
    record = demo(rim_radius=1.05 * BALL, rim_feed=0.42e-3, protrusion=0.9e-3, face_gap=0.8e-3, edge_radius=0)
    assert "locks_solid" in raised(respond(record))
    assert "locks_solid" not in raised(respond(demo(edge_radius=0)))


def test_no_second_drill_is_the_first_one_again():
    none = respond(one_drill(NO_54, depth=0.6e-3, edge_radius=0)).results
    fed = respond(demo(rim_radius=NO_53, rim_feed=0.0, edge_radius=0)).results  # touches and cuts nothing
    for name in none:
        np.testing.assert_allclose(fed[name], none[name], rtol=1e-9, atol=1e-15, err_msg=name)


def test_contact_angle_is_missing_where_the_ball_carries_nothing():
    for changes in ({"bend": 0}, {"face_gap": 5e-3}, RAISED["bar_on_tang"]):
        response = respond(quiet(**(changes | {"overclose": 0})))
        assert float(response.results["preload"]) == 0.0
        assert np.isnan(response.results["contact_angle"])


def test_bar_on_the_tang_carries_nothing_through_the_ball_until_the_ball_rises():
    record = quiet(protrusion=0.3e-3, face_gap=0.2e-3, overclose=0, edge_radius=0)
    b, response = bench(record), respond(record)
    results = {name: float(value) for name, value in response.results.items()}
    assert _complete(response)
    assert results["preload"] == results["draw_torque"] == 0.0
    # First touch: the ball takes the whole push at once, at the offset where it stands its protrusion deep.
    s = NO_54 - np.sqrt(BALL**2 - (BALL - 0.3e-3) ** 2)
    phi = 2 * np.arcsin(s / 2 / 8e-3)
    assert results["lash"] == pytest.approx(phi, rel=1e-9)
    peak, _ = highest(lambda x: slide(b, x, +1)[0], phi * (1 + 1e-9), mouth(b))
    assert results["breakout_torque"] == pytest.approx(peak, rel=1e-6)
    assert results["breakout_torque"] > 0.5 * slide(b, [phi * 1.001], +1)[0][0]
    assert float(depth_at(b, phi)[0]) == pytest.approx(0.3e-3, rel=1e-9)


@pytest.fixture(scope="module")
def random_builds():
    """What is random in many builds, what they give, and which of them do not open."""
    rng = np.random.default_rng(41)
    n = 4000
    changes = {
        "bend": rng.choice([0.0, 1.0, 2.0], n) * rng.uniform(0.2e-3, 1.5e-3, n),
        "face_gap": rng.uniform(0.1e-3, 1.2e-3, n),
        "protrusion": rng.uniform(0.2e-3, 0.8e-3, n),
        "overclose": rng.choice([-1.0, 0.0, 1.0], n) * rng.uniform(0, 0.06, n),
        "radial_error": rng.choice([0.0, 1.0, -1.0], n) * rng.uniform(0, 0.2e-3, n),
        "friction": rng.choice([0.0, 1.0], n) * rng.uniform(0.02, 0.3, n),
        "static_friction": rng.uniform(0.02, 0.4, n),
        "pilot_radius": rng.uniform(0.4e-3, 0.85e-3, n),
        "rim_radius": rng.uniform(0.85e-3, 1.0e-3, n),
        "rim_feed": rng.choice([0.0, 1.0], n) * rng.uniform(0, 0.6e-3, n),
        "pilot_depth": rng.uniform(0.0, 0.8e-3, n),
        "edge_radius": rng.choice([0.0, 1.0], n) * rng.uniform(0, 0.1e-3, n),
        "lateral_compliance": rng.choice([0.0, np.nan, 2e-6, 2e-5], n),
        "travel_angle": rng.uniform(-0.5, 0.5, n),
        "push_angle": rng.uniform(-2, 2, n),
        "grip_force": rng.choice([0.0, 4.0], n),
        "stop_gap": rng.choice([np.inf, np.inf, np.inf, 0.0, 0.3e-3], n),
    }
    changes["static_friction"] = np.maximum(changes["static_friction"], changes["friction"])
    response = respond(demo(**changes))
    return changes, response, np.any([response.flags[flag] for flag in NO_BREAKOUT], axis=0)


@pytest.mark.slow
def test_random_builds_never_warn_and_never_lose_a_result(random_builds):
    changes, response, dead = random_builds
    results, flags = response.results, response.flags
    none, every = np.zeros(dead.size, bool), np.ones(dead.size, bool)
    short = np.isnan(results["breakout_force"])
    fits = {
        "lateral_stiffness": changes["lateral_compliance"] == 0,
        "contact_angle": (results["preload"] == 0) | flags["floats"],
        "pull_in_angle": every,
        "breakout_force": dead | flags["lacks_lever"],
        "breakout_force_angle": dead | short,
        "drag_force": np.cos(changes["push_angle"] - np.pi / 2) <= 0.05,
        "lash": flags["floats"],
        "breakout_to_drag": dead,
    }
    for name, value in results.items():
        missing = np.isnan(value)
        assert not np.any(np.isinf(value)), name
        allowed = fits.get(name, dead if name.startswith(("breakout", "let_go")) else none)
        assert not np.any(missing & ~allowed), name
    np.testing.assert_array_equal(np.isnan(results["lateral_stiffness"]), changes["lateral_compliance"] == 0)
    np.testing.assert_array_equal(np.isnan(results["drag_force"]), fits["drag_force"])
    np.testing.assert_array_equal(np.isnan(results["breakout_torque"]), dead)
    np.testing.assert_array_equal(short, dead | flags["lacks_lever"])
    np.testing.assert_array_equal(np.isnan(results["contact_angle"]), fits["contact_angle"])


@pytest.mark.slow
def test_random_builds_raise_every_flag_and_none_raises_one_always(random_builds):
    _, response, _ = random_builds
    for flag in set(RAISED) - {"dents_tang", "never_lets_go"}:  # these need a soft tang, a bar softer sideways
        raised_by = response.flags[flag]
        assert 0 < np.count_nonzero(raised_by) < raised_by.size, flag


@pytest.mark.slow
def test_laws_that_hold_for_all_random_builds(random_builds):
    _, response, dead = random_builds
    results, flags, alive = response.results, response.flags, ~dead
    assert np.all(results["breakout_torque"][alive] >= results["drag_torque"][alive] - 1e-12)
    assert np.all(results["let_go_angle"][alive] >= results["rest_angle"][alive])
    assert np.all(results["breakout_angle"][alive] <= results["let_go_angle"][alive] + 1e-9)
    pulls = results["pull_in_angle"]
    known = np.isfinite(pulls) & alive
    assert np.all(pulls[known] <= results["let_go_angle"][known] + 1e-9)
    assert np.all(results["lash"][~flags["floats"]] >= 0)
