"""Side give: the kernel against a two-spring friction model that is walked step by step (`walked.walk_open`)."""

import numpy as np
import pytest
from helpers.records import demo, dig, felt, one_drill, raised
from helpers.scattered import scatter
from helpers.walked import bench, depth_at, highest, mouth, slide, walk_open, walk_shut

from detentsim.mechanics.path import at_blade_angle
from detentsim.mechanics.record import full
from detentsim.mechanics.response import respond

DEEP = {"rim_feed": 0.16e-3}  # the ball sits in the second drill's cut
# Each: design, whether the sliding blade snaps on opening. eps_c is about 0.012 rad, and 0.05 rad when deep.
DESIGNS = {
    "no over-close": (demo(edge_radius=0, overclose=0), True),
    "below eps_c": (demo(edge_radius=0, overclose=0.004), True),
    "above eps_c": (demo(edge_radius=0, overclose=0.02), False),
    "deep, below eps_c": (demo(overclose=0.005, **DEEP), True),
    "deep, above eps_c": (demo(overclose=0.06, **DEEP), False),
    "deep and sharp": (demo(edge_radius=0, overclose=0.01, **DEEP), True),
    "one drill, stiff sideways": (one_drill(lateral_compliance=1e-6, overclose=0.001), False),
    "one drill, above eps_c": (one_drill(overclose=0.022), False),
    "very limp sideways": (demo(edge_radius=0, overclose=0.004, lateral_compliance=2e-5), True),
    "three rests": (demo(edge_radius=0, overclose=0.07, lateral_compliance=2.4e-5, rim_feed=0.12e-3), False),
    "static limit, lands on an edge": (
        demo(edge_radius=0, overclose=0.005, friction=0.02, static_friction=0.3, lateral_compliance=1.2e-5),
        True,
    ),
    "proud": (demo(edge_radius=0, overclose=-0.01), True),
    "static limit": (demo(edge_radius=0, overclose=0.005, static_friction=0.2), True),
    "static limit, no snap": (one_drill(overclose=0.022, static_friction=0.16), False),
    "too far out": (demo(edge_radius=0, overclose=0.01, radial_error=0.05e-3), False),
    "too far in": (demo(edge_radius=0, overclose=0, radial_error=-0.05e-3), False),
    "frictionless": (demo(edge_radius=0, overclose=0.02, friction=0), False),
    "weak": (one_drill(overclose=0.004, bend=1.0e-3), False),
    "hangs loose": (one_drill(overclose=0.004, bend=0.45e-3), False),
}
STEPS = 6001


@pytest.fixture(scope="module")
def walked():
    """Both ways of every design, by the kernel and step by step."""
    found = {}
    for name, (record, _) in DESIGNS.items():
        b = bench(record)
        shut = walk_shut(b, 1.4 * mouth(b), STEPS)
        start = max(0.0, -b.record.overclose)
        phi = 0.0 if b.record.overclose < 0 else shut.phi[-1]
        found[name] = respond(record), b, shut, walk_open(b, phi, start, STEPS)
    return found


@pytest.mark.slow
@pytest.mark.parametrize("name", DESIGNS)
def test_rest_and_draw(walked, name):
    response, b, shut, _ = walked[name]
    if b.record.overclose < 0:
        assert float(response.rest.phi) == 0.0
        assert float(response.results["rest_angle"]) == pytest.approx(-b.record.overclose)
        return
    peak = np.max(np.abs(shut.torque))
    assert float(response.rest.phi) == pytest.approx(shut.phi[-1], abs=1e-7)
    assert float(response.results["draw_torque"]) == pytest.approx(shut.torque[-1], abs=1e-5 * peak)
    assert float(response.results["rest_angle"]) == 0.0
    assert float(response.results["preload"]) == pytest.approx(
        b.stiffness * max(0, b.reach - depth_at(b, shut.phi[-1])[0]), rel=1e-5, abs=1e-6
    )


