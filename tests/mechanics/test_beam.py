"""The bar's stiffness against closed forms, a finite-element beam and the equation of restrained torsion."""

import numpy as np
import pytest
from scipy.integrate import quad, solve_bvp

from detentsim.mechanics.bar import beam
from detentsim.mechanics.record import Record


def bar(**changes):
    """Record of a bar; a textbook one, clamped and free of cross contraction, unless changed. SI."""
    values = dict.fromkeys(Record._fields, 0.0)
    values |= {"youngs_modulus": 113.8e9, "thickness": 3e-3, "width": 8e-3, "calibration": 1.0}
    values |= {"relief_thickness": 1.5e-3, "relief_length": 12e-3, "lateral_compliance": np.nan}
    values |= {"ball_from_root": 45e-3, "tip_from_root": 50e-3, "protrusion": 0.6e-3, **changes}
    return Record(*(np.asarray(values[name], float) for name in Record._fields))


def random_bars(seed, count, **changes):
    rng = np.random.default_rng(seed)
    for _ in range(count):
        ball = rng.uniform(20e-3, 60e-3)
        full = rng.uniform(1.5e-3, 4.5e-3)
        chosen = {
            "youngs_modulus": rng.uniform(80e9, 210e9),
            "poissons_ratio": rng.uniform(0.25, 0.36),
            "thickness": full,
            "relief_thickness": full * rng.uniform(0.3, 1.0),
            "width": rng.uniform(3e-3, 15e-3),
            "relief_length": ball * rng.uniform(0.05, 0.9),
            "relief_side": rng.choice([-1.0, 0.0, 1.0]),
            "slab_root": rng.choice([0.0, 1.0]),
            "root_at_edge": rng.choice([0.0, 1.0]),
            "ball_from_root": ball,
            "protrusion": rng.uniform(0.2e-3, 0.8e-3),
        }
        yield bar(**(chosen | changes))


def shear_by_integration(record, end):
    """Shear deflection under a unit force: integral of dx/(kappa G A), Cowper's kappa, any strip of the bar."""
    nu = float(record.poissons_ratio)
    kappa = 10 * (1 + nu) / (12 + 11 * nu)
    rigidity = kappa * float(record.youngs_modulus) / (2 * (1 + nu)) * float(record.width)

    def thickness(x):
        return float(record.relief_thickness if x < record.relief_length else record.thickness)

    step = min(float(record.relief_length), end)
    return sum(quad(lambda x: 1 / (rigidity * thickness(x)), *ends)[0] for ends in ((0, step), (step, end)))


# --- Euler-Bernoulli ----------------------------------------------------------------------------------------


def hermite_beam(x_load, x_at, step, inner, outer):
    """Deflection at `x_at` of a clamped stepped beam under a unit force at `x_load`, by scikit-fem."""
    skfem = pytest.importorskip("skfem")
    from skfem.helpers import dd

    ends = np.unique([0.0, step, x_load, x_at, max(x_load, x_at, step) * 1.2])
    basis = skfem.Basis(skfem.MeshLine(ends).refined(1), skfem.ElementLineHermite(), intorder=4)

    @skfem.BilinearForm
    def bending(u, v, w):
        return np.where(w.x[0] < step, inner, outer) * dd(u)[0, 0] * dd(v)[0, 0]

    stiffness = bending.assemble(basis)
    place = np.asarray(basis.mesh.p[0])
    nodal = basis.nodal_dofs
    load = np.zeros(basis.N)
    load[nodal[0, np.argmin(np.abs(place - x_load))]] = 1.0
    clamp = nodal[:, np.argmin(place)]
    deflection = skfem.solve(*skfem.condense(stiffness, load, D=clamp))
    return deflection[nodal[0, np.argmin(np.abs(place - x_at))]]


@pytest.mark.parametrize("seed", range(40))
def test_stepped_integral_against_a_finite_element_beam(seed):
    # Nodes stay 0.1 apart: very short elements cost the finite-element solution, not the integral, its digits.
    rng = np.random.default_rng(seed)
    x_load, x_at, step = rng.permutation(0.1 * np.arange(1, 11))[:3] + rng.uniform(-0.02, 0.02, 3)
    inner, outer = rng.uniform(0.05, 3.0, 2)
    expected = hermite_beam(x_load, x_at, step, inner, outer)
    assert float(beam.stepped_integral(x_load, x_at, step, inner, outer)) == pytest.approx(expected, rel=1e-9)


