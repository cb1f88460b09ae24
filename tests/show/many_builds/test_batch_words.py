"""Counts and process capability of a batch in words: what is said follows the law of the count."""

import numpy as np
import pytest
from helpers.garden import GARDEN_FILE

import detentsim as ds
from detentsim.analysis.many_builds.batch.counts.counted import count_of
from detentsim.analysis.many_builds.batch.findings import findings
from detentsim.show.many_builds.batch.report import batch_report
from detentsim.show.many_builds.batch.words import capability_meaning, count_words


def shops(*right, knives=64):
    """Whether knives are right, a row for each shop, of which so many are."""
    return np.arange(knives) < np.array(right)[:, None]


def test_average_of_twelve_is_twelve_times_the_share_of_all():
    """A fifth of all knives is inside, and in most batches none: the median 0 alone would say otherwise."""
    inside = shops(0, 0, 0, 64, 0)
    law = count_of(inside, 12)
    assert law.mean == pytest.approx(12 * inside.mean()) == pytest.approx(2.4)
    assert law.middle == 0
    words = count_words(law)
    assert words.startswith("about 2 are inside on average (nine batches in ten: 0 to 12; 80 % of batches have none")
    assert "since what is unknown is the same for the whole batch" in words
    assert "80 % of batches have none)" in count_words(law, reason=False)


@pytest.mark.parametrize("of", [2, 3, 12])
@pytest.mark.parametrize("share", [0.02, 0.1, 0.3, 0.5, 0.9])
def test_batches_that_chance_explains_are_not_laid_to_what_is_unknown(of, share):
    law = count_of(np.random.default_rng(3).random((1, 4096)) < share, of)
    assert not law.none_oftener
    assert "since" not in count_words(law)


def test_few_and_nearly_all_are_no_number():
    assert count_words(count_of(shops(1), 12)).startswith("hardly any is inside (")
    assert count_words(count_of(shops(63), 12)).startswith("nearly all are inside (")
    assert count_words(count_of(shops(64), 12)) == "all are inside"


def test_capability_is_explained_where_it_is_printed_and_once():
    found = findings(ds.batch(ds.Build.read(GARDEN_FILE), 64), settings={"bar.bend": ["1.4 mm", "1.6 mm"]})
    short, full = (" ".join(batch_report(found, full=full).split()) for full in (False, True))
    assert "Cpk" not in short
    assert full.count("; Cp ") == 1
    assert full.count("Cp: width of the target over that of the spread (six standard deviations).") == 1
    assert full.count("Cpk: from the average knife to the target's nearer end") == 1


def test_a_target_with_one_end_explains_cpk_alone():
    words = capability_meaning("9 to 14 N; Cpk 0.33")
    assert words.startswith("Cpk: ")
    assert "three standard deviations" in words
    assert capability_meaning("9 to 14 N") == ""
