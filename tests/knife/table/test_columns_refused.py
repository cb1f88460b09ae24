"""What cannot be varied, or asked of a sweep: every wrong request told in a line."""

import re

import numpy as np
import pytest
from helpers.columns import column
from helpers.sweeps import ALONE, GARDEN, HEIGHT, MEASURED, STACK

import detentsim as ds
from detentsim.knife.checks.problems import BuildError
from detentsim.knife.record.record import plain, swept
from detentsim.knife.table.columns import LONGEST, read_columns
from detentsim.knife.table.schema import INPUTS
from detentsim.units.errors import InputError
from detentsim.units.kinds import KINDS
from detentsim.units.quantities import quantity

# Wrong requests


NOT_VARY = {
    "nothing": (None, "vary"),
    "a name": ("bar.bend", "vary"),
    "a list": (["bar.bend"], "vary"),
    "no such name": ({"bar.bnd": ["1 mm"]}, "bar.bnd"),
    "no name": ({3: ["1 mm"]}, "3"),
    "a section": ({"bar": ["1 mm"]}, "bar"),
    "a result": ({"breakout_force": ["1 N"]}, "breakout_force"),
    "one text": ({"bar.bend": "1 mm"}, "bar.bend"),
    "one number": ({"friction.ball_on_tang": 0.1}, "friction.ball_on_tang"),
    "one quantity": ({"bar.bend": quantity(1, "mm")}, "bar.bend"),
    "one word": ({"bar.root": "slab"}, "bar.root"),
    "none": ({"bar.bend": None}, "bar.bend"),
    "a set": ({"bar.bend": {"1 mm"}}, "bar.bend"),
    "a mapping": ({"bar.bend": {"from": "1 mm"}}, "bar.bend"),
    "an empty list": ({"bar.bend": []}, "bar.bend"),
    "an empty tuple": ({"bar.bend": ()}, "bar.bend"),
    "an empty array": ({"friction.ball_on_tang": np.array([])}, "friction.ball_on_tang"),
    "an empty quantity": ({"bar.bend": quantity(np.array([]), "mm")}, "bar.bend"),
    "no count": ({"bar.bend": ("1 mm", "2 mm")}, "bar.bend"),
    "a pair too many": ({"bar.bend": ("1 mm", "2 mm", 3, 4)}, "bar.bend"),
    "count nought": ({"bar.bend": ("1 mm", "2 mm", 0)}, "bar.bend"),
    "count below": ({"bar.bend": ("1 mm", "2 mm", -3)}, "bar.bend"),
    "count a half": ({"bar.bend": ("1 mm", "2 mm", 2.5)}, "bar.bend"),
    "count as text": ({"bar.bend": ("1 mm", "2 mm", "3")}, "bar.bend"),
    "count a truth": ({"bar.bend": ("1 mm", "2 mm", True)}, "bar.bend"),
    "count too many": ({"bar.bend": ("1 mm", "2 mm", LONGEST + 1)}, "bar.bend"),
    "no unit": ({"bar.bend": [1.0, 2.0]}, "bar.bend"),
    "no unit in a range": ({"bar.bend": (1, 2, 3)}, "bar.bend"),
    "no unit in an array": ({"bar.bend": np.array([1.0, 2.0])}, "bar.bend"),
    "another unit": ({"bar.bend": ["1 mm", "1 N"]}, "bar.bend"),
    "another unit in a range": ({"bar.bend": ("1 N", "2 N", 3)}, "bar.bend"),
    "another unit in an array": ({"bar.bend": quantity(np.array([1.0, 2.0]), "N")}, "bar.bend"),
    "a unit where none belongs": ({"friction.ball_on_tang": ("1 mm", "2 mm", 3)}, "friction.ball_on_tang"),
    "two kinds in a range": ({"dimple.overclose": ("0 mm", "1 deg", 3)}, "dimple.overclose"),
    "a word in a range": ({"bar.bend_at": ("relief", "5 mm", 3)}, "bar.bend_at"),
    "rigid in a range": ({"bar.lateral_stiffness": ("9 N/mm", "rigid", 3)}, "bar.lateral_stiffness"),
    "not a number": ({"friction.ball_on_tang": [0.1, float("nan")]}, "friction.ball_on_tang"),
    "not a number in an array": ({"friction.ball_on_tang": np.array([0.1, np.nan])}, "friction.ball_on_tang"),
    "an array of two axes": ({"friction.ball_on_tang": np.ones((2, 2))}, "friction.ball_on_tang"),
    "a quantity of two axes": ({"bar.bend": quantity(np.ones((2, 2)), "mm")}, "bar.bend"),
    "out of range": ({"bar.bend": ["1 mm", "31 mm"]}, "bar.bend"),
    "a range out of range": ({"bar.bend": ("1 mm", "31 mm", 3)}, "bar.bend"),
    "an array out of range": ({"bar.bend": quantity(np.array([-31.0, 0, 1]), "mm")}, "bar.bend"),
    "an array of coefficients out of range": ({"friction.ball_on_tang": np.array([0.1, 1.6])}, "friction.ball_on_tang"),
    "a coefficient as text": ({"friction.ball_on_tang": ["0.1", 0.2]}, "friction.ball_on_tang"),
    "an array of drills out of range": (
        {"dimple.pilot_drill": quantity(np.array([1, 14]), "mm")},
        "dimple.pilot_drill",
    ),
    "no such drill": ({"dimple.pilot_drill": ["#54", "#99"]}, "dimple.pilot_drill"),
    "no such material": ({"bar.material": ["Ti-6Al-4V", "cheese"]}, "bar.material"),
    "no such word": ({"bar.relief_side": ["outer", "up"]}, "bar.relief_side"),
    "a plain hardness": ({"tang.hardness": [700]}, "tang.hardness"),
    "an array of words": ({"bar.root": quantity(np.array([1.0]), "mm")}, "bar.root"),
    "truths": ({"friction.ball_on_tang": [True]}, "friction.ball_on_tang"),
    "nothing in a list": ({"bar.bend": ["1 mm", None]}, "bar.bend"),
    "a name's text": ({"name": ["a", "b"]}, "name"),
    "a hand": ({"hand": ["left"]}, "hand"),
    "a pin without its place": ({"stop.pin_change": ["0.1 mm"]}, "stop.radius"),
    "a pull without its place": ({"pivot.pull.force": ["0.1 N"]}, "pivot.pull.at"),
    "one third of a measurement": ({"bar.measured.pull": ["10 N"]}, "bar.measured.travel"),
    "a stack beside a gap": ({"pivot.washer_thickness": ["0.5 mm"]}, "tang.face_gap"),
    "a height beside a feed": ({"dimple.loose_ball_height": ["1.1 mm"]}, "dimple.loose_ball_height"),
    "too many designs": ({f"bar.{n}": ("6 mm", "9 mm", 40_000) for n in ("width", "relief_length")}, "sweep"),
}
UNSAID = {
    "a name's text",
    "a hand",
    "a height beside a feed",
    "a stack beside a gap",
    "too many designs",
    "no such name",
}
"""Where the way out is a name or a word to leave out, not a value to type."""