@pytest.mark.slow
@pytest.mark.parametrize(
    ("overclose", "compliance", "feed"),
    [(0.0397, 1e-5, 0.05e-3), (0.053, 2e-5, 0.07e-3), (0.0225, np.nan, 0.07e-3), (0.030, 1e-5, 0.1e-3)],
)
def test_a_ball_may_rest_where_one_edge_hands_over_to_the_next(overclose, compliance, feed):
    """There its contact leans anywhere between the two, and the bar's side give alone says how hard it draws."""
    record = demo(edge_radius=0, overclose=overclose, lateral_compliance=compliance, rim_feed=feed)
    b, response = bench(record), respond(record)
    points = 400_001
    shut, step = walk_shut(b, 1.4 * mouth(b), STEPS, points), 1.4 * mouth(b) / points
    rest, corner = float(response.rest.phi), response.load.shape.start / 8e-3
    assert np.min(np.abs(corner[corner > 0] - rest)) < 1e-4 * rest
    assert rest == pytest.approx(shut.phi[-1], abs=2 * step)
    assert float(response.results["draw_torque"]) == pytest.approx((overclose - rest) / b.give, rel=1e-12)
    assert float(response.results["draw_torque"]) == pytest.approx(shut.torque[-1], abs=3 * step / b.give)
    within, beyond = (slide(b, rest + side * 3 * step, -1)[0] for side in (-1, 1))
    assert within < response.results["draw_torque"] < beyond
    # The opening ball slips at once on the outer edge, and nothing on its way is steeper.
    peak, _ = highest(lambda phi: slide(b, phi, +1)[0], rest + 1e-9, mouth(b))
    assert float(response.results["breakout_torque"]) == pytest.approx(peak, rel=1e-6)


@pytest.mark.parametrize("name", DESIGNS)
def test_opening_curve(walked, name):
    response, b, _, opened = walked[name]
    results = {key: float(value) for key, value in response.results.items()}
    peak = np.max(opened.torque)
    got = felt(response, opened.theta, opening=True)
    step = opened.theta[1] - opened.theta[0]
    # One step of the blade changes the elastic torque by step/give; a jump may fall one step to either side.
    jump = np.flatnonzero(np.diff(opened.phi) > 20 * step)
    apart = np.ones(STEPS, bool)
    apart[np.clip(np.concatenate([jump, jump + 1]), 0, STEPS - 1)] = False
    assert np.max(np.abs(got - opened.torque)[apart]) < 4e-4 * peak
    assert results["breakout_torque"] == pytest.approx(peak, abs=1.01 * step / b.give)
    top = np.argmax(opened.torque)
    if np.sort(opened.torque)[-20] < 0.999 * peak:
        assert results["breakout_angle"] == pytest.approx(opened.theta[top], abs=2 * step)
    flat = opened.theta[np.argmax(opened.phi >= mouth(b) - 1e-9)]
    assert results["let_go_angle"] == pytest.approx(flat, abs=2 * step)


@pytest.mark.parametrize("name", DESIGNS)
def test_snap_flag(walked, name):
    response, b, _, opened = walked[name]
    phi = np.linspace(opened.phi[0] + 1e-12, 1.1 * mouth(b), 20001)
    turns_back = np.any(np.diff(phi + b.give * slide(b, phi, +1)[0]) < 0)
    assert turns_back == DESIGNS[name][1]
    assert ("snaps" in raised(response)) == DESIGNS[name][1]
    step = opened.theta[1] - opened.theta[0]
    if "static" not in name:  # leaving a higher static limit is a leap of its own, which no flag speaks of
        assert np.any(np.diff(opened.phi) > 20 * step) == turns_back


@pytest.mark.parametrize("name", DESIGNS)
def test_closing_curve_and_pull_in(walked, name):
    response, _, shut, _ = walked[name]
    peak = np.max(np.abs(shut.torque))
    step = shut.theta[0] - shut.theta[1]
    inside = shut.theta >= response.results["rest_angle"]
    theta, torque, phi = shut.theta[inside], shut.torque[inside], shut.phi[inside]
    got = felt(response, theta, opening=False)
    jump = np.flatnonzero(-np.diff(phi) > 20 * step)
    apart = np.ones(theta.size, bool)
    apart[np.clip(np.concatenate([jump, jump + 1]), 0, theta.size - 1)] = False
    centred = phi == 0  # the ball has reached the centre and the blade only pulls it sideways
    sliding = apart & ~centred
    assert np.max(np.abs(got - torque)[sliding]) < 5e-4 * peak
    pulls = shut.theta[shut.torque > 1e-9]
    wanted = pulls.max() if pulls.size else np.nan
    assert float(response.results["pull_in_angle"]) == pytest.approx(wanted, abs=2 * step, nan_ok=True)


