"""The bar's stiffness against 3-D elasticity: stored answers of this project's own, and one bar solved here and now."""

import csv
from pathlib import Path

import numpy as np
import pytest
from records import demo

from detentsim.mechanics import beam

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
        slab_root=float(row["root"] == "slab"),
        youngs_modulus=float(row["youngs_modulus_GPa"]) * 1e9,
        poissons_ratio=float(row["poissons_ratio"]),
        protrusion=0.64e-3,
    )


# The spread that the form of the terms leaves, not a wish: largest misses 0.72 and 0.81 % with a relief, 2.4 and 2.2 %
# without one.
@pytest.mark.parametrize(("relieved", "most"), [(True, 0.010), (False, 0.025)])
@pytest.mark.parametrize("chosen", ["fit", "check"])
def test_out_of_plane_stiffness(chosen, relieved, most):
    rows = [
        row for row in ROWS if row["set"] == chosen and relieved == (row["relief_thickness_mm"] != row["thickness_mm"])
    ]
    ratio = [float(beam.bar_stiffness(bar(row))) / 1e3 / float(row["stiffness_N_mm"]) for row in rows]
    np.testing.assert_allclose(ratio, 1, rtol=0, atol=most)
    assert len(rows) >= 4


# Largest miss of the fit 1.5 %, of the unseen bars 2.5 %.
@pytest.mark.parametrize(("chosen", "most"), [("fit", 0.018), ("check", 0.028)])
def test_lateral_stiffness(chosen, most):
    rows = [row for row in ROWS if row["set"] == chosen]
    ratio = [1e-3 / float(beam.lateral_compliance(bar(row))) / float(row["lateral_stiffness_N_mm"]) for row in rows]
    np.testing.assert_allclose(ratio, 1, rtol=0, atol=most)
    assert np.std(ratio) < 0.01


def test_a_thin_liner_on_its_slab_is_far_softer_than_a_clamped_one():
    """Without a relief the slab bends along; a term in relief thicknesses alone misses a fifth of the give."""
    pair = {row["root"]: row for row in ROWS if row["relief_thickness_mm"] == row["thickness_mm"] == "1.2"}
    soft = {root: float(beam.bar_stiffness(bar(row))) for root, row in pair.items()}
    assert soft["slab"] / soft["clamped"] == pytest.approx(
        float(pair["slab"]["stiffness_N_mm"]) / float(pair["clamped"]["stiffness_N_mm"]), rel=0.03
    )


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