@pytest.mark.parametrize("case", NOT_VARY)
def test_a_wrong_request_is_told_in_a_line(case):
    vary, field = NOT_VARY[case]
    with pytest.raises(InputError) as told:
        ds.sweep(GARDEN, vary)
    first, *more = str(told.value).splitlines()
    assert len(more) == (case == "one third of a measurement")
    assert first.startswith(f"{field}: ")
    assert "Traceback" not in first
    assert len(first) < 300
    if case not in UNSAID:
        assert re.search(r'such as|give .*"|write .*=|did you mean|named like|give "|choose from', first), first


@pytest.mark.parametrize("name", ALONE)
def test_the_example_in_the_message_can_be_typed_in(name):
    with pytest.raises(InputError) as told:
        column(name, 5j)
    message = str(told.value)
    offered = re.findall(r"such as (\(.*?\)|\[.*?\])", message)
    assert offered
    for example in offered:
        assert len(column(name, eval(example))) in (1, 11)
    assert any(example.startswith("(") for example in offered) == (
        bool(set(INPUTS[name].kinds) & set(KINDS)) and name != "bar.bend_at"
    )


def test_several_wrong_columns_are_all_told_at_once():
    vary = {"bar.bnd": ["1 mm"], "bar.bend": ["1 N"], "bar.width": ("6 mm", "9 mm", 3), "dimple.rim_drill": []}
    with pytest.raises(BuildError) as told:
        ds.sweep(GARDEN, vary, of=["preload", "prelod", "floats"])
    lines = str(told.value).splitlines()
    assert [line.partition(":")[0] for line in lines] == ["bar.bnd", "bar.bend", "dimple.rim_drill", "of", "of"]
    assert "did you mean bar.bend" in lines[0]
    assert "did you mean preload" in lines[3]
    assert "every flag is given" in lines[4]
    assert len(told.value.problems) == 5


@pytest.mark.parametrize(
    ("of", "said"),
    [
        ("prelod", "did you mean preload"),
        ("PRELOAD", "did you mean preload"),
        ("floats", "it is a flag"),
        ("bar.bend", "there are bar_stiffness"),
        ("opens_full", "did you mean opens_fully"),
        (5, "there are bar_stiffness"),
        ([None], "there are bar_stiffness"),
        ([["preload"]], "did you mean preload"),
        ({"preload": 1, "x": 2}, "there are bar_stiffness"),
    ],
)
def test_a_wrong_result_is_told_in_a_line(of, said):
    with pytest.raises(InputError) as told:
        ds.sweep(GARDEN, {"bar.bend": ["1 mm"]}, of)
    assert str(told.value).startswith("of: ")
    assert said in str(told.value)
    assert "\n" not in str(told.value)


def test_results_once_in_the_order_asked():
    s = ds.sweep(GARDEN, {}, of=iter(["preload", "draw_torque", "preload"]))
    assert list(s.results) == ["preload", "draw_torque"]
    assert list(ds.sweep(GARDEN, {}, of=()).results) == []


def test_a_build_without_an_opener_names_the_section():
    build = ds.Build.loads("\n".join(GARDEN.text.partition("[opener]")[:1]))
    with pytest.raises(InputError, match=r"opener: the section \[opener\] is missing"):
        ds.sweep(build, {"bar.bend": ["1 mm"]})
    given = {"opener.radius": ["15 mm", "20 mm"], "opener.push_angle": ["20 deg"]}
    assert ds.sweep(build, given)["breakout_force"].magnitude[0, 0] == pytest.approx(
        ds.curve(GARDEN).results["breakout_force"], rel=1e-12
    )


@pytest.mark.parametrize("needs", [{}, MEASURED, STACK, HEIGHT], ids=["as it is", "measured", "stack", "height"])
def test_numbers_of_a_build_are_those_of_the_columns_that_say_the_same(needs):
    build = GARDEN.change(needs)
    names = [name for name, value in build.values.items() if value.given and name not in ("name", "hand")]
    columns = read_columns({name: [build.values[name].text] for name in names if name not in RATIOS})
    found = swept(build, columns).numbers
    for name, number in plain(build).items():
        np.testing.assert_allclose(np.ravel(found[name]), np.ravel(number), rtol=1e-14, err_msg=name)


RATIOS = {name for name, entry in INPUTS.items() if entry.kinds == ("ratio",)}
