"""A sweep over each input alone gives what single builds give; what changes no number is not varied."""

from functools import cache

import numpy as np
import pytest
from helpers.sweeps import (
    ALONE,
    CLOSE,
    EVERY,
    GARDEN,
    NO_MATTER,
    everywhere,
    matches,
)

import detentsim as ds
from detentsim.knife.outcomes import FLAGS
from detentsim.knife.table.schema import INPUTS
from detentsim.mechanics.names import RESULT_NAMES
from detentsim.units.errors import InputError

# Every input alone


def test_every_input_is_covered():
    """A new input needs a line in ALONE, or it is one that changes no number."""
    assert set(ALONE) | {"name", "hand", "units", "stock"} == set(INPUTS)
    uncovered = {name for name, entry in INPUTS.items() if not set(entry.choices) <= set(ALONE.get(name, [()])[0])}
    assert uncovered == {"hand", "units", "stock"}


@cache
def alone(name):
    """The sweep over one input, with every result."""
    values, needs = ALONE[name]
    return ds.sweep(GARDEN.change(needs), {name: values}, of=EVERY)


@pytest.mark.slow
@pytest.mark.parametrize("name", ALONE)
def test_one_input_alone_equals_single_builds(name):
    """Typed values are the same numbers in both, so nothing but the order of operations differs."""
    s = alone(name)
    assert s.shape == (len(ALONE[name][0]),)
    assert not s.misfits
    matches(s, everywhere(s), 1e-11)


@pytest.mark.slow
@pytest.mark.parametrize("name", ALONE)
def test_one_input_alone_moves_something(name):
    """Else the comparison above would hold for a sweep that leaves the input where it is."""
    s = alone(name)
    arrays = [*s.results.values(), *s.flags.values()]
    moved = any(not np.allclose(a, a[0], rtol=CLOSE, atol=1e-12, equal_nan=a.dtype == float) for a in arrays)
    assert moved == (name not in NO_MATTER)


@pytest.mark.parametrize(
    "name", ["bar.bend", "dimple.rim_drill", "bar.lateral_stiffness", "dimple.overclose", "pivot.kind"]
)
def test_one_input_alone_equals_whole_curves(name):
    values, needs = ALONE[name]
    s = ds.sweep(GARDEN.change(needs), {name: values}, of=[*RESULT_NAMES, "falls_shut"])
    for i in range(len(values)):
        single = ds.curve(s.build_at(i))
        for result in RESULT_NAMES:
            wanted = single.results[result]
            assert s.results[result][i] == pytest.approx(np.nan if wanted is None else wanted, rel=1e-11, nan_ok=True)
        assert tuple(flag for flag in FLAGS if s.flags[flag][i]) == single.flags
        assert s.results["falls_shut"][i] == single.falls_shut.falls


@pytest.mark.parametrize("name", ["name", "hand"])
def test_what_changes_no_number_is_not_varied(name):
    with pytest.raises(InputError, match=f"{name}: changes no number"):
        ds.sweep(GARDEN, {name: ["right"]})
