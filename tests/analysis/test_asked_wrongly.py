"""Wrong arguments of the public functions: one sentence each, before anything is computed; results print shortly."""

import pytest
from helpers.garden import garden

import detentsim as ds
from detentsim.units.errors import InputError

GARDEN = garden()


@pytest.mark.parametrize(
    ("ask", "says"),
    [
        (lambda: ds.Build.read(3), "path: 3 is no file name"),
        (lambda: ds.Build.loads(None), r"text: nothing is no text of a build file; a file is read by ds\.Build\.read"),
        (lambda: GARDEN.save(3), 'path: 3 is no file name; give one such as "mine.toml"'),
        (lambda: GARDEN.require("bars"), 'needs: "bars" is no section; there are bar, ball, '),
        (lambda: ds.advise(GARDEN, aims=GARDEN.target), r"aims: a tuple is no tuple of Aim; .* by build\.change\(\{"),
        (lambda: ds.advise(GARDEN, want="lighter", like=GARDEN), "like: stands beside want; give one of the two"),
        (lambda: ds.design(GARDEN, aims=3), "aims: 3 is no tuple of Aim"),
        (lambda: ds.design(GARDEN, fixed=3), r'fixed: 3 names no inputs; give a list such as \["bar\.bend"\]'),
        (lambda: ds.compare(GARDEN, GARDEN, shown_in="inch"), r"shown_in: .* no system of units; .* build\.units"),
        (lambda: ds.batch(GARDEN, 16).aim({"bar.bend": 3}), r'such as \("1\.6 mm", "2\.4 mm", 11\)'),
    ],
)
def test_wrong_arguments_are_one_sentence(ask, says):
    with pytest.raises(InputError, match=says) as caught:
        ask()
    assert "\n" not in str(caught.value)


def test_a_proposal_prints_as_what_to_do():
    best = ds.advise(GARDEN, "lighter").best
    assert repr(best) == f"<Proposal: {'; '.join(best.words)}>"


def test_one_input_varies():
    assert "16 knives, 1 input varies;" in repr(ds.batch(GARDEN, 16, vary="bar.bend"))
