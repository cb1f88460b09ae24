"""The unit border for numbers, quantities and arrays, and the units of results."""

import math
import pickle
import subprocess
import sys

import numpy as np
import pint
import pytest

from detentsim.units.convert import to_si, to_si_array, to_si_either
from detentsim.units.errors import InputError
from detentsim.units.grammar import split_unit
from detentsim.units.kinds import KINDS, UNITS, dimensions_of
from detentsim.units.quantities import factor, quantity, registry

INCH = 0.0254


@pytest.mark.parametrize("name", sorted(UNITS))
def test_each_unit_agrees_with_pint(name):
    """Random values in every unit, written and read back, against pint's own conversion."""
    unit = UNITS[name]
    kind = KINDS[unit.group]
    rng = np.random.default_rng(sum(map(ord, name)))
    for value in rng.normal(size=20) * 10.0 ** rng.uniform(-6, 6, size=20):
        expected = registry().Quantity(value, unit.pint_name).m_as(kind.unit)
        assert to_si(f"{float(value)!r} {name}", kind.name, "f") == pytest.approx(expected, rel=1e-14)


@pytest.mark.parametrize("kind", [kind for kind in KINDS.values() if kind.unit], ids=lambda kind: kind.name)
def test_dimensions_of_each_kind_are_those_of_its_unit(kind):
    """Against pint, which counts an angle as a plain number; the sum of the units' own dimensions counts it too."""
    assert dimensions_of(split_unit(kind.unit)) == kind.dimensions
    powers = dict(registry().Unit(kind.unit).dimensionality)
    assert [powers.get(f"[{name}]", 0) for name in ("length", "mass", "time")] == list(kind.dimensions[:3])


def test_random_compound_units_agree_with_pint():
    rng = np.random.default_rng(7)
    shapes = {"stiffness": "{force}/{length}", "torque": "{force}*{length}", "stress": "{force}/{length}**2"}
    shapes |= {"energy": "{force}*{length}", "angular speed": "{angle}/{time}"}
    shapes |= {"inertia": "{mass}*{length}**2", "density": "{mass}/{length}**3", "speed": "{length}/{time}"}
    by_group: dict[str, list[str]] = {}
    for name, unit in UNITS.items():
        by_group.setdefault(unit.group, []).append(name)
    for kind, shape in shapes.items():
        for value in rng.uniform(-1e3, 1e3, size=30):
            names = {group: str(rng.choice(known)) for group, known in by_group.items()}
            spelled = {group: UNITS[name].pint_name for group, name in names.items()}
            expected = registry().Quantity(value, shape.format(**spelled)).m_as(KINDS[kind].unit)
            text = f"{float(value)!r} {shape.format(**names)}"
            assert to_si(text, kind, "f") == pytest.approx(expected, rel=1e-13), text


def test_random_noise_raises_nothing_but_input_errors():
    rng = np.random.default_rng(11)
    letters = [*"0123456789.eE+-/* mNinkgdeg\"'½²°µ,±#()[]{}\n\x00−–⁄_%^<>=~", "in", "mm", "nan", "**"]
    accepted = 0
    for _ in range(5000):
        text = "".join(rng.choice(letters, size=rng.integers(1, 12)))
        kind = str(rng.choice(list(KINDS)))
        try:
            accepted += math.isfinite(to_si(text, kind, "f"))
        except InputError:
            continue
    assert 0 < accepted < 5000


def test_each_kind_reads_its_own_example_and_unit():
    for kind in KINDS.values():
        if kind.name != "ratio":
            assert to_si(kind.example, kind.name, "f") > 0.0
            assert to_si(f"1 {kind.unit}", kind.name, "f") == pytest.approx(1.0, rel=1e-15)


@pytest.mark.parametrize(
    "value", [3, 3.0, 0, np.float64(3), np.int64(3), 2**9999, float("nan"), 10**5000], ids=range(8)
)
def test_a_bare_number_asks_for_a_unit(value):
    with pytest.raises(InputError, match=r'^bar\.thickness: .*has no unit; give a length such as "3\.0 mm"') as caught:
        to_si(value, "length", "bar.thickness", "3.0 mm")
    assert len(str(caught.value)) < 200


def test_the_sentence_of_a_bare_text_number():
    with pytest.raises(InputError) as caught:
        to_si("3", "length", "bar.thickness")
    assert str(caught.value) == (
        'bar.thickness: "3" has no unit; give a length such as "3.0 mm" (mm, cm, m, in, thou ...)'
    )


@pytest.mark.parametrize("value", [None, True, [1], {"a": 1}, b"1 mm", object(), 1j, np.array([1.0])])
@pytest.mark.parametrize("kind", ["length", "ratio"])
def test_things_of_another_type_are_refused(value, kind):
    with pytest.raises(InputError, match=r"^f: "):
        to_si(value, kind, "f")


@pytest.mark.parametrize("value", [0.12, 1, np.float32(0.5), np.int32(2)])
def test_a_ratio_is_a_plain_number(value):
    assert to_si(value, "ratio", "friction.ball_on_tang") == float(value)


@pytest.mark.parametrize("value", [float("nan"), float("inf"), 2**9999], ids=range(3))
def test_a_ratio_is_finite(value):
    with pytest.raises(InputError, match=r"finite|too large"):
        to_si(value, "ratio", "f")


