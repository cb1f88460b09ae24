"""The bar's stiffness inward against closed forms and a finite-element beam."""

import numpy as np
import pytest
from helpers.bars import bar, random_bars, shear_by_integration

from detentsim.mechanics.bar import beam

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
