"""The table of inputs: keys, defaults, ranges and named inputs."""

import dataclasses
import math

import pytest
from helpers.garden import garden

from detentsim.knife.model import Build
from detentsim.knife.table.parts import PARTS
from detentsim.knife.table.schema import INPUTS, SECTIONS, section_inputs
from detentsim.knife.table.values import limits, read_value
from detentsim.units.errors import InputError
from detentsim.units.kinds import KINDS

MM = 1e-3

# The sections and keys that build files and scripts rely on.
KEYS = {
    "bar": "material youngs_modulus poissons_ratio yield_strength thickness width relief_thickness "
    "relief_length relief_side root ball_from_root tip_from_root bend bend_at bend_push_at reverse_yield pushed_back "
    "lockup_travel calibration measured.pull measured.travel measured.at stiffness lateral_stiffness coating",
    "ball": "diameter material protrusion hole_drill hole_depth coating",
    "dimple": "pilot_drill pilot_depth rim_drill rim_feed loose_ball_height point_angle pilot_point_angle "
    "rim_point_angle edge_radius inner_edge_radius burr overclose radial_error hole_oversize",
    "tang": "pivot_to_ball face_gap material hardness travel_angle coating",
    "stop": "radius pin_change",
    "blade": "mass balance_radius inertia pendulum_period length root_width tip_width thickness grind open_angle",
    "pivot": "kind friction_torque pull.force pull.at washer_inner washer_outer washer_friction seats "
    "washer_contact end_play pin_diameter pin_friction clearance "
    "washer_thickness handle_pocket tang_pocket",
    "opener": "radius push_angle push leaves_at",
    "friction": "ball_on_tang ball_on_tang_static",
    "contact": "rim",
    "grip": "force from_root",
    "finger": "effort speed_limit shape",
    "attitude": "tilt down_angle close_from",
    "overtravel": "gap from_root stiffness push",
    "clip": "material length width thickness preset cloth gap from_root",
}


# -- the table -----------------------------------------------------------------------------------


@pytest.mark.parametrize("section", SECTIONS)
def test_keys_of_each_section(section):
    assert [i.key for i in section_inputs(section)] == KEYS[section].split()


def test_parts_hold_exactly_the_table():
    for section in SECTIONS:
        part = PARTS[section]
        assert [f.name for f in dataclasses.fields(part)] == [key.replace(".", "_") for key in KEYS[section].split()]
        assert part is type(getattr(garden(), section))


def test_a_part_refuses_what_it_has_not_and_stays_as_it_is():
    bar = garden().bar
    with pytest.raises(AttributeError):
        _ = bar.thicknes
    with pytest.raises(dataclasses.FrozenInstanceError):
        bar.thickness = None


@pytest.mark.parametrize("entry", INPUTS.values(), ids=lambda i: i.name)
def test_defaults_and_examples_read(entry):
    value = read_value(entry, entry.example)
    assert value.kind in (*entry.kinds, "choice")
    assert value.given
    if entry.default is not None:
        assert not read_value(entry, entry.default, given=False).given
    assert entry.help
    assert entry.kinds[0] in {*KINDS, "text", "choice", "drill", "material", "hardness"}


@pytest.mark.parametrize("entry", [i for i in INPUTS.values() if i.low], ids=lambda i: i.name)
def test_ranges_hold_their_ends_and_nothing_beyond(entry):
    kinds = [k for k in entry.kinds if k not in ("choice", "hardness")]
    for at, kind in enumerate(kinds):
        low, high = limits(entry, kind)
        assert low < high
        for end in (entry.low[at], entry.high[at]):
            if kind == "drill":
                assert read_value(entry, end).si > 0
            else:
                assert read_value(entry, end).si == pytest.approx(low if end == entry.low[at] else high)
        unit = KINDS["length" if kind == "drill" else kind].unit
        over = high + 1e-6 * (high - low)
        with pytest.raises(InputError, match="out of range; allowed is"):
            read_value(entry, over if kind == "ratio" else f"{over:.12g} {unit}")


def test_named_inputs_keep_text_and_si():
    build = garden()
    assert build["ball.protrusion"].text == "25 thou"
    assert build["ball.protrusion"].si == pytest.approx(0.635 * MM)
    assert build.ball.protrusion is build["ball.protrusion"]
    assert build["dimple.pilot_drill"].si == pytest.approx(0.055 * 25.4 * MM)
    assert build["dimple.pilot_drill"].kind == "drill"
    assert build["ball.material"].kind == "material"
    assert math.isnan(build["ball.material"].si)
    assert build["tang.hardness"].kind == "hardness"
    assert build["tang.hardness"].si == pytest.approx(697, abs=1)  # 60 HRC by ASTM E140
    assert build["bar.stiffness"] is None
    assert build.si("bar.stiffness", 3.0) == 3.0
    assert build.word("bar.relief_side") == "outer"
    assert build["ball.protrusion"].quantity.m_as("thou") == pytest.approx(25)
    assert build["ball.material"].quantity == "silicon nitride"


def test_unknown_name_offers_the_nearest():
    for name in ("dimple.rim_fed", "bar.rim_feed"):
        with pytest.raises(InputError, match=rf"^{name}: is no input; did you mean dimple.rim_feed"):
            garden()[name]


def test_defaults_follow_what_was_given():
    none = Build.loads("")  # the text of a build may be empty; a file may not
    assert none["bar.bend_at"].text == "along"
    assert garden()["bar.bend_at"].text == "relief"
    assert none["pivot.kind"].text == "washers"
    assert none["pivot.friction_torque"].si == pytest.approx(4 * MM)
    assert garden()["pivot.friction_torque"].si == pytest.approx(1.5 * MM)
    assert none["pivot.washer_friction"].si == 0.12
    assert garden()["pivot.washer_friction"].si == 0
    assert math.isnan(none["dimple.rim_drill"].si)
    assert none["dimple.rim_drill"].kind == "drill"
    assert none["blade.open_angle"].si == pytest.approx(math.pi)
    assert not none["blade.open_angle"].given
    pulled = none.change({"pivot.pull.force": "0.1 N", "pivot.pull.at": "40 mm"})
    assert pulled["pivot.friction_torque"] is None
