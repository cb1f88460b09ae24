"""Crests of the curve against looking both ways, and what a symptom asks for against what is rid of it."""

import numpy as np
import pytest
from helpers.symptom_builds import brute, made, told
from scipy.signal import find_peaks

from detentsim.analysis.in_hand.advise.advise import advise
from detentsim.analysis.in_hand.advise.aims import Aim
from detentsim.analysis.in_hand.advise.symptoms.case import CLICK, told_apart
from detentsim.analysis.in_hand.advise.symptoms.symptoms import symptom
from detentsim.units.errors import InputError


def test_crests_told_apart_against_looking_both_ways():
    rng, seen = np.random.default_rng(3), set()
    for _ in range(200):
        count = int(rng.integers(3, 40))
        line = np.abs(np.cumsum(rng.normal(size=count)) + 8)
        angle = np.sort(rng.uniform(0, 5, count))
        found = told_apart(angle, line)
        assert list(found) == brute(angle, line)
        seen.add(len(found))
    assert len(seen) > 3


def test_crests_are_the_prominent_peaks_of_scipy():
    """On curves with level tops and level valleys as well."""
    rng = np.random.default_rng(4)
    for _ in range(300):
        line = np.repeat(rng.integers(0, 12, 20), rng.integers(1, 4, 20)).astype(float)
        angle = np.linspace(0, 5, line.size)
        at, properties = find_peaks(np.pad(line, 1), prominence=0)
        clear = at[properties["prominences"] > CLICK * np.pad(line, 1)[at]] - 1
        assert told_apart(angle, line) == tuple(zip(angle[clear], line[clear], strict=True))


# From a symptom to what is rid of it


@pytest.mark.slow
@pytest.mark.parametrize(
    ("build", "name"),
    [
        ("weak", "opens when shaken"),
        ("loose", "rattles closed"),
        ("soft tang", "drags or grooves"),
    ],
)
def test_what_a_symptom_asks_for_is_rid_of_it_once_reached(build, name):
    asked = told(build)[name]
    assert asked.present
    advice = advise(made(build), aims=asked.aims)
    assert advice.best is not None
    assert not symptom(advice.advised, name).present


@pytest.mark.slow
def test_a_symptom_that_is_absent_asks_for_nothing():
    absent = [s for s in told("demo").values() if not s.present and s.aims]
    assert len(absent) > 3
    for s in absent:
        assert advise(made("demo"), aims=s.aims).right, s.name


def test_a_symptom_is_found_by_its_words_however_they_are_written():
    assert symptom(made("demo"), "  Too   STIFF ").name == "too stiff"
    with pytest.raises(InputError, match=r'symptom: "to stif" is no symptom; did you mean too stiff'):
        symptom(made("demo"), "to stif")
    with pytest.raises(InputError, match="there are rattles closed, opens when shaken"):
        symptom(made("demo"), "purple")


def test_aims_of_nothing_have_a_step_that_is_seen():
    (aim,) = (aim for aim in told("proud")["proud of its stop"].aims if aim.name == "rest_angle")
    assert isinstance(aim, Aim)
    assert float(aim.miss(np.array([0.4]))[0]) == pytest.approx(4)
