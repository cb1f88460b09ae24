"""Advice for the knife on the bench: moves carried out on each knife, chances, steps, symptoms as they are said."""

import json
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from helpers.benched import benched
from helpers.garden import workshop

import detentsim as ds
from detentsim.analysis.in_hand.advise.advise import advise
from detentsim.analysis.in_hand.advise.aims import Aim, read_aims
from detentsim.analysis.in_hand.advise.chances.judged import judged
from detentsim.analysis.in_hand.advise.chances.prospects import drawing_prospects, knives_prospects
from detentsim.analysis.in_hand.advise.chances.sample import ONE_IN, carried, drawing_sample, knives_samples
from detentsim.analysis.in_hand.advise.moves.moves import moves
from detentsim.analysis.in_hand.advise.symptoms.said import SPELLINGS, symptom_name
from detentsim.analysis.in_hand.advise.symptoms.symptoms import SYMPTOMS
from detentsim.analysis.in_hand.advise.thresholds import PAST
from detentsim.analysis.in_hand.advise.trials.solved import Solved
from detentsim.knife.outcomes import FLAGS
from detentsim.knife.record.fields import assemble
from detentsim.knife.record.record import plain
from detentsim.knife.target.target import Target
from detentsim.mechanics.response import respond
from detentsim.show.in_hand.advise.document import knife_document
from detentsim.show.in_hand.advise.knife import knife_report
from detentsim.show.theme.tables import PAGE, to_json


@cache
def light():
    """A knife read to be too light for its band."""
    build = replace(benched("light"), target=(Target("breakout_force", 5.0, 6.6),))
    return ds.fit(build, {"breakout_force": ("4.1 N", "0.15 N"), "lift_force_open": "4.3 N"})


@cache
def advice():
    return advise(light())


def test_a_move_is_carried_out_on_each_knife():
    """Amounts are added to a knife's own size, bought sizes stand in their place, friction keeps its proportion."""
    build = workshop().change({"friction.ball_on_tang": 0.2})
    sample = drawing_sample(build, 16)
    own = {move.name: move for move in moves(build, plain(build))}
    none = np.zeros(sample.size)

    def ends(name, value):
        return carried(sample, own[name], np.full(sample.size, value), none)

    start = own["bend in"].start
    bends = ends("bend in", start + 0.3e-3)["bar.bend"]
    assert bends == pytest.approx(np.asarray(sample.numbers["bar.bend"]) + 0.3e-3)
    friction = ends("polish the track", 0.1)["friction.ball_on_tang"]
    assert friction == pytest.approx(np.asarray(sample.numbers["friction.ball_on_tang"]) / 2)
    assert ends("break the edge", 0.06e-3)["dimple.edge_radius"] == pytest.approx(np.full(sample.size, 0.06e-3))
    assert np.ptp(ends("feed deeper", own["feed deeper"].start + 1e-5)["dimple.rim_feed"]) > 0


def test_knives_solved_together_are_those_solved_alone():
    sample = drawing_sample(workshop(), 16)
    together = sample.solve({}, ("breakout_force",)).results["breakout_force"]
    for i in range(0, sample.size, 5):
        numbers = {name: np.broadcast_to(value, sample.size)[i] for name, value in sample.numbers.items()}
        alone = respond(assemble(numbers), ("breakout_force",)).results["breakout_force"]
        assert together[i] == pytest.approx(float(alone))


