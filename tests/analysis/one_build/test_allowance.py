"""What a wear-in says to do: it follows from the numbers beside it, for both signs, in random builds too."""

import contextlib
import random
import re
from dataclasses import replace

import numpy as np
import pytest
from helpers.garden import garden
from helpers.mutations import random_changes
from scipy.optimize import brentq

import detentsim as ds
from detentsim.analysis.one_build.wear.allowance import HARDLY, OILED, change_words, direction
from detentsim.knife.target.target import FELT, Target
from detentsim.units.errors import InputError


def fed(feed, *target):
    """The demo with its second drill fed so far, and a target of its own."""
    return replace(ds.demo().change({"dimple.rim_feed": f"{feed} mm"}), target=target)


def breakout(build):
    return ds.curve(build).results["breakout_force"]


def check_words(w):
    """The sentences against the stages that stand beside them in the report."""
    forces = [w[name].results["breakout_force"] for name in ("fresh", *OILED)]
    fresh, worn = forces[0], np.array(forces[1:], float)
    if None in forces:
        assert w.direction == "lost"
        return
    changes = worn / fresh - 1
    heavier, lighter = (bool(np.any(sign * changes >= HARDLY)) for sign in (1, -1))
    assert ("% heavier" in w.moved, "% lighter" in w.moved) == (heavier, lighter)
    assert ("will hardly move" in w.moved) == (not heavier and not lighter)
    if heavier or lighter:
        assert ("which a hand feels" in w.moved) == (np.abs(changes).max() >= FELT)
        said = [float(number) for number in re.findall(r"(\d+\.\d) (?:%|to)", w.moved)]
        assert max(said) == pytest.approx(100 * np.abs(changes).max(), abs=0.051)
    set_to = re.search(r"Set it (\w+)", w.advice)
    if not w.build.target:
        felt = np.abs(changes).max() >= FELT and heavier != lighter
        assert (set_to.group(1) if set_to else "") == (("light" if heavier else "heavy") if felt else "")
        return
    (band,) = w.build.target
    low = -np.inf if band.at_least is None else band.at_least
    high = np.inf if band.at_most is None else band.at_most
    inside = bool(np.all((worn >= low) & (worn <= high)))
    assert ("inside its target: " in w.advice) == inside
    if set_to:
        way = 1 if set_to.group(1) == "heavier" else -1
        assert way == (1 if worn.min() < low else -1)
        at_least, at_most = w.fresh_wanted
        assert at_least * (1 + changes.min()) == pytest.approx(low)
        assert at_most * (1 + changes.max()) == pytest.approx(high)
    assert bool(set_to) or inside or "No fresh reading" in w.advice


def test_words_of_a_change():
    assert change_words((0.101, 0.101)) == "10.1 % heavier"
    assert change_words((-0.002, 0.05)) == "up to 5.0 % heavier"
    assert change_words((-0.05, 0.002)) == "up to 5.0 % lighter"
    assert direction(None) == "lost"


@pytest.mark.parametrize(("feed", "said"), [(0.05, "Nothing to allow for."), (0.12, "Set it heavy to allow for that")])
def test_without_a_target_what_is_felt_is_allowed_for(feed, said):
    w = ds.worn_in(fed(feed))
    check_words(w)
    assert said in w.advice


@pytest.mark.parametrize("feed", [0.05, 0.12])
@pytest.mark.parametrize(("low", "high"), [(0.5, 1.5), (0.99, 1.005), (1.1, 1.3), (None, 0.8), (0.97, None)])
def test_a_target_is_to_be_met_worn_in(feed, low, high):
    own = breakout(fed(feed))
    ends = {"at_least": low and low * own, "at_most": high and high * own}
    check_words(ds.worn_in(fed(feed, Target("breakout_force", **ends))))


def test_the_fresh_force_that_is_named_gives_the_one_wanted_worn_in():
    """The bar bent farther until the fresh knife reads what the advice says."""
    build = fed(0.12)
    w = ds.worn_in(build)
    fresh, aim = (float(text) for text in re.findall(r"about ([\d.]+) N fresh to have ([\d.]+) N", w.advice)[0])

    def bent(bend):
        return build.change({"bar.bend": f"{bend} mm"})

    allowed = bent(brentq(lambda bend: breakout(bent(bend)) - fresh, 2.2, 3.2, xtol=1e-4))
    assert ds.worn_in(allowed)["worn in"].results["breakout_force"] == pytest.approx(aim, rel=0.03)
    assert w.change("breakout_force", "worn in") < -0.1


def test_an_edge_rounded_first_is_the_build_with_that_edge():
    build = fed(0.12)
    w = ds.worn_in(build)
    radius = re.search(r"round the dimple's edge to ([\d.]+) mm first", w.advice).group(1)
    other = ds.worn_in(build.change({"dimple.edge_radius": f"{radius} mm"}))
    assert f"it starts at {breakout(other.build):.2f} N" in w.advice
    assert other.moves == w.polished.moves
    assert max(map(abs, other.moves)) < max(map(abs, w.moves)) / 2
    assert ds.worn_in(fed(0.05)).polished is None
    near, far = (Target("breakout_force", at_least=low, at_most=low + 1) for low in (8.5, 11.0))
    assert "Round the dimple's edge" in ds.worn_in(replace(build, target=(near,))).advice
    assert "the dimple's edge" not in ds.worn_in(replace(build, target=(far,))).advice


def test_a_warning_that_wearing_in_raises_is_not_called_well():
    w = ds.worn_in(fed(0.05))
    stages = tuple(replace(stage, flags=("floats",)) if stage.name == "oiled, most" else stage for stage in w.stages)
    assert "heed the warning" in replace(w, stages=stages).advice
    assert "nothing to allow" not in replace(w, stages=stages).advice.lower()


@pytest.mark.slow
@pytest.mark.parametrize("seed", [7, 8])
def test_random_builds_say_what_their_numbers_say(seed):
    rng, ways = random.Random(seed), set()
    for _ in range(40):
        with contextlib.suppress(InputError):  # sizes that fit no knife
            build = garden().change(random_changes(rng)[0])
            own = breakout(build)
            ends = [own and own * rng.uniform(0.8, 1.0), own and own * rng.uniform(1.0, 1.2)]
            wanted = () if rng.random() < 0.5 or not own else (Target("breakout_force", *ends),)
            w = ds.worn_in(replace(build, target=wanted))
            ways.add(w.direction)
            if w.untold is None:
                check_words(w)
    assert {"heavier", "lighter"} <= ways