def test_stepped_integral_is_reciprocal():
    rng = np.random.default_rng(2)
    u, v, step, inner, outer = rng.uniform(0.05, 1, (5, 300))
    there, back = beam.stepped_integral(u, v, step, inner, outer), beam.stepped_integral(v, u, step, inner, outer)
    np.testing.assert_allclose(there, back, rtol=1e-12)


def test_uniform_bar_limits():
    # P L^3/(3 E I); at x < L under a load at L: P x^2 (3 L - x)/(6 E I), any beam table.
    length, x, rigidity = 0.04, 0.015, 0.7
    for step in (0.0, 0.013, length, 0.1):
        tip = beam.stepped_integral(length, length, step, rigidity, rigidity)
        part = beam.stepped_integral(length, x, step, rigidity, rigidity)
        assert float(tip) == pytest.approx(length**3 / (3 * rigidity), rel=1e-13)
        assert float(part) == pytest.approx(x**2 * (3 * length - x) / (6 * rigidity), rel=1e-13)
    all_relief = beam.stepped_integral(length, length, length, 0.2, 5.0)
    assert float(all_relief) == pytest.approx(length**3 / 0.6, rel=1e-13)


# --- the whole flexibility ----------------------------------------------------------------------------------


def test_clamped_bar_without_cross_contraction_is_euler_plus_shear():
    # With Poisson's ratio 0 there is no plate action; t1 = t2 leaves no step.
    for record in random_bars(3, 20, poissons_ratio=0.0, slab_root=0.0):
        flat = record._replace(relief_thickness=record.thickness)
        a, inertia = float(flat.ball_from_root), float(flat.width * flat.thickness**3 / 12)
        expected = a**3 / (3 * float(flat.youngs_modulus) * inertia) + shear_by_integration(flat, a)
        assert float(beam.flexibility(flat, a, a)) == pytest.approx(expected, rel=1e-12)


def test_shear_part_follows_the_thickness_along_the_bar():
    for record in random_bars(4, 20, poissons_ratio=0.0, slab_root=0.0):
        half = record._replace(relief_side=np.asarray(0.0))
        a, t1, t2 = (float(f) for f in (half.ball_from_root, half.relief_thickness, half.thickness))
        e, w, step = float(half.youngs_modulus), float(half.width), float(half.relief_length)
        bending = ((a**3 - (a - step) ** 3) / t1**3 + (a - step) ** 3 / t2**3) * 4 / (e * w)
        give = float(beam.step_give(half)) * (a - step) ** 2 * 12 / (e * w * t1**3)
        expected = bending + give + shear_by_integration(half, a)
        assert float(beam.flexibility(half, a, a)) == pytest.approx(expected, rel=1e-12)


def test_shear_of_a_stubby_bar_short_of_its_end():
    # A relief of a nanometre leaves a uniform bar. Cowper's kappa by hand for nu 0.3: 13/15.3.
    record = bar(width=2e-3, thickness=4e-3, relief_thickness=4e-3, poissons_ratio=0.3, relief_length=1e-9)
    u, v = 6e-3, 4e-3
    bending = v**2 * (3 * u - v) / (6 * 113.8e9 * 2e-3 * 4e-3**3 / 12)
    shear = v / (13 / 15.3 * 113.8e9 / 2.6 * 2e-3 * 4e-3)
    assert shear > 0.3 * bending
    assert float(beam.flexibility(record, u, v)) == pytest.approx(bending + shear, rel=1e-6)


def test_flexibility_is_reciprocal_with_every_term():
    rng = np.random.default_rng(5)
    for record in random_bars(5, 60):
        u, v = rng.uniform(0.1, 1.1, 2) * float(record.ball_from_root)
        there, back = float(beam.flexibility(record, u, v)), float(beam.flexibility(record, v, u))
        assert there == pytest.approx(back, rel=1e-12)