def test_quantities_of_any_registry_are_taken():
    other = pint.UnitRegistry()
    assert to_si(other.Quantity(25.0, "thou"), "length", "f") == pytest.approx(0.025 * INCH)
    assert to_si(other.Quantity(1.0, "yard"), "length", "f") == pytest.approx(36 * INCH)
    assert to_si(registry().Quantity(30.0, "deg"), "angle", "f") == pytest.approx(math.pi / 6)
    assert to_si(other.Quantity(0.12, ""), "ratio", "f") == 0.12
    assert to_si(other.Quantity(np.float64(2), "N*mm"), "torque", "f") == pytest.approx(2e-3)


def test_angles_in_quantities_are_not_taken_for_numbers():
    make = pint.UnitRegistry().Quantity
    wrong = [
        (make(30, ""), "angle"),
        (make(7, "deg"), "ratio"),
        (make(1, "N*mm/deg"), "torque"),
        (make(1, "1/deg"), "angle"),
        (make(25, "mil"), "length"),
        (make(30, "rpm"), "speed"),
    ]
    for value, kind in wrong:
        with pytest.raises(InputError, match=r"^f: the quantity .* does not make"):
            to_si(value, kind, "f")


def test_quantities_that_will_not_do():
    make = pint.UnitRegistry().Quantity
    wrong = [
        make(1, "N"),
        make([1.0, 2.0], "mm"),
        make(float("nan"), "mm"),
        make(10**5000, "mm"),
        make(3, "degC"),
    ]
    for value in [*wrong, pint.Quantity]:
        with pytest.raises(InputError, match=r"^f: "):
            to_si(value, "length", "f")


def test_either_kind_and_its_error():
    assert to_si_either("0.05 mm", ("length", "angle"), "f") == ("length", pytest.approx(5e-5))
    assert to_si_either("0.05 deg", ("length", "angle"), "f")[0] == "angle"
    assert to_si_either(registry().Quantity(1, "mrad"), ("length", "angle"), "f") == (
        "angle",
        pytest.approx(1e-3),
    )
    with pytest.raises(InputError, match=r'give a length such as .* or an angle such as "0\.5 deg"'):
        to_si_either("3 N", ("length", "angle"), "f")
    with pytest.raises(InputError, match=r'give a length or an angle such as "0\.02 mm"'):
        to_si_either("3", ("length", "angle"), "f", "0.02 mm")


def test_arrays():
    make = pint.UnitRegistry().Quantity
    assert to_si_array(["1/16 in", make(1, "mm")], "length", "f") == pytest.approx([INCH / 16, 1e-3])
    assert to_si_array(make(np.array([1.0, 2.0]), "mm"), "length", "f") == pytest.approx([1e-3, 2e-3])
    assert to_si_array(make(1.0, "mm"), "length", "f").shape == (1,)
    assert to_si_array("1 mm", "length", "f").shape == (1,)
    assert to_si_array(np.array([0.1, 0.2]), "ratio", "f") == pytest.approx([0.1, 0.2])
    assert to_si_array(0.1, "ratio", "f") == pytest.approx([0.1])


def test_arrays_that_will_not_do():
    make = pint.UnitRegistry().Quantity
    nothing: list[str] = []
    wrong = [nothing, ["1 mm", 2], np.array([1.0, 2.0]), np.ones((2, 2)), make(np.ones((2, 2)), "mm")]
    wrong += [make([1.0, math.nan], "mm"), make([1.0], "N"), make(np.array([]), "mm"), None]
    for value in wrong:
        with pytest.raises(InputError, match=r"^f: "):
            to_si_array(value, "length", "f")


def test_result_units_have_factors_and_quantities():
    result_units = {
        "N/mm": 1e3,
        "mm": 1e-3,
        "N": 1.0,
        "N*mm": 1e-3,
        "deg": math.pi / 180,
        "mJ": 1e-3,
        "MPa": 1e6,
    }
    result_units |= {"": 1.0, "rad/s": 1.0}
    for unit, expected in result_units.items():
        assert factor(unit) == pytest.approx(expected, rel=1e-15)
        made = quantity(np.array([1.0, 2.0]), unit)
        assert made.magnitude.tolist() == [1.0, 2.0]
        assert made.units == registry().Unit(unit or "dimensionless")


@pytest.mark.parametrize("unit", ["furlong", "9**9**9", "1", "mm mm", "x" * 100_000])
def test_a_unit_that_is_none_never_reaches_pint(unit):
    for reader in (factor, lambda name: quantity(1.0, name)):
        with pytest.raises(InputError, match=r"^unit: "):
            reader(unit)


def test_an_error_survives_a_pickle():
    error = InputError("bar.width", 3, "3 has no unit")
    again = pickle.loads(pickle.dumps(error))
    assert (again.field, again.given, str(again)) == ("bar.width", 3, "bar.width: 3 has no unit")


def test_importing_the_border_loads_neither_pint_nor_numpy():
    code = (
        "import sys, detentsim.units.convert, detentsim.shop.sizes as s\n"
        "for kind in ('drills', 'balls', 'materials'): s.table(kind)\n"
        "print(sorted({'pint', 'numpy', 'matplotlib', 'scipy'} & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
