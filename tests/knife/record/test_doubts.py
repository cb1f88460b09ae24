"""Distributions of uncertain inputs: their ends, their shapes, where they are cut, and the knives drawn from them."""

import numpy as np
import pytest
from helpers.garden import GARDEN_TEXT, garden
from scipy import stats
from scipy.integrate import quad
from scipy.special import ndtri

from detentsim.knife.checks.problems import BuildError
from detentsim.knife.model import Build
from detentsim.knife.record.doubts import AT_ONCE, Doubt, deviates, doubts
from detentsim.knife.record.fields import assemble
from detentsim.knife.record.record import drawn, plain
from detentsim.knife.table.schema import INPUTS
from detentsim.mechanics.response import respond

EVEN = (np.arange(4000) + 0.5) / 4000


@pytest.mark.parametrize("count", [AT_ONCE, AT_ONCE + 1])
def test_normal_quantiles_are_those_of_scipy(count):
    share = np.concatenate([[0.0, 2.0**-40, 0.5, 1 - 2.0**-40, 1.0], np.linspace(0.001, 0.999, count - 5)])
    assert deviates(share) == pytest.approx(ndtri(share), rel=1e-13, abs=1e-15)
    assert deviates(0.25).shape == ()


def toleranced(*lines):
    return Build.loads(GARDEN_TEXT + "\n[tolerance]\n" + "\n".join(lines))


def doubt_of(name, *lines, changes=None):
    build = toleranced(*lines).change(changes or {})
    return {doubt.name: doubt for doubt in doubts(build, plain(build))}[name]


def test_plus_minus_is_the_95_percent_of_a_normal():
    found = doubt_of("tang.face_gap", '"tang.face_gap" = { plus_minus = "0.02 mm" }')
    wanted = stats.norm(0.508e-3, 0.02e-3 / stats.norm.ppf(0.975))
    np.testing.assert_allclose(found.at(EVEN), wanted.ppf(EVEN), rtol=1e-12)


@pytest.mark.parametrize(("shape", "family"), [("uniform", stats.uniform), ("triangular", stats.triang)])
def test_the_other_shapes_lie_between_their_ends(shape, family):
    found = doubt_of("bar.bend", f'"bar.bend" = {{ at_least = "1.5 mm", at_most = "1.8 mm", shape = "{shape}" }}')
    peak = {"c": 1 / 3} if shape == "triangular" else {}
    wanted = family(loc=1.5e-3, scale=0.3e-3, **peak)
    np.testing.assert_allclose(found.at(EVEN), wanted.ppf(EVEN), rtol=1e-9)


def test_a_normal_of_unequal_sides_is_the_two_piece_normal():
    """Density 2/(s1 + s2) phi((x - m)/s) with s the side's own (Fechner's two-piece normal), integrated here."""
    found = Doubt("bar.bend", 2.0, 1.5, 4.0, -50.0, 50.0, "normal", False)
    left, right = 0.5 / stats.norm.ppf(0.975), 2.0 / stats.norm.ppf(0.975)

    def density(x):
        return 2 / (left + right) * stats.norm.pdf((x - 2) / (left if x < 2 else right))

    for share in (0.001, 0.05, 0.2, 0.5, 0.9, 0.999):
        end = float(found.at(share))
        below = quad(density, -10, min(end, 2))[0] + (quad(density, 2, end)[0] if end > 2 else 0)
        assert below == pytest.approx(share, abs=1e-9)
    assert quad(density, 1.5, 2)[0] + quad(density, 2, 4)[0] == pytest.approx(0.95, abs=1e-9)


def test_a_normal_is_cut_where_the_input_must_end():
    found = doubt_of("dimple.edge_radius", '"dimple.edge_radius" = { plus_minus = "0.04 mm" }')
    sd = 0.04e-3 / stats.norm.ppf(0.975)
    wanted = stats.truncnorm(-0.02e-3 / sd, (1e-3 - 0.02e-3) / sd, loc=0.02e-3, scale=sd)
    np.testing.assert_allclose(found.at(EVEN), wanted.ppf(EVEN), rtol=1e-9, atol=1e-15)
    assert np.all(found.at(EVEN) >= 0)


def test_no_knife_lies_beyond_at_least_and_at_most():
    found = doubt_of("bar.bend", '"bar.bend" = { at_least = "1.55 mm", at_most = "1.7 mm" }')
    values = found.at(np.linspace(0, 1, 1001))
    assert values[0] == pytest.approx(1.55e-3)
    assert values[-1] == pytest.approx(1.7e-3)
    one_sided = doubt_of("bar.bend", '"bar.bend" = { at_most = "1.7 mm" }').at(EVEN)
    assert one_sided.min() >= 1.6e-3 - 1e-12


