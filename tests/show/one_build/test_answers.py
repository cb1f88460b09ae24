"""The strip of answers: the same in every figure, report and JSON document of a build, and read without colour."""

from functools import cache

import pytest
from helpers.garden import workshop
from helpers.laid_out import laid_out
from helpers.unlike import unlike, unlike_advised
from helpers.words import check_words

import detentsim as ds
from detentsim.analysis.one_build.answers import Answer
from detentsim.analysis.one_build.summary import summary
from detentsim.show.one_build.feel_curve.data_files import curve_document
from detentsim.show.one_build.limits.report import limits_document
from detentsim.show.one_build.motion.report import motion_document, motion_report
from detentsim.show.theme.page import MARKS
from detentsim.show.theme.rows import summary_row

NAMES = ["target met", "flies open", "falls shut", "stays shut", "within limits"]


@cache
def build(name):
    if name == "no weight":
        return workshop().change({"blade.mass": None, "blade.inertia": None})
    return unlike(name)


@cache
def moving(name):
    return ds.motion(build(name))


def strip(figure):
    """Words by name of answer, as a figure shows them, checked against their marks."""
    shown = {one.get_gid(): one.get_text() for one in figure.artists if one.get_gid()}
    words = {gid.removeprefix("answer "): text for gid, text in shown.items() if gid.startswith("answer ")}
    assert {f"mark {name}": MARKS[text].sign for name, text in words.items()} == {
        gid: text for gid, text in shown.items() if gid.startswith("mark ")
    }
    return words


def in_json(row):
    """Words of the answers of a document's verdict; a yes that is weak is told by its check."""
    given = row["answers"]
    told = {name: "not known" if isinstance(one, dict) else "yes" if one else "no" for name, one in given.items()}
    told |= {name: "none set" for name, one in given.items() if one == {"value": None, "why": "None is set."}}
    assert all(one["value"] is None and one["why"] for one in given.values() if isinstance(one, dict))
    weak = row["checks"]["stays shut"]["state"] == "mind"
    return told | ({"stays shut": "yes, lightly"} if weak else {})


@pytest.mark.slow
@pytest.mark.parametrize("name", ["as drawn", "heavy blade", "misses its dimple", "off target"])
def test_strip_report_and_json_of_unlike_builds_say_the_same(name):
    m, b = moving(name), build(name)
    c, bounds = ds.curve(b), ds.limits(b)
    told = strip(ds.show.motion_figure(m))
    assert list(told) == NAMES
    assert told == strip(ds.show.curve_figure(c)) == strip(ds.show.limits_figure(bounds, summary(b, bounds)))
    documents = motion_document(m), curve_document(c), limits_document(bounds, summary(b, bounds), None)
    assert all(in_json(one["verdict"]) == told for one in documents)
    results = documents[0]["results"]
    for answer, result in (("flies open", "opens_fully"), ("falls shut", "falls_shut")):
        value = results[result]
        assert told[answer] == ("not known" if isinstance(value, dict) else "yes" if value else "no")
    report = " ".join(motion_report(m).split())
    assert ("It flies open" in report) == (told["flies open"] == "yes")
    assert ("it falls shut" in report) == (told["falls shut"] == "yes")
    assert told["falls shut"] == {True: "yes", False: "no"}[c.falls_shut.falls]
    assert told["within limits"] == ("yes" if bounds.within else "no")
    wrong = m.summary.words
    assert ("it does not stay shut" in wrong) == (told["stays shut"] == "no")
    assert ("held shut lightly" in wrong) <= (told["stays shut"] == "yes, lightly")
    assert ("the target is missed" in wrong) == (told["target met"] == "no")


@pytest.mark.slow
def test_what_the_build_does_not_say_is_not_known():
    c = ds.curve(build("no weight"))
    told = strip(ds.show.curve_figure(c))
    assert [told[name] for name in NAMES] == ["no", "not known", "not known", "not known", "yes"]
    answers = summary_row(c.summary)["answers"]
    assert "blade.mass" in answers["flies open"]["why"]
    # a steel ring has more inertia about any point than its mass at its own centre: no body has less
    thin = workshop().change({"blade.inertia": "1 kg*mm**2"})
    assert ds.curve(thin).summary.answers[1] == Answer(
        "flies open", None, why="the blade's inertia is too little for its mass"
    )


def test_a_blade_that_cannot_leave_its_detent_stays_shut_and_flies_open_in_no_report():
    """Ball over a shallow, steep dimple, rubbing: friction locks it whatever the push."""
    b = workshop().change({"dimple.rim_drill": "none", "dimple.rim_feed": None, "friction.ball_on_tang": 0.9})
    m, c = ds.motion(b), ds.curve(b)
    assert "locks_solid" in c.flags
    told = strip(ds.show.motion_figure(m))
    assert told == strip(ds.show.curve_figure(c))
    assert (told["flies open"], told["stays shut"]) == ("no", "yes")
    assert in_json(motion_document(m)["verdict"]) == in_json(curve_document(c)["verdict"]) == told
    words = "Friction locks the ball in its dimple: the blade cannot come open."
    assert " ".join(motion_report(m, full=True).split()).count(words) == 2  # in the verdict and where it is asked
    assert c.summary["stays shut"].words == words


def test_every_mark_is_told_without_colour():
    assert set(MARKS) == {"yes", "yes, lightly", "no", "not known", "none set"}
    assert len({mark.sign for mark in MARKS.values()}) == len(MARKS)


@pytest.mark.slow
def test_other_figures_show_the_strip_of_the_build_that_they_are_about():
    b = laid_out()
    told = {one.name: one.words for one in summary(b).answers}
    figure = ds.show.layout_figure(ds.layout(b), summary(b))
    assert strip(figure) == told
    check_words(figure)
    a, other = build("as drawn"), build("off target")
    figure = ds.show.compare_figure(ds.compare(a, other))
    shown = [one.get_text() for one in figure.artists if str(one.get_gid()).startswith("answer")]
    assert shown == [one.words for each in (a, other) for one in summary(each).answers]
    check_words(figure)
    advised = unlike_advised("off target")
    assert strip(ds.show.decision_figure(advised)) == {one.name: one.words for one in advised.summary.answers}
