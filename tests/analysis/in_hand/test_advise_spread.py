"""Advice knows that no two knives come out alike: share of the knives inside, as it stands and after a proposal."""

from dataclasses import replace

import numpy as np
import pytest
from helpers.garden import garden, workshop

import detentsim as ds
from detentsim.analysis.in_hand.advise.chances.prospects import drawing_prospects
from detentsim.analysis.in_hand.advise.proposals import JUDGED
from detentsim.analysis.many_builds.batch.batch import batch
from detentsim.knife.target.target import Target
from detentsim.show.in_hand.advise.document import advise_document
from detentsim.show.in_hand.advise.report import advise_report
from detentsim.show.in_hand.advise.verdict import verdict


@pytest.mark.slow
@pytest.mark.parametrize("bend", ["1.6 mm", "2.6 mm"])
def test_shares_are_those_of_a_batch(bend):
    build = workshop().change({"bar.bend": bend})
    advice = ds.advise(build)
    names = [aim.name for aim in advice.aims]
    assert advice.inside == batch(build, 256, of=names).share().share
    assert len(advice.inside_after) == min(JUDGED, len(advice.proposals))
    for share, proposal in zip(advice.inside_after, advice.proposals, strict=False):
        assert share == batch(build.change(proposal.changes), 256, of=names).share().share
    document = advise_document(advice)
    assert document["share_inside"] == advice.inside
    assert document["share_inside_after"] == list(advice.inside_after)


def test_a_build_right_in_the_middle_alone_is_not_simply_left_alone():
    build = replace(workshop(), target=(Target("breakout_force", 9.0, 13.0),))
    advice = ds.advise(build)
    assert advice.right
    assert advice.inside < 0.5
    assert "the spread is not" in " ".join(verdict(advice))


def test_a_build_that_most_knives_meet_is_left_alone():
    advice = ds.advise(replace(workshop(), target=(Target("breakout_force", 0.5, 60.0),)))
    assert advice.inside > 0.95
    assert verdict(advice) == ("Leave it alone: this build is right as it is.",)


@pytest.mark.slow
def test_the_report_says_what_a_proposal_brings_in_knives():
    advice = ds.advise(garden())
    report = " ".join(advise_report(advice).split())
    assert "Of ten knives made so, about" in report
    assert "(now about" in report


def test_where_no_input_is_uncertain_there_is_no_share():
    names = [*workshop().bands(1.0)]
    text = workshop().text + "\n[tolerance]\n"
    text += "".join(f'"{name}" = {{ plus_minus = {0.0 if name in RATIOS else _zero(name)} }}\n' for name in names)
    advice = ds.advise(ds.Build.loads(text))
    assert advice.inside is None
    assert "spread" not in " ".join(verdict(advice))


RATIOS = ("bar.calibration", "friction.ball_on_tang")


def _zero(name):
    return '"0 N*mm"' if name == "pivot.friction_torque" else '"0 mm"'


@pytest.mark.slow
def test_chances_solved_together_are_those_of_each_alone():
    """Of moves that change one input and others, with a blade that moves where something is still open."""
    wanted = Target("breakout_force", 9.0, 11.0), Target("falls_shut", truth=True)
    build = replace(workshop().change({"bar.bend": "1.6 mm"}), target=wanted)
    advice = ds.advise(build)
    every = (*advice.proposals, *advice.others)
    alone = drawing_prospects(build, advice.aims)
    assert len({name for p in every for move in p.tried.moves for name in move.columns(np.zeros(1))}) > 5
    assert len({p.chances for p in every}) > 5
    for p in every:
        assert p.chances == alone.of(p.tried.moves, p.tried.values)
