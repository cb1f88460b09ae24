"""The bar's stiffness against 3-D elasticity: stored answers of this project's own, and one bar solved here and now."""

import csv
from pathlib import Path

import numpy as np
import pytest
from helpers.records import demo

from detentsim.mechanics.bar import beam

ROWS = list(
    csv.DictReader(
        line
        for line in Path(__file__).with_name("bars_3d.csv").read_text(encoding="utf-8").splitlines()
        if not line.startswith("#")
    )
)


def bar(row):
    mm = {k.removesuffix("_mm"): float(v) * 1e-3 for k, v in row.items() if k.endswith("_mm") and "stiff" not in k}
    if mm["relief_thickness"] == mm["thickness"]:
        mm["relief_length"] = mm["ball_from_root"] + 6e-3  # as a build without a relief gives it
    return demo(
        **mm,
        tip_from_root=mm["ball_from_root"] + 6e-3,
        relief_side=float(row["relief_side"]),
        slab_root=float(row["root"] != "clamped"),
        root_at_edge=float(row["root"] == "edge"),
        youngs_modulus=float(row["youngs_modulus_GPa"]) * 1e9,
        poissons_ratio=float(row["poissons_ratio"]),
        protrusion=0.64e-3,
    )


def chosen_rows(chosen, edge):
    return [row for row in ROWS if row["set"] == chosen and edge == (row["root"] == "edge")]


# The spread that the form of the terms leaves, not a wish: largest misses 0.72 and 0.81 % with a relief, 2.4 and 2.2 %
# without one.
@pytest.mark.parametrize(("relieved", "most"), [(True, 0.010), (False, 0.025)])
@pytest.mark.parametrize("chosen", ["fit", "check"])
def test_out_of_plane_stiffness(chosen, relieved, most):
    rows = chosen_rows(chosen, edge=False)
    rows = [row for row in rows if relieved == (row["relief_thickness_mm"] != row["thickness_mm"])]
    ratio = [float(beam.bar_stiffness(bar(row))) / 1e3 / float(row["stiffness_N_mm"]) for row in rows]
    np.testing.assert_allclose(ratio, 1, rtol=0, atol=most)
    assert len(rows) >= 4


# Largest miss of the fit 1.5 %, of the unseen bars 2.5 %.
@pytest.mark.parametrize(("chosen", "most"), [("fit", 0.018), ("check", 0.028)])
def test_lateral_stiffness(chosen, most):
    rows = chosen_rows(chosen, edge=False)
    ratio = [1e-3 / float(beam.lateral_compliance(bar(row))) / float(row["lateral_stiffness_N_mm"]) for row in rows]
    np.testing.assert_allclose(ratio, 1, rtol=0, atol=most)
    assert np.std(ratio) < 0.01


# Largest misses out of plane 0.9 % of the fit, 1.1 % of the unseen bars; sideways 2.5 and 2.0 %.
@pytest.mark.parametrize(("chosen", "count"), [("fit", 22), ("check", 7)])
def test_a_bar_along_the_slabs_free_edge(chosen, count):
    rows = chosen_rows(chosen, edge=True)
    assert len(rows) == count
    ratio = [float(beam.bar_stiffness(bar(row))) / 1e3 / float(row["stiffness_N_mm"]) for row in rows]
    np.testing.assert_allclose(ratio, 1, rtol=0, atol=0.012)
    ratio = [1e-3 / float(beam.lateral_compliance(bar(row))) / float(row["lateral_stiffness_N_mm"]) for row in rows]
    np.testing.assert_allclose(ratio, 1, rtol=0, atol=0.025)


def test_the_edge_case_is_needed():
    """Taken for a bar inside its slab, one at the edge would come out too stiff: a thin liner by a seventh or more."""
    rows = chosen_rows("fit", edge=True) + chosen_rows("check", edge=True)
    thin = [row for row in rows if row["thickness_mm"] == row["relief_thickness_mm"] and row["thickness_mm"] < "1.5"]
    inside = [bar(row)._replace(root_at_edge=np.asarray(0.0)) for row in thin]
    wrong = [
        float(beam.bar_stiffness(one)) / 1e3 / float(row["stiffness_N_mm"])
        for one, row in zip(inside, thin, strict=True)
    ]
    assert min(wrong) > 1.13
    assert len(thin) == 3


def test_a_thin_liner_on_its_slab_is_far_softer_than_a_clamped_one():
    """Without a relief the slab bends along; a term in relief thicknesses alone misses a fifth of the give."""
    pair = {row["root"]: row for row in ROWS if row["relief_thickness_mm"] == row["thickness_mm"] == "1.2"}
    soft = {root: float(beam.bar_stiffness(bar(row))) for root, row in pair.items()}
    assert soft["slab"] / soft["clamped"] == pytest.approx(
        float(pair["slab"]["stiffness_N_mm"]) / float(pair["clamped"]["stiffness_N_mm"]), rel=0.03
    )