@pytest.mark.parametrize(("side", "share"), [(0.0, 0.40), (-1.0, 0.60), (1.0, 0.60)])
def test_root_give_turns_the_bar_about_its_root(side, share):
    # delta += e_r a^2/(E I1), e_r = share t1 (1 - r^2) + 0.61 w r^3 with r = t1/t2 = 1/2, by hand below.
    soft = bar(relief_side=side, slab_root=1.0)
    hard = soft._replace(slab_root=np.asarray(0.0))
    u, v = 45e-3, 20e-3
    give = share * 1.5e-3 * 0.75 + 0.61 * 8e-3 / 8
    added = beam.flexibility(soft, u, v) - beam.flexibility(hard, u, v)
    assert float(added) == pytest.approx(give * u * v / (113.8e9 * 2.25e-12), rel=1e-9)
    assert float(beam.root_give(hard, u, v)) == 0.0
    assert float(beam.root_give(soft, u, v)) == pytest.approx(give * u * v, rel=1e-14)


def test_root_of_a_bar_of_one_thickness_gives_with_its_width():
    wide, narrow = (bar(slab_root=1.0, relief_thickness=3e-3, width=w) for w in (8e-3, 4e-3))
    twice = 2 * float(beam.root_give(narrow, 45e-3, 45e-3))
    assert float(beam.root_give(wide, 45e-3, 45e-3)) == pytest.approx(twice, rel=1e-14)


@pytest.mark.parametrize(("side", "share"), [(0.0, 0.40), (-1.0, 0.60), (1.0, 0.60)])
def test_a_slabs_free_edge_turns_about_a_line_behind_the_root(side, share):
    # share t1 (1 - r^2) u v + (0.64 w + 0.29 t2) r^3 (u + h)(v + h), h = 1.1 w, with r = t1/t2 = 1/2, by hand below.
    edge = bar(relief_side=side, slab_root=1.0, root_at_edge=1.0)
    u, v, h = 45e-3, 20e-3, 8.8e-3
    give = share * 1.5e-3 * 0.75 * u * v + (0.64 * 8e-3 + 0.29 * 3e-3) / 8 * (u + h) * (v + h)
    added = beam.flexibility(edge, u, v) - beam.flexibility(edge._replace(slab_root=np.asarray(0.0)), u, v)
    assert float(added) == pytest.approx(give / (113.8e9 * 2.25e-12), rel=1e-9)


def test_a_slabs_free_edge_gives_more_sideways():
    # 0.225 w (1 - (1 - r)) (a + h)^2 over the relief's in-plane rigidity, r = t1/t2 = 1/2, h = 1.1 w.
    inside = bar(slab_root=1.0, relief_side=-1.0)
    edge = inside._replace(root_at_edge=np.asarray(1.0))
    added = float(beam.lateral_compliance(edge) - beam.lateral_compliance(inside))
    rigidity = 113.8e9 * 1.5e-3 * 8e-3**3 / 12
    assert added == pytest.approx(0.225 * 8e-3 / 2 * 53.8e-3**2 / rigidity, rel=1e-9)


def test_where_the_bar_stands_in_the_slab_does_not_matter_to_a_clamped_root():
    for record in random_bars(9, 10, slab_root=0.0):
        inside, edge = (record._replace(root_at_edge=np.asarray(place)) for place in (0.0, 1.0))
        assert float(beam.bar_stiffness(edge)) == float(beam.bar_stiffness(inside))
        assert float(beam.lateral_compliance(edge)) == float(beam.lateral_compliance(inside))


def test_root_give_softens_usual_bars_by_the_published_range():
    # 6-12 % softer than the ideal clamp, seen in three-dimensional elasticity of usual bars.
    usual = bar(slab_root=1.0, relief_thickness=1.3e-3, relief_length=10e-3, poissons_ratio=0.342, relief_side=-1.0)
    clamped = usual._replace(slab_root=np.asarray(0.0))
    softer = 1 - float(beam.bar_stiffness(usual) / beam.bar_stiffness(clamped))
    assert 0.06 < softer < 0.12


def test_no_step_no_step_give():
    for record in random_bars(6, 20):
        assert float(beam.step_give(record._replace(relief_thickness=record.thickness))) == 0.0
        assert float(beam.step_give(record._replace(relief_thickness=record.thickness / 2))) > 0.0


@pytest.mark.parametrize(("side", "share"), [(0.0, 0.40), (-1.0, 0.60), (1.0, 0.60)])
def test_step_give_by_the_faces_milled(side, share):
    # The project's own fit, by hand: share t1 (1 - r^2) with r = t1/t2 = 1/2.
    assert float(beam.step_give(bar(relief_side=side))) == pytest.approx(share * 1.5e-3 * 0.75, rel=1e-14)


