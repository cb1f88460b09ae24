"""The table of inputs: each line whole, each packaged number with its source; texts of a build, and absurd values."""

import csv
from pathlib import Path

import pytest
from helpers.garden import workshop

import detentsim as ds
from detentsim.knife.table import schema
from detentsim.knife.table.schema import INPUTS, MARKS
from detentsim.show.one_build.feel_curve.data_files import curve_document
from detentsim.show.one_build.feel_curve.report import report

TABLE = Path(schema.__file__).with_name("inputs.csv")

# Defaults that are set beside the table, since they depend on other inputs.
ELSEWHERE = {"pivot.friction_torque", "pivot.washer_friction"}


def test_each_line_has_as_many_cells_as_the_heading():
    """An unquoted comma would cut a help text short, and shift the cells after it."""
    rows = list(csv.reader(TABLE.read_text("utf-8").splitlines()))
    assert {len(row) for row in rows} == {len(rows[0])}


@pytest.mark.parametrize("entry", INPUTS.values(), ids=INPUTS)
def test_each_packaged_number_names_its_source_and_how_sure_it_is(entry):
    packaged = entry.default is not None or entry.band is not None or entry.name in ELSEWHERE
    assert bool(entry.source) == packaged
    assert not packaged or any(mark in entry.source for mark in MARKS), entry.source


def test_the_full_report_tells_where_each_assumed_number_comes_from():
    c = ds.curve(workshop())
    assert len(c.assumed) > 3
    text = " ".join(report(c, full=True).split())
    json = curve_document(c)["assumed"]
    for name in c.assumed:
        assert " ".join(INPUTS[name].source.split()) in text, name
        assert json[name]["source"] == INPUTS[name].source
    assert INPUTS[c.assumed[0]].source not in " ".join(report(c).split())


@pytest.mark.parametrize("space", ["\u00a0", "\u202f", "\u2009", "\u3000"])
def test_a_wide_or_no_break_space_in_a_name_counts_as_a_space(space):
    build = workshop().change({"name": f"garden{space}folder"})
    assert build.name == "garden folder"
    assert ds.Build.loads(build.text).name == "garden folder"


@pytest.mark.parametrize(
    ("name", "fault"),
    [
        ("garden\nfolder", "has a line break"),
        ("garden\u2028folder", "has a line break"),
        ("garden\u200bfolder", r"has a hidden character \(U\+200B\)"),
        ("garden\tfolder", r"has a hidden character \(U\+0009\)"),
        ("g" * 201, "is too long"),
    ],
)
def test_a_name_is_refused_for_what_is_wrong_with_it(name, fault):
    with pytest.raises(
        ds.InputError, match=fault + '; give one line of at most 200 characters, such as "garden folder"'
    ):
        workshop().change({"name": name})


# Sizes that knives have, common practice, no source; from the whole range of the trade.
KNIVES = {
    "keychain liner lock": {
        "bar.material": "301 full hard",
        "bar.thickness": "0.6 mm",
        "bar.width": "3 mm",
        "bar.relief_thickness": None,
        "bar.relief_length": None,
        "bar.ball_from_root": "16 mm",
        "bar.tip_from_root": "19 mm",
        "bar.bend": "3.5 mm",
        "bar.bend_at": "along",
        "ball.diameter": "1 mm",
        "ball.protrusion": "0.35 mm",
        "tang.pivot_to_ball": "4 mm",
        "tang.face_gap": "0.2 mm",
        "dimple.pilot_drill": "0.8 mm",
        "dimple.rim_drill": "0.85 mm",
        "blade.mass": "4 gram",
        "blade.balance_radius": "18 mm",
        "blade.inertia": "1.9 kg*mm**2",
        "opener.radius": "5 mm",
        "overtravel.from_root": None,
    },
    "camp folder": {
        "bar.thickness": "5 mm",
        "bar.width": "14 mm",
        "bar.ball_from_root": "70 mm",
        "bar.tip_from_root": "80 mm",
        "tang.pivot_to_ball": "14 mm",
        "blade.mass": "220 gram",
        "blade.balance_radius": "85 mm",
        "blade.inertia": "2200 kg*mm**2",
        "opener.radius": "40 mm",
    },
    "relief over the whole bar": {"bar.relief_thickness": "0.9 mm", "bar.relief_length": "40 mm"},
    "brass liner": {"bar.youngs_modulus": "100 GPa", "bar.yield_strength": "300 MPa"},
    "spring steel": {"bar.youngs_modulus": "207 GPa", "bar.yield_strength": "1500 MPa"},
    "front flipper": {"opener.radius": "8 mm", "opener.push_angle": "-60 deg", "opener.push": "follows"},
    "three quarters of a turn": {"blade.open_angle": "270 deg"},
    "soft liner against a soft tang": {"tang.hardness": "42 HRC"},
    "one drill, spot point": {"dimple.rim_drill": "none", "dimple.rim_feed": None, "dimple.point_angle": "90 deg"},
    "inch, greased, stop pin changed": {
        "bar.width": "5/16 in",
        "friction.ball_on_tang": "greased",
        "stop.radius": "0.35 in",
        "stop.pin_change": "-2 thou",
        "pivot.washer_inner": "3/16 in",
        "pivot.washer_outer": "3/8 in",
    },
}

ABSURD = {
    "centimetres for millimetres": ({"bar.thickness": "3 cm"}, "bar.thickness"),
    "a dimple through the blade": ({"dimple.pilot_depth": "0.6 in"}, "dimple.pilot_depth"),
    "thou for micrometres": ({"dimple.edge_radius": "20 thou"}, "dimple.edge_radius"),
    "grams taken for kilograms": ({"blade.inertia": "40000 kg*mm**2"}, "blade.inertia"),
    "balance past the knife": ({"blade.balance_radius": "340 mm"}, "blade.balance_radius"),
    "play of a barn door": ({"pivot.clearance": "0.01 m"}, "pivot.clearance"),
    "washer of a bicycle": ({"pivot.washer_inner": "4.8 mm", "pivot.washer_outer": "95 mm"}, "pivot.washer_outer"),
    "pushed back to the next slab": ({"bar.pushed_back": "100 mm"}, "bar.pushed_back"),
    "a ball as wide as its bar": ({"bar.width": "1.5 mm"}, "ball.diameter"),
}


@pytest.mark.parametrize("name", KNIVES)
def test_the_table_takes_any_knife_of_the_trade(name):
    build = workshop().change(KNIVES[name])
    c = ds.curve(build)
    assert c.flags or c.results["breakout_force"] > 0
    assert all(build[key].text == text for key, text in KNIVES[name].items() if isinstance(text, str))


@pytest.mark.parametrize("name", ABSURD)
def test_the_table_refuses_what_no_knife_has(name):
    changes, blamed = ABSURD[name]
    with pytest.raises(ds.InputError, match=rf"^{blamed}: "):
        workshop().change(changes)
