"""Where on a knob's track the target is met, and the share of a batch that is inside."""

import numpy as np
import pytest
from helpers.garden import GARDEN_TEXT, workshop
from helpers.turned import kind, put

import detentsim as ds
from detentsim.analysis.explore.look import QUICK, with_costly_results
from detentsim.analysis.explore.session import Session
from detentsim.analysis.share_inside import share_inside
from detentsim.knife.outcomes import UNSOUND


def inside(turns, name, place):
    """Whether one stop, turned to by itself, is inside."""
    was = turns.places[name]
    turns._places[name] = place
    look = turns._look()
    turns._places[name] = was
    sound = look.build is not None and not set(look.flags) & set(UNSOUND)
    return sound and all(verdict.met for verdict in with_costly_results(look, turns.start).verdicts)


def ends_of(met):
    """Both ends of a track, and the stops on either side of where the marks first begin and last end."""
    borders = np.flatnonzero(np.diff(met))[[0, -1]] if np.any(np.diff(met)) else np.array([], int)
    return sorted({0, len(met) - 1, *borders.tolist(), *(borders + 1).tolist()})


def marked(turns):
    while turns.refine():
        pass
    return dict(turns.met)


def agree(turns, names):
    met = marked(turns)
    assert set(met) == {knob.name for knob in turns.knobs}
    for name in names:
        for place in ends_of(met[name]):
            assert met[name][place] == inside(turns, name, place), (name, place)
    return met


@pytest.mark.slow
def test_marks_are_where_the_target_is_met_and_nothing_is_unsound():
    turns = Session(workshop())
    agree(turns, ["bar.bend", "dimple.pilot_drill", "dimple.rim_drill", "friction.ball_on_tang"])


@pytest.mark.slow
@pytest.mark.parametrize(
    ("name", "places", "knobs"),
    [
        ("demo", {"bar.bend": 20, "grip.force": 6}, ["dimple.rim_feed", "ball.protrusion", "dimple.radial_error"]),
        ("demo", {"dimple.pilot_drill": -1}, ["dimple.rim_drill", "bar.bend"]),
        ("read by a loose ball", {"dimple.edge_radius": 3}, ["dimple.rim_feed", "dimple.rim_drill", "ball.diameter"]),
        ("over-close by angle", {"bar.bend": 25}, ["dimple.overclose"]),
        ("one drill", {"bar.bend": 20}, ["dimple.rim_feed", "dimple.rim_drill", "dimple.pilot_drill"]),
        ("with tolerances", {"bar.bend": 10}, ["bar.relief_thickness", "dimple.rim_drill"]),
        ("stacked washer", {"ball.diameter": 3}, ["pivot.washer_thickness", "ball.diameter"]),
    ],
)
def test_marks_are_right_for_every_kind_of_build_and_setting(name, places, knobs):
    agree(put(kind(name), places), knobs)


@pytest.mark.slow
def test_a_knobs_own_marks_outlast_its_turn_and_the_others_are_looked_at_again():
    turns = Session(workshop())
    first = marked(turns)
    turns.turn("bar.bend", 40)
    assert dict(turns.met) == {"bar.bend": first["bar.bend"]}
    again = marked(turns)
    assert again["bar.bend"] == first["bar.bend"]
    assert again["dimple.rim_feed"] != first["dimple.rim_feed"]
    turns.undo()
    assert turns.met == {}


def test_without_a_target_nothing_is_marked_and_no_share_given():
    turns = Session(ds.Build.loads(GARDEN_TEXT.split("[target]")[0]))
    assert marked(turns) == {}
    assert turns.now.share is None


@pytest.mark.slow
def test_a_wanted_change_is_marked_from_the_start():
    text = GARDEN_TEXT.replace('at_least = "9 N", at_most = "13 N"', 'change = "-20 %"')
    turns = put(ds.Build.loads(text), {"grip.force": 2})
    assert any(agree(turns, ["bar.bend"])["bar.bend"])


def test_the_share_inside_is_the_one_that_curve_and_sweep_give():
    turns = Session(workshop())
    assert turns.now.share_of == 0
    assert turns.settle().share == ds.curve(workshop()).likely.inside
    assert turns.now is turns.start
    turns.turn("bar.bend", 35)
    s = ds.sweep(turns.first, {"bar.bend": [turns.build.word("bar.bend")]}, over="batch")
    assert turns.settle().share == s["share_inside"].m[0]


def test_a_quick_share_comes_first_and_the_whole_one_at_rest():
    turns = Session(workshop())
    assert turns.turn("bar.bend", 35).share_of == 0
    assert turns.refine()
    quick = turns.now
    assert not quick.settled
    assert quick.share_of == QUICK < 256
    assert quick.share == share_inside(turns.build, turns.build.target, count=QUICK)
    whole = turns.settle()
    assert whole.share_of == 256
    assert abs(whole.share - quick.share) < 0.25
    assert turns.refine()  # the marks are left
    assert turns.now is whole


@pytest.mark.slow
def test_pieces_come_one_by_one_and_end():
    turns = put(workshop(), {"bar.bend": 30})
    pieces = 0
    while turns.refine():
        pieces += 1
    assert pieces == 4 + len(turns.knobs)  # quick share, results, share, the start's share, and a knob each
    assert not turns.refine()