def test_step_give_acts_only_beyond_the_step():
    stepped = bar(relief_side=-1.0)
    inertia = 2.25e-12 * 113.8e9

    def beyond(u, v):
        plain = beam.stepped_integral(u, v, 12e-3, inertia, 8 * inertia) + shear_by_integration(stepped, min(u, v))
        return float(beam.flexibility(stepped, u, v) - plain)

    give = float(beam.step_give(stepped))
    assert beyond(45e-3, 12e-3) == pytest.approx(0, abs=1e-18)
    assert beyond(45e-3, 30e-3) == pytest.approx(give * 33e-3 * 18e-3 / inertia, rel=1e-9)


def test_plate_action_lies_between_strip_and_plate():
    narrow, wide = bar(poissons_ratio=0.34, width=1e-6), bar(poissons_ratio=0.34, width=10.0)
    assert float(beam.plate_modulus(narrow)) == pytest.approx(113.8e9, rel=1e-4)
    assert float(beam.plate_modulus(wide)) == pytest.approx(113.8e9 / (1 - 0.34**2), rel=1e-3)
    widths = bar(poissons_ratio=0.34, width=np.linspace(1e-3, 30e-3, 30))
    assert np.all(np.diff(beam.plate_modulus(widths)) > 0)


def test_calibration_multiplies_the_stiffness():
    for record in random_bars(7, 10):
        half = record._replace(calibration=np.asarray(0.85))
        ratio = float(beam.bar_stiffness(half) / beam.bar_stiffness(record))
        assert ratio == pytest.approx(0.85, rel=1e-14)
        flexibility = float(beam.flexibility(record, record.ball_from_root, record.ball_from_root))
        assert float(beam.bar_stiffness(record)) == pytest.approx(1 / flexibility, rel=1e-14)


def test_bar_with_a_relief_past_the_ball_is_a_uniform_bar():
    long_relief = bar(relief_length=60e-3)
    uniform = bar(thickness=1.5e-3)
    assert float(beam.bar_stiffness(long_relief)) == pytest.approx(float(beam.bar_stiffness(uniform)), rel=1e-12)


# --- sideways -----------------------------------------------------------------------------------------------


def test_given_lateral_compliance_stands():
    assert float(beam.lateral_compliance(bar(lateral_compliance=0.0))) == 0.0
    assert float(beam.lateral_compliance(bar(lateral_compliance=3e-6))) == 3e-6


def test_force_at_the_mid_plane_only_bends_the_bar_sideways():
    # I_z = t w^3/12 and shear; contact on the mid-plane (p = -t2/2, relief milled from both faces) twists nothing.
    for record in random_bars(8, 20, relief_side=0.0, slab_root=0.0):
        middle = record._replace(protrusion=-record.thickness / 2)
        a, step, e = float(middle.ball_from_root), float(middle.relief_length), float(middle.youngs_modulus)
        w, t1, t2 = float(middle.width), float(middle.relief_thickness), float(middle.thickness)
        bending = ((a**3 - (a - step) ** 3) / t1 + (a - step) ** 3 / t2) * 4 / (e * w**3)
        # The step gives 0.065 w (1 - t1/t2) of the relief's own in-plane flexibility where both faces are milled.
        give = 0.065 * w * (1 - t1 / t2) * (a - step) ** 2 * 12 / (e * t1 * w**3)
        expected = bending + give + shear_by_integration(middle, a)
        assert float(beam.lateral_compliance(middle)) == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize(("side", "height"), [(-1.0, 0.6 + 0.75), (0.0, 0.6 + 1.5), (1.0, 0.6 + 3.0 - 0.75)])
def test_contact_height_over_the_relief(side, height):
    # By hand: relief 1.5 of 3.0 mm; its mid-plane lies 0.75, 1.5 or 2.25 mm under the inner face.
    assert float(beam.contact_height(bar(relief_side=side))) == pytest.approx(height * 1e-3, rel=1e-14)


