"""Readings that a plan imagines: of a blade on the edge they differ from try to try, as those that a fit takes in."""

import numpy as np
import pytest
from helpers.garden import workshop

from detentsim.analysis.in_hand.advise.chances.course import FINE, Course
from detentsim.analysis.in_hand.advise.chances.judged import Judged
from detentsim.analysis.in_hand.advise.chances.rules import TRIES, Watch, read
from detentsim.analysis.in_hand.advise.moves.moves import moves
from detentsim.analysis.in_hand.fit.likelihood import MISREAD, KnifeValues, chance
from detentsim.knife.record.record import plain

KNIVES = 20_000


@pytest.mark.parametrize(("spare", "drag"), [(0.0, 5.8), (0.3, 5.8), (-0.2, 5.8), (1.0, 13.0), (40.0, 5.8)])
def test_a_blade_on_the_edge_falls_at_every_try_as_often_as_a_fit_expects(spare, drag):
    knives = np.arange(KNIVES)
    told = {"falls_shut": float(spare > 0), "closing_spare": spare, "drag_torque": drag}
    tables = {name: np.full((FINE, KNIVES), value) for name, value in told.items()}
    move = moves(workshop(), plain(workshop()))[0]
    values = np.linspace(move.low, move.high, FINE)
    found = Course(move, values, tables, Judged(*(np.ones((FINE, KNIVES), bool) for _ in Judged._fields)))
    watch = Watch("falls_shut", -np.inf, np.inf, True)
    reading = read(found, watch, np.full((1, KNIVES), move.start), knives, np.random.default_rng(3))
    one = KnifeValues({name: np.array([value]) for name, value in told.items()}, {}, {}, np.zeros(1, bool))
    once = (chance(one, "falls_shut")[0] - MISREAD) / (1 - 2 * MISREAD)
    assert np.mean(reading) == pytest.approx(once**TRIES, abs=4 * 0.5 / np.sqrt(KNIVES))  # four standard errors