def test_what_lands_overshoots_and_warns():
    """Below, inside and above a band before, each 3 N more after: it lands, overshoots, moves on past the end.

    The fourth has a warning then that it has not now, the fifth keeps one: neither is inside. The first snaps then,
    which is a trait and no warning of an unsound design.
    """
    none = {flag: np.zeros(5, bool) for flag in FLAGS}
    stands = none | {"dents_tang": np.arange(5) == 4}
    warned = none | {"dents_tang": np.arange(5) >= 3, "snaps": np.arange(5) == 0}
    before = Solved({"breakout_force": np.array([7.0, 11.0, 14.0, 7.0, 7.0])}, stands)
    after = Solved({"breakout_force": np.array([10.0, 14.0, 17.0, 10.0, 10.0])}, warned)
    found = judged((Aim("breakout_force", 9.0, 13.0, None, 1.0),), before, after)
    assert found.lands.tolist() == [True, False, False, False, False]
    assert found.meets.tolist() == [True, False, False, False, True]
    assert found.overshoots.tolist() == [False, True, True, False, False]
    assert found.warns.tolist() == [False, False, False, True, False]


def test_inside_is_what_a_batch_calls_inside():
    build = replace(workshop(), target=(Target("breakout_force", 6.0, 16.0), Target("falls_shut", truth=True)))
    made = ds.batch(build, 256)
    chosen, counted = knives_samples(made)
    asked = np.arange(256) % ONE_IN != 0
    assert (chosen.size, counted.size) == (256 // ONE_IN, np.sum(asked))
    now = knives_prospects(made, read_aims(build.target, {})).now
    assert 0.05 < now.lands == np.mean(made.inside[asked])
    assert now.meets > now.lands


@pytest.mark.slow
def test_steps_are_followed_on_other_knives_than_those_that_chose_them():
    """A batch, a fit and a drawing: no knife is in both samples."""
    own = light()
    for prospects in (knives_prospects(own, advice().aims), drawing_prospects(own.drawing, advice().aims)):
        columns = [np.asarray(one.numbers["bar.bend"]) for one in (prospects.chosen, prospects.followed)]
        assert min(one.size for one in columns) > 1
        assert not set(columns[0]) & set(columns[1])


@pytest.mark.slow
def test_a_fitted_knife_is_advised_with_chances_and_steps():
    found = advice()
    assert found.now.lands < 0.1
    assert found.best.undo
    assert found.best.chance > 0.9
    for p in found.proposals:
        assert 0 <= p.overshoots <= 1
        assert p.chance > found.now.lands
        assert p.past <= PAST
    cut = next(p for p in found.proposals if not p.undo and p.plan is not None)
    assert cut.plan.overshoots <= PAST
    assert "go on by" in cut.steps[-1]
    assert "stop" in cut.steps[-1]
    assert "read breakout" in " ".join(cut.steps)


@pytest.mark.slow
def test_the_report_is_a_page_and_gives_the_numbers_of_the_document():
    text = knife_report(advice(), light())
    assert text.count("\n") <= PAGE
    assert all(len(line) <= 96 for line in text.splitlines())
    document = json.loads(to_json(knife_document(advice(), light())))
    best = document["proposals"][0]
    assert best["lands"] == advice().best.lands
    assert best["steps"] == list(advice().best.steps)
    assert document["advice"] in " ".join(text.split())
    assert len(knife_report(advice(), light(), full=True)) > len(text)


@pytest.mark.slow
def test_a_knife_that_is_surely_inside_is_left_alone():
    build = replace(benched("light"), target=(Target("breakout_force", 2.0, 9.0),))
    found = advise(ds.fit(build, {"breakout_force": ("4.3 N", "0.1 N")}))
    assert (found.met, found.proposals) == (True, ())
    assert "Leave it alone" in knife_report(found, found.knives)


def test_every_spelling_is_of_one_symptom():
    said = [words for others in SPELLINGS.values() for words in others]
    assert len(said) == len(set(said))
    assert set(SPELLINGS) == set(SYMPTOMS)
    for name, others in SPELLINGS.items():
        assert symptom_name(name.upper()) == name
        assert all(symptom_name(f"  {words}!") == name for words in others), name


@pytest.mark.parametrize(
    ("words", "name"),
    [
        ("Won't fall shut", "will not fall shut"),
        ("it is too hard to open", "too stiff"),
        ("doesn't close by itself", "will not fall shut"),
    ],
)
def test_short_forms_are_understood(words, name):
    assert symptom_name(words) == name