@pytest.mark.slow
def test_one_bar_solved_by_a_general_finite_element_library():
    """Half of a clamped bar in 27-node bricks of scikit-fem, sheared at the ball's section."""
    skfem = pytest.importorskip("skfem")
    from skfem.models.elasticity import lame_parameters, linear_elasticity

    row = next(
        r for r in ROWS if (r["relief_thickness_mm"], r["relief_length_mm"], r["root"]) == ("1.3", "10.0", "clamped")
    )
    a, w, t1, t2, l1 = 44.0, 8.0, 1.3, 3.0, 10.0
    x = np.concatenate([[0, 0.4, 1.2, 3, 5, 7, 8.8, 9.6, 10, 10.4, 11.2, 13], np.linspace(18, a, 6)])
    mesh = skfem.MeshHex.init_tensor(x, np.array([0, 2, 3.4, w / 2]), np.array([0, t1 / 2, t1, 2.1, t2]))
    middle = mesh.p[:, mesh.t].mean(axis=1)
    mesh = mesh.remove_elements(np.flatnonzero((middle[0] < l1) & (middle[2] > t1)))
    basis = skfem.Basis(mesh, skfem.ElementVector(skfem.ElementHex2()), intorder=4)
    stiffness = linear_elasticity(*lame_parameters(113.8e3, 0.342)).assemble(basis)
    end = basis.boundary(mesh.facets_satisfying(lambda p: np.abs(p[0] - a) < 1e-9))
    area = w / 2 * t2
    load = skfem.LinearForm(lambda v, _: v[2] / area).assemble(end)
    clamped = basis.get_dofs(lambda p: np.abs(p[0]) < 1e-9)
    mirror = basis.get_dofs(lambda p: np.abs(p[1]) < 1e-9).all(["u^2"])
    fixed = np.union1d(clamped.all(), mirror)
    moved = skfem.solve(*skfem.condense(stiffness, load, D=fixed))
    found = 2 / float(load @ moved)  # half the bar carries half the force
    assert found == pytest.approx(float(row["stiffness_N_mm"]), rel=0.005)
    assert float(beam.bar_stiffness(bar(row))) / 1e3 == pytest.approx(found, rel=0.01)


@pytest.mark.slow
def test_a_thin_liner_at_its_slabs_edge_solved_by_a_general_finite_element_library():
    """Bar, one slot and the slab behind and beside it, held at its far edges, in a few 27-node bricks."""
    skfem = pytest.importorskip("skfem")
    from skfem.models.elasticity import lame_parameters, linear_elasticity

    row = next(r for r in ROWS if (r["root"], r["thickness_mm"], r["ball_from_root_mm"]) == ("edge", "1.2", "44.0"))
    a, w, t, slot = 44.0, 8.0, 1.2, 0.5
    x = np.concatenate([-w * np.array([3, 2, 1, 0.55, 0.25, 0.08]), [0, 0.5, 1.5, 3.5, 8], np.linspace(17, a, 4)])
    bar_y = np.array([-4, -3.5, -2, 0, 2, 3.5])
    beside = w / 2 + slot + w * np.array([0, 0.08, 0.3, 0.8, 1.8, 3])
    mesh = skfem.MeshHex.init_tensor(x, np.concatenate([bar_y, [w / 2], beside]), np.array([-t / 2, 0, t / 2]))
    middle = mesh.p[:, mesh.t].mean(axis=1)
    in_slot = (middle[0] > 0) & (middle[1] > w / 2) & (middle[1] < w / 2 + slot)
    mesh = mesh.remove_elements(np.flatnonzero(in_slot))
    basis = skfem.Basis(mesh, skfem.ElementVector(skfem.ElementHex2()), intorder=4)
    stiffness = linear_elasticity(*lame_parameters(113.8e3, 0.342)).assemble(basis)
    end = basis.boundary(mesh.facets_satisfying(lambda p: (np.abs(p[0] - a) < 1e-9) & (p[1] < w / 2)))
    load = skfem.LinearForm(lambda v, _: v[2] / (w * t)).assemble(end)
    held = basis.get_dofs(lambda p: (np.abs(p[0] + 3 * w) < 1e-9) | (np.abs(p[1] - beside[-1]) < 1e-9))
    moved = skfem.solve(*skfem.condense(stiffness, load, D=held.all()))
    # So coarse a mesh is 1 % stiff; a bar inside its slab is 15 % stiffer.
    tip = float(load @ moved)
    assert 1 / tip == pytest.approx(float(row["stiffness_N_mm"]), rel=0.015)
    # Near the root, pushed at the ball: within 1.5 % of the ball's own travel, 7 % with a bar inside its slab.
    near = float(basis.interpolator(moved)(np.array([[w], [0.0], [0.0]]))[2, 0])
    wanted = float(beam.flexibility(bar(row), a * 1e-3, w * 1e-3)) * 1e3
    assert wanted == pytest.approx(near, abs=0.015 * tip)
    inside = bar(row)._replace(root_at_edge=np.asarray(0.0))
    assert float(beam.flexibility(inside, a * 1e-3, w * 1e-3)) * 1e3 < near - 0.05 * tip
