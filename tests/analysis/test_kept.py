"""Builds and results are copied, kept in a file and sent to another process, as a notebook or a pool does."""

import copy
import pickle

import pytest

import detentsim as ds
from detentsim.analysis.results import AllResults
from detentsim.mechanics.names import ALL_NAMES


@pytest.fixture(scope="module")
def kept(demo):
    batch = ds.batch(demo, 256, of="breakout_force")
    results = [
        ds.curve(demo),
        ds.limits(demo),
        ds.motion(demo),
        ds.sweep(demo, {"bar.bend": ["2 mm", "2.4 mm"]}),
        batch,
    ]
    for result in results:
        repr(result)  # what is worked out when it is asked for is kept too
    return results


@pytest.mark.parametrize("again", [copy.copy, copy.deepcopy, lambda it: pickle.loads(pickle.dumps(it))])
def test_builds_and_results_are_copied_and_pickled(demo, kept, again):
    build = again(demo)
    assert build.values == demo.values
    assert build.text == demo.text
    assert build.bar == demo.bar
    assert again(demo.bar) == demo.bar
    with pytest.raises(TypeError, match="does not support item assignment"):
        build.values["bar.bend"] = None
    assert ds.curve(build).results == kept[0].results
    for result in kept:
        assert repr(again(result)) == repr(result)


def test_results_of_a_proposal_that_were_not_asked_for_are_solved_when_it_is_copied():
    solved = [dict.fromkeys(ALL_NAMES, 2.0)]
    results = AllResults({"preload": 3.0}, lambda: solved, 0)
    for again in (copy.deepcopy(results), pickle.loads(pickle.dumps(results))):
        assert again == {**solved[0], "preload": 3.0}
