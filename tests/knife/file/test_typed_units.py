"""Reports take the units a build is typed in."""

import pytest
from helpers.garden import GARDEN_TEXT

import detentsim as ds
from detentsim.knife.table.typed_units import reads_in
from detentsim.units.systems import INCH


def garden(**changes):
    return ds.Build.loads(GARDEN_TEXT).change({name.replace("__", "."): text for name, text in changes.items()})


def test_a_metric_file_reads_in_mm_and_newtons():
    assert (garden().units.length, garden().units.force) == ("mm", "N")


def test_a_file_typed_in_inches_reads_in_inches_and_its_forces_follow():
    names = ("thickness", "width", "relief_thickness", "relief_length", "ball_from_root", "tip_from_root", "bend")
    inches = {f"bar.{name}": f"{garden().si('bar.' + name) / 0.0254:.4f} in" for name in names}
    others = ("dimple.pilot_depth", "dimple.rim_feed", "dimple.overclose", "opener.radius", "blade.balance_radius")
    inches |= {name: f"{garden().si(name) / 2.54e-5:.3f} thou" for name in others}
    build = garden().change(inches)
    assert (build.units.length, build.units.force) == ("in", "N"), "the target is typed in newtons"
    text = build.text.replace('"9 N"', '"2 lbf"').replace('"13 N"', '"3 lbf"')
    assert ds.Build.loads(text).units.force == "lbf"
    assert ds.Build.loads(build.text.partition("[target]")[0]).units.force == "lbf", "no force typed"


@pytest.mark.parametrize("form", ["{:.4f} in", "{:.4f}in", '{:.4f}"', "{:.4f} inch"])
def test_inches_count_however_they_are_written(form):
    lengths = {
        name: form.format(value.si / 0.0254)
        for name, value in garden().values.items()
        if value.given and value.kind == "length" and name != "ball.diameter"
    }
    build = garden().change(lengths)
    assert build.units.length == "in"
    assert reads_in(INCH, build["bar.tip_from_root"]), "over an inch"


def test_a_name_or_a_finish_counts_for_no_unit():
    named = garden(name="No. 7 lbf N lbf lbf", dimple__edge_radius="tumbled")
    assert named.units == garden().units


@pytest.mark.parametrize("trade", [{"ball__diameter": "1/8 in"}, {"dimple__rim_drill": "1/16 in"}])
def test_sizes_of_the_trade_do_not_count(trade):
    assert garden(**trade).units.length == "mm"


@pytest.mark.parametrize(
    ("pilot", "rim", "hole", "stock"),
    [
        ("#54", "#53", "1/16 in", "inch"),
        ("#54", "none", "55 thou", "inch"),
        ("1.4 mm", "1.5 mm", "1.55 mm", "metric"),
        ("1.4 mm", "none", None, "metric"),
        ("1.4 mm", "#53", None, "both"),
        ("#54", "#53", "1.55 mm", "both"),
    ],
)
def test_the_drills_of_the_shop_are_those_of_the_system_that_the_file_names_them_in(pilot, rim, hole, stock):
    feed = None if rim == "none" else "0.05 mm"
    build = garden(dimple__pilot_drill=pilot, dimple__rim_drill=rim, dimple__rim_feed=feed, ball__hole_drill=hole)
    assert build.stock == stock
    assert build.change({"stock": "metric"}).stock == "metric"


@pytest.mark.parametrize(("choice", "length"), [("inch", "in"), ("metric", "mm"), ("as typed", "mm")])
def test_a_file_may_choose(choice, length):
    build = garden(units=choice)
    assert build.units.length == length
    assert ds.Build.loads(build.text).units == build.units
