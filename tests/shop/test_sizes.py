"""Drills, balls and tables of sizes: finding a row by what a maker writes, neighbours, rows for printing."""

import json

import pint
import pytest

from detentsim.shop import balls, drills, sizes
from detentsim.units.errors import InputError

INCH = 0.0254


@pytest.mark.parametrize(
    ("text", "name", "diameter"),
    [
        ("#53", "#53", 0.0595 * INCH),
        ("# 53", "#53", 0.0595 * INCH),
        ("no. 53", "#53", 0.0595 * INCH),
        ("No 53", "#53", 0.0595 * INCH),
        ("number 53 drill", "#53", 0.0595 * INCH),
        ("#1", "#1", 0.2280 * INCH),
        ("letter F", "letter F", 0.2570 * INCH),
        ("letter f", "letter F", 0.2570 * INCH),
        ("letter E", "letter E", 0.25 * INCH),
        ("1/4 in", "1/4 in", 0.25 * INCH),
        ("5/64 in", "5/64 in", 5 / 64 * INCH),
        ("2/32 in", "1/16 in", INCH / 16),
        ('1/16"', "1/16 in", INCH / 16),
        ("0.0625 in", "1/16 in", INCH / 16),
        ("1.50 mm", "1.5 mm", 1.5e-3),
        ("0.0595 in", "0.0595 in", 0.0595 * INCH),
        ("1.512 mm", "1.512 mm", 1.512e-3),
    ],
)
def test_a_drill_is_found_as_a_maker_writes_it(text, name, diameter):
    drill = drills.find_drill(text, "dimple.pilot_drill")
    assert drill.name == name
    assert drill.diameter == pytest.approx(diameter, rel=1e-14)


@pytest.mark.parametrize(
    ("value", "word"),
    [
        ("5/64", "no unit"),
        ("53", "no unit"),
        (53, "no unit"),
        ("#0", "from #80 to #1"),
        ("#81", "from #80 to #1"),
        ("#999", "from #80 to #1"),
        ("#53.5", "number"),
        ("F", "write letter F"),
        ("letter AA", "number"),
        ("0 mm", "above zero"),
        ("-1 mm", "above zero"),
        ("118 deg", "not a length"),
        ("", "empty"),
        (None, "nothing"),
        ("#" * 100_000, "longer than 64"),
    ],
    ids=range(15),
)
def test_no_drill_is_found_for_anything_else(value, word):
    with pytest.raises(InputError, match=word) as caught:
        drills.find_drill(value, "dimple.pilot_drill")
    message = str(caught.value)
    assert message.startswith("dimple.pilot_drill: ")
    assert message.endswith('give a drill such as "1.8 mm", "#49", "letter F" or "5/64 in"')


def test_drills_and_balls_are_taken_as_quantities():
    make = pint.UnitRegistry().Quantity
    assert drills.find_drill(make(1.5, "mm"), "f").name == "1.5 mm"
    assert drills.find_drill(make(1.512, "mm"), "f").name == "1.512 mm"
    assert balls.find_ball(make(1 / 16, "inch"), "f").name == "1/16 in"
    assert balls.find_ball(make(1.512, "mm"), "f").name == "1.512 mm"


def test_drill_neighbours():
    below, exact, above = drills.neighbours(1.45e-3)
    assert [drill.name for drill in below] == ["1.35 mm", "#54", "1.4 mm"]
    assert exact is not None
    assert exact.name == "1.45 mm"
    assert [drill.name for drill in above] == ["1.5 mm", "#53", "1.55 mm"]
    assert drills.neighbours(1.46e-3)[1] is None
    assert drills.neighbours(1e-6, 2)[0] == ()
    assert drills.neighbours(1.0, 2)[2] == ()


def test_every_drill_stands_between_its_neighbours():
    table = drills.drills()
    for drill in table:
        below, exact, above = drills.neighbours(drill.diameter, 1)
        assert exact is not None
        assert exact.diameter == pytest.approx(drill.diameter, rel=1e-12)
        assert all(other.diameter < drill.diameter for other in below)
        assert all(other.diameter > drill.diameter for other in above)


@pytest.mark.parametrize(
    ("value", "word"), [("1/16", "no unit"), (1.5, "no unit"), ("0 mm", "above zero"), ("5 N", "length")]
)
def test_no_ball_is_found_for_anything_else(value, word):
    with pytest.raises(InputError, match=word) as caught:
        balls.find_ball(value, "ball.diameter")
    assert str(caught.value).startswith("ball.diameter: ")


@pytest.mark.parametrize("kind", ["drills", "balls", "materials"])
def test_tables_have_square_rows_and_make_json(kind):
    table = sizes.table(kind)
    assert all(len(row) == len(table.header) for row in table.rows)
    assert json.loads(json.dumps(table.as_dicts(), allow_nan=False))[0]["name"] == table.rows[0][0]


def test_neighbours_for_printing():
    near = sizes.near("drills", "1/4 in", 1)
    assert [row[0] for row in near.rows] == ["6.3 mm", "letter E", "1/4 in", "6.4 mm"]
    step = near.header.index("difference_mm")
    assert [row[step] for row in near.rows] == pytest.approx([-0.05, 0.0, 0.0, 0.05])
    assert [row[0] for row in sizes.near("balls", "1.55 mm", 1).rows] == ["1.5 mm", "1/16 in"]
    assert [row[0] for row in sizes.near("drills", "#53", 1).rows] == ["1.5 mm", "#53", "1.55 mm"]


@pytest.mark.parametrize(
    ("kind", "text"), [("materials", "1 mm"), ("nails", "1 mm"), ("drills", "1.45"), ("balls", "#53")]
)
def test_no_neighbours_for_anything_else(kind, text):
    with pytest.raises(InputError, match=r"^--near: "):
        sizes.near(kind, text)


@pytest.mark.parametrize("kind", ["drills", "balls"])
@pytest.mark.parametrize("text", ["1000 mm", "1e300 mm", "1 um", "40 in"])
def test_a_size_with_none_near_it_is_refused_with_the_range_of_the_table(kind, text):
    with pytest.raises(InputError, match=rf'^--near: "{text}" has none near it; the {kind} here run from [\d.]+ mm \('):
        sizes.near(kind, text)


def test_a_size_just_outside_the_table_gives_the_end_of_it():
    assert [row[0] for row in sizes.near("drills", "13 mm", 1).rows] == ["12.7 mm"]
    assert [row[0] for row in sizes.near("balls", "0.8 mm", 1).rows] == ["1 mm"]


def test_an_unknown_table_is_refused():
    with pytest.raises(InputError, match="choose drills, balls, materials or friction"):
        sizes.table("nails")