def test_each_banded_input_says_whose_doubt_it_is():
    of_shop = {"bar.calibration", "friction.ball_on_tang", "pivot.washer_friction", "pivot.pin_friction"}
    banded = {name for name, entry in INPUTS.items() if entry.band is not None}
    assert banded | of_shop | {"pivot.friction_torque"} == {name for name, entry in INPUTS.items() if entry.doubt}
    assert {name for name, entry in INPUTS.items() if entry.doubt == "shop"} == of_shop
    build = garden()
    for doubt in doubts(build, plain(build)):
        assert doubt.low <= doubt.middle <= doubt.high
        assert (doubt.low, doubt.high) == pytest.approx(build.bands()[doubt.name])


def test_a_tolerance_of_no_width_leaves_no_doubt():
    build = toleranced('"dimple.rim_feed" = { plus_minus = "0 mm" }')
    assert "dimple.rim_feed" not in {doubt.name for doubt in doubts(build, plain(build))}


@pytest.mark.parametrize(
    ("line", "says"),
    [
        ('"dimple.rim_feed" = { plus_minus = "0.02 mm", shape = "norml" }', "did you mean normal"),
        ('"dimple.rim_feed" = { plus_minus = "0.02 mm", shape = 3 }', '"normal", "uniform", "triangular"'),
        ('"dimple.rim_feed" = { shape = "normal" }', "no width"),
    ],
)
def test_faulty_shapes(line, says):
    with pytest.raises(BuildError) as caught:
        toleranced(line)
    assert len(caught.value.problems) == 1
    assert says in str(caught.value)


# What is drawn is solved as a build changed by hand


@pytest.mark.parametrize(
    ("lines", "name", "texts"),
    [
        ({}, "dimple.rim_feed", ["0.05 mm", "0.09 mm"]),
        ({"dimple.overclose": "0.4 deg"}, "dimple.overclose", ["0.03 mm", "0.07 mm"]),
        (
            {"dimple.rim_feed": None, "dimple.loose_ball_height": "1.1 mm"},
            "dimple.loose_ball_height",
            ["1.06 mm", "1.04 mm"],
        ),
        ({"bar.stiffness": "12 N/mm"}, "bar.stiffness", ["11 N/mm", "13 N/mm"]),
        (
            {"bar.measured.pull": "10 N", "bar.measured.travel": "0.8 mm", "bar.measured.at": "50 mm"},
            "bar.measured.travel",
            ["0.75 mm", "0.9 mm"],
        ),
        (
            {"tang.face_gap": None, "pivot.washer_thickness": "0.7 mm", "pivot.handle_pocket": "0.2 mm"},
            "pivot.washer_thickness",
            ["0.69 mm", "0.72 mm"],
        ),
        ({"pivot.pull.force": "0.1 N", "pivot.pull.at": "40 mm"}, "pivot.pull.force", ["0.08 N", "0.12 N"]),
    ],
)
def test_a_drawn_value_is_a_changed_build(lines, name, texts):
    build = garden().change(lines)
    builds = [build.change({name: text}) for text in texts]
    values = np.array([one.si(name) for one in builds])
    found = drawn(build, {name: values})
    assert not found.misfits
    many = respond(assemble(found.numbers)).results
    for i, one in enumerate(builds):
        alone = respond(assemble(plain(one))).results
        for result in ("breakout_force", "drag_force", "let_go_angle", "riding_force"):
            assert np.broadcast_to(many[result], len(texts))[i] == pytest.approx(float(alone[result]), rel=1e-9)


def test_a_calibration_beside_a_measured_stiffness_multiplies_it():
    build = garden().change({"bar.stiffness": "12 N/mm"})
    nominal = float(np.asarray(plain(build)["bar.calibration"]))
    found = drawn(build, {"bar.calibration": nominal * np.array([0.97, 1.03])})
    stiffness = respond(assemble(found.numbers)).results["bar_stiffness"]
    assert stiffness * 1e-3 == pytest.approx([12 * 0.97, 12 * 1.03], rel=1e-9)


def test_sizes_that_do_not_fit_are_named():
    build = garden()
    found = drawn(build, {"bar.relief_thickness": np.array([1e-3, 4e-3])})
    assert found.misfits["the relief is thicker than the bar"].tolist() == [False, True]