@pytest.mark.parametrize("name", [name for name in DESIGNS if "hangs" not in name and "static" not in name])
def test_breakout_is_the_largest_sliding_torque(walked, name):
    response, b, _, opened = walked[name]
    peak, _ = highest(lambda phi: slide(b, phi, +1)[0], opened.phi[0] + 1e-13, mouth(b))
    # The walk gives the rest angle to about 1e-8 rad, and with it a peak that stands there.
    assert float(response.results["breakout_torque"]) == pytest.approx(peak, rel=2e-6)


def test_proud_blade_is_pressed_shut_against_the_opening_path_of_the_other_side():
    for record in (demo(edge_radius=0, overclose=-0.008), demo(overclose=-0.03, **DEEP), one_drill(overclose=-0.15)):
        proud = -float(record.overclose)
        mirrored = bench(record._replace(overclose=np.asarray(0.0)))
        pressed = walk_open(mirrored, 0.0, 0.0, STEPS, end=proud)
        results = respond(record).results
        assert float(results["draw_torque"]) == pytest.approx(-pressed.torque[-1], rel=2e-4)
        assert float(results["draw_torque"]) < 0


def test_centred_rest_holds_even_where_a_further_root_exists():
    record = demo(edge_radius=0, overclose=0.042, rim_feed=0.16e-3, lateral_compliance=1.2e-5)
    b = bench(record)
    phi = np.linspace(1e-9, 1.2 * mouth(b), 20001)
    lag = phi + b.give * slide(b, phi, -1)[0] - b.record.overclose
    assert lag[0] > 0 > lag.min()  # eps < eps_c, and yet the closing ball could stop farther out
    response = respond(record)
    assert float(response.rest.phi) == 0.0
    assert float(response.results["draw_torque"]) == pytest.approx(b.record.overclose / b.give, rel=1e-12)


def test_rest_is_the_largest_root_beyond_eps_c():
    for name, roots in (
        ("above eps_c", 1),
        ("deep, above eps_c", 1),
        ("one drill, above eps_c", 1),
        ("three rests", 3),
    ):
        record = DESIGNS[name][0]
        b = bench(record)
        phi = np.linspace(1e-9, 1.2 * mouth(b), 200001)
        lag = phi + b.give * slide(b, phi, -1)[0] - b.record.overclose
        found = np.flatnonzero(np.diff(np.sign(lag)))
        assert found.size == roots
        last = found[-1]
        root = phi[last] - lag[last] * (phi[last + 1] - phi[last]) / (lag[last + 1] - lag[last])
        response = respond(record)
        assert float(response.rest.phi) == pytest.approx(root, rel=1e-7)
        wanted, _ = slide(b, [root], -1)
        assert float(response.results["draw_torque"]) == pytest.approx(wanted[0], rel=1e-6)


def test_centred_contact_angle_is_the_rims():
    response = respond(one_drill(edge_radius=0, overclose=0.005))
    # 1/16 in ball in a sharp #54 hole: asin(0.0550/0.0625) = 61.64 deg
    assert np.degrees(float(response.results["contact_angle"])) == pytest.approx(61.642, abs=1e-3)


def test_curve_starts_elastic_from_the_draw_torque():
    for name in ("below eps_c", "deep, above eps_c", "static limit, no snap"):
        record = DESIGNS[name][0]
        response, b = respond(record), bench(record)
        slip = float(response.rest.slip)
        theta = np.linspace(0, 0.999 * slip, 7)
        got = felt(response, theta, opening=True)
        draw = float(response.results["draw_torque"])
        np.testing.assert_allclose(got, draw + theta / b.give, rtol=1e-9)
        limit, _ = slide(b, [max(float(response.rest.phi), 1e-12)], +1, b.record.static_friction)
        assert draw + slip / b.give == pytest.approx(limit[0], rel=1e-6)