def test_twist_of_the_relief_adds_height_squared():
    # Difference to the mid-plane case: H^2 L'/(G J1) + (p + t2/2)^2 (a - L1)/(G J2).
    record = bar(poissons_ratio=0.3, relief_side=1.0)
    middle = record._replace(protrusion=np.asarray(-1.5e-3), relief_side=np.asarray(0.0))
    shear_modulus = 113.8e9 / 2.6
    # Table of torsion constants (Timoshenko and Goodier): a/t 16/3 and 8/3 by the usual approximation
    # J = a t^3 (1/3 - 0.21 t/a (1 - t^4/(12 a^4))), good to 0.5 %.
    relief, full = (8e-3 * t**3 * (1 / 3 - 0.21 * t / 8e-3 * (1 - t**4 / (12 * 8e-3**4))) for t in (1.5e-3, 3e-3))
    length = float(beam.twist_length(record, 12e-3))
    expected = (2.85e-3**2 * length / relief + 2.1e-3**2 * 33e-3 / full) / shear_modulus
    # Milled from the inner face the step gives 0.12 w (1 - t1/t2) instead of 0.065.
    expected += (0.12 - 0.065) * 8e-3 * 0.5 * 33e-3**2 * 12 / (113.8e9 * 1.5e-3 * 8e-3**3)
    added = float(beam.lateral_compliance(record) - beam.lateral_compliance(middle))
    assert added == pytest.approx(expected, rel=5e-3)


@pytest.mark.parametrize(("width", "thickness"), [(2e-3, 4e-3), (4e-3, 2e-3)])
def test_twist_of_a_bar_whichever_side_is_longer(width, thickness):
    # Timoshenko and Goodier, art. 109: J = 0.22868 a t^3 for sides 2 : 1. Mid-plane contact twists nothing.
    record = bar(width=width, thickness=thickness, relief_thickness=thickness, relief_length=1e-9, poissons_ratio=0.3)
    middle = record._replace(protrusion=np.asarray(-thickness / 2))
    added = float(beam.lateral_compliance(record) - beam.lateral_compliance(middle))
    constant = 0.22868 * 4e-3 * 2e-3**3
    expected = (0.6e-3 + thickness / 2) ** 2 * 45e-3 / (113.8e9 / 2.6 * constant)
    assert added == pytest.approx(expected, rel=5e-5)  # five digits printed


def test_root_gives_sideways_by_the_published_range():
    # 13-27 % softer sideways than the clamp, seen in three-dimensional elasticity of usual bars (w/L1 near 1).
    usual = bar(slab_root=1.0, relief_thickness=1.3e-3, relief_length=10e-3, poissons_ratio=0.342, relief_side=-1.0)
    clamped = usual._replace(slab_root=np.asarray(0.0))
    softer = 1 - float(beam.lateral_compliance(clamped) / beam.lateral_compliance(usual))
    assert 0.13 < softer < 0.27


# --- restrained torsion -------------------------------------------------------------------------------------


@pytest.mark.parametrize("ratio", [0.3, 1.0, 1.25, 4.0])
def test_twist_length_solves_the_equation_of_restrained_warping(ratio):
    # G J theta' - E Cw theta''' = T, theta' = 0 at both ends; J = w t^3/3, Cw = w^3 t^3/144, G = E/(2(1+nu)).
    width, nu = 8e-3, 0.3
    length = ratio * width
    square = (1 / (2 * (1 + nu))) * (1 / 3) / (width**2 / 144)  # G J/(E Cw); the thickness cancels

    def slopes(_, state):
        return np.array([state[1], state[2], square * length**2 * (state[1] - 1)])

    def ends(left, right):
        return np.array([left[0], left[1], right[1]])

    found = solve_bvp(slopes, ends, np.linspace(0, 1, 41), np.zeros((3, 41)), tol=1e-9, max_nodes=100_000)
    assert found.success
    expected = found.sol(1.0)[0] * length
    record = bar(width=width, poissons_ratio=nu)
    assert float(beam.twist_length(record, length)) == pytest.approx(expected, rel=1e-7)


def test_twist_length_limits():
    record = bar(width=8e-3, poissons_ratio=0.3)
    for length in (1.0, 10.0):  # long: all of it but the two warped ends, 2/q = w sqrt((1+nu)/6) in all
        lost = length - float(beam.twist_length(record, length))
        assert lost == pytest.approx(8e-3 * np.sqrt(1.3 / 6), rel=1e-9)
    square = 24 / 1.3 / 8e-3**2
    for length in (5e-5, 1e-4):  # short: both ends hold it, q^2 L^3/12
        assert float(beam.twist_length(record, length)) == pytest.approx(square * length**3 / 12, rel=1e-3)
    assert float(beam.twist_length(record, 0.0)) == 0.0
