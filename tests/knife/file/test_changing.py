"""Changes made in Python: targets by name, and inputs taken over from another build."""

from dataclasses import replace

import numpy as np
import pytest
from helpers.garden import garden

from detentsim.knife.model import Build
from detentsim.knife.target.target import Target
from detentsim.units.errors import InputError
from detentsim.units.quantities import quantity

HEAD = garden().text.partition("[target]")[0]
WANTED = Build.loads(
    HEAD + '[target]\nbreakout_force = { at_least = "9 N", at_most = "13 N" }  # as felt\nfalls_shut = true\n'
)


@pytest.mark.parametrize(
    ("new", "line"),
    [
        ({"at_least": "7 N"}, 'breakout_force = { at_least = "7 N" }  # as felt'),
        ({"at_most": quantity(12.5, "N")}, 'breakout_force = { at_most = "12.5 N" }  # as felt'),
        ({"change": "-20 %"}, 'breakout_force = { change = "-20 %" }  # as felt'),
        (None, ""),
    ],
)
def test_a_target_is_changed_in_its_line(new, line):
    changed = WANTED.change({"target.breakout_force": new})
    kept = [line] if line else []
    assert changed.text == "\n".join([HEAD + "[target]", *kept, "falls_shut = true", ""])
    assert changed.target == Build.loads(changed.text).target
    assert len(changed.target) == 1 + len(kept)
    assert WANTED.target[0] == Target("breakout_force", 9.0, 13.0)
    back = changed.change({"target.breakout_force": {"at_least": "9 N", "at_most": "13 N"}})
    assert set(back.target) == set(WANTED.target) == set(Build.loads(back.text).target)


LAID_OUT = {
    "table": HEAD + '[target.breakout_force]\nat_most = "13 N"  # as felt\n\n[target]\nfalls_shut = true\n',
    "keys": HEAD + '[target]\nbreakout_force.at_most = "13 N"\nfalls_shut = true\n',
    "inline": 'target = { breakout_force = { at_most = "13 N" }, falls_shut = true }\n' + HEAD,
}


@pytest.mark.parametrize("text", LAID_OUT.values(), ids=list(LAID_OUT))
@pytest.mark.parametrize("new", [{"at_least": "7 N"}, {"at_least": "7 N", "at_most": "9 N"}, {"change": "-20 %"}, None])
def test_a_target_is_changed_however_the_file_lays_it_out(text, new):
    changed = Build.loads(text).change({"target.breakout_force": new})
    assert set(Build.loads(changed.text).target) == set(changed.target)
    assert len(changed.target) == (1 if new is None else 2)


def test_a_target_given_as_a_quantity_is_what_the_file_gives_back():
    changed = WANTED.change({"target.breakout_force": {"at_most": quantity(10 / 3, "N")}})
    assert Build.loads(changed.text).target[0] == changed.target[0]
    assert changed.target[0].at_most == pytest.approx(10 / 3, rel=1e-11)


def test_a_tolerance_that_is_taken_out_leaves_no_empty_table():
    for text in (
        HEAD + '[tolerance."bar.bend"]\nplus_minus = "0.1 mm"\n',
        'tolerance = { "bar.bend" = { plus_minus = "0.1 mm" }, "bar.width" = { plus_minus = "0.1 mm" } }\n' + HEAD,
    ):
        assert "bar.bend" not in Build.loads(Build.loads(text).without_tolerance("bar.bend").text).tolerance


def test_a_target_is_added_to_a_build_without_one():
    new = {"target.falls_shut": np.bool_(False), "target.carry_g": {"at_least": 2}, "bar.bend": "2 mm"}
    build = Build.loads(HEAD).change(new)
    assert build.target == (Target("falls_shut", truth=False), Target("carry_g", 2.0))
    assert Build.loads(build.text).target == build.target
    assert Build.loads(HEAD).target == ()


@pytest.mark.parametrize(
    ("name", "new", "says"),
    [
        ("target.breakout_froce", True, r"target\.breakout_froce: is no result; did you mean breakout_force"),
        ("target.falls_shut", 3, "give true or false, such as falls_shut = true"),
        ("target.breakout_force", "9 N", 'is not a band; write breakout_force = { at_least = "9 N" }'),
        ("target", {"falls_shut": True}, 'give one of its results, such as {"target.falls_shut": True}'),
        ("tolerance.bar.bend", "1 mm", r"a batch takes tolerances: ds\.batch\(build, vary="),
    ],
)
def test_a_faulty_target_is_told(name, new, says):
    with pytest.raises(InputError, match=says):
        WANTED.change({name: new})


def test_inputs_of_another_build_are_taken_over():
    other = garden().change({"bar.bend": "70 thou", "friction.ball_on_tang": 0.15, "bar.material": "410"})
    names = ("bar.bend", "friction.ball_on_tang", "bar.material", "dimple.pilot_drill")
    assert garden().change({name: other[name] for name in names}).values == other.values


def test_a_target_set_in_its_place_stays_when_inputs_change():
    """Advice puts what is wanted in place of the file's target and goes on changing inputs."""
    wanted = (Target("preload", 3.0),)
    assert replace(WANTED, target=wanted).change({"bar.bend": "2 mm"}).target == wanted