def test_static_limit_alone_raises_the_peak_at_the_rest_angle():
    kinetic, both = one_drill(overclose=0.01), one_drill(overclose=0.01, static_friction=0.2)
    b = bench(both)
    response = respond(both)
    stick, _ = slide(b, [1e-12], +1, 0.2)
    assert float(response.results["breakout_torque"]) == pytest.approx(stick[0], rel=1e-9)
    assert float(response.results["breakout_angle"]) == pytest.approx(stick[0] * b.give - 0.01, rel=1e-9)
    for name in ("draw_torque", "drag_torque", "let_go_angle", "pull_in_angle", "preload"):
        assert float(response.results[name]) == float(respond(kinetic).results[name])
    assert float(response.results["breakout_torque"]) > 1.1 * float(respond(kinetic).results["breakout_torque"])


@pytest.mark.parametrize(
    "changes", [{"overclose": 0.008}, {"overclose": 0.008, "radial_error": 0.05e-3}, {"overclose": 0.0}]
)
def test_rigid_limit(changes):
    compliance = np.array([0.0, 1e-13, 1e-11, 1e-9])
    response = respond(demo(edge_radius=0, lateral_compliance=compliance, **changes))
    rigid = bench(dig(full(demo(edge_radius=0, lateral_compliance=0, **changes)), ()))
    start = max(changes["overclose"], 1e-12)
    draw, _ = slide(rigid, [start], -1)
    peak, _ = highest(lambda phi: slide(rigid, phi, +1)[0], start, mouth(rigid))
    results = response.results
    if changes["overclose"] > 0:
        assert float(results["draw_torque"][0]) == pytest.approx(draw[0], rel=1e-9)
    assert float(results["breakout_torque"][0]) == pytest.approx(peak, rel=1e-9)
    assert float(results["let_go_angle"][0]) == pytest.approx(mouth(rigid) - changes["overclose"], rel=1e-9)
    for name in ("breakout_torque", "let_go_angle", "breakout_energy", "pull_in_angle", "draw_torque"):
        apart = np.abs(results[name] - results[name][0])
        scale = np.abs(results[name][0]) if name != "draw_torque" else peak
        assert apart[1] <= 1e-6 * scale
        assert apart[1] <= apart[2] + 1e-12 * scale <= apart[3] + 2e-12 * scale
        assert apart[3] < 2e-3 * scale
    np.testing.assert_array_equal(np.isnan(results["lateral_stiffness"]), [True, False, False, False])


def test_bar_face_on_the_tang_is_told_apart_from_the_ball():
    record = one_drill(edge_radius=0, overclose=0, protrusion=0.3e-3, face_gap=0.2e-3)
    b, response = bench(record), respond(record)
    table = at_blade_angle.opening_table(response.load, response.rest.phi, response.rest.slip)
    loose = float(response.results["lash"])
    assert loose > 0.005
    inside = at_blade_angle.torque_at(table, np.array([0.1, 0.5, 0.99]) * loose, opening=True, above=False)
    face = b.stiffness * (b.reach - 0.3e-3)
    np.testing.assert_array_equal(inside.torque, 0.0)
    np.testing.assert_allclose(inside.push, face, rtol=1e-12)
    np.testing.assert_allclose(inside.face_drag, 0.12 * face * 8e-3, rtol=1e-12)
    after = at_blade_angle.torque_at(table, np.array([0.06, 0.3]), opening=True, above=False)
    assert after.torque[0] > after.torque[1] > 0
    np.testing.assert_array_equal(after.face_drag, 0.0)
    assert after.push[1] == pytest.approx(b.stiffness * b.reach, rel=1e-12)


@pytest.mark.parametrize("give", [1e-2, 0.1, 1.0])
def test_a_ball_beside_its_dimple_does_not_snap_however_far_the_bar_gives_sideways(give):
    """On the flat its torque is the same everywhere; where 1 N moves the bar 0.1 m, rounding alone turns the blade."""
    record = scatter(1000, 5)._replace(lateral_compliance=np.full(1000, give), overclose=np.full(1000, 0.3))
    flags = respond(record, ()).flags
    assert np.count_nonzero(flags["misses_dimple"]) > 500
    assert not np.any(flags["snaps"] & flags["misses_dimple"])
