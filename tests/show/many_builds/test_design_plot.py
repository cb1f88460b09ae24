"""Proposed designs drawn: each dot at its own breakout and share, numbered as in the report, with its drills."""

from functools import cache

import numpy as np
import pytest
from helpers.garden import GARDEN_TEXT, garden
from helpers.words import check_words

import detentsim as ds
from detentsim.cli.entry import main
from detentsim.show import design_figure
from detentsim.show.many_builds.design.data_files import design_document
from detentsim.show.many_builds.design.report import design_report
from detentsim.show.theme.rows import summary_row
from detentsim.show.theme.saving import save_figure
from detentsim.units.numbers import percent

FIXED = ("ball.diameter", "bar.thickness", "bar.relief_length", "bar.relief_thickness", "dimple.rim_feed")


@cache
def found(units="metric"):
    return ds.design(garden().change({"units": units, "stock": "both"}), FIXED)


@cache
def figure():
    return design_figure(found())


def dots(figure):
    return {line.get_gid(): np.stack(line.get_data()) for line in figure.axes[0].lines if line.get_gid()}


@pytest.mark.slow
def test_each_dot_is_a_proposal_of_the_document():
    proposals = design_document(found())["proposals"]
    points = [(p["results"]["breakout_force"]["value"], 100 * p["inside"]) for p in proposals]
    drawn = dots(figure())
    np.testing.assert_allclose(drawn["told"].T, points[:6])
    np.testing.assert_allclose(drawn["others"].T, points[6:])
    ax = figure().axes[0]
    assert ax.get_xlabel() == "breakout [N]"
    assert ax.get_ylabel() == "knives inside [%]"


def test_each_number_stands_by_its_drills_as_in_the_report():
    lines = design_report(found(), most=6).splitlines()
    rows = [line.split("  ") for line in lines if line[2:3].isdigit() and line[3:4] == " "]
    numbers = {int(row[1]): [cell for cell in map(str.strip, row[2:]) if cell] for row in rows}
    listed = next(text for text in figure().axes[0].texts if text.get_text().startswith("drills"))
    for line in listed.get_text().splitlines()[1:]:
        number, drills = line.split("  ")
        assert numbers[int(number)][1:3] == drills.split(" + ")
    notes = " ".join(text.get_text() for text in figure().texts).replace("\n", " ")
    for number, p in enumerate(found().proposals[:6], start=1):
        assert f"{number}. ball {p.sizes['ball.diameter']}, first {p.sizes['dimple.pilot_drill']}" in notes
        assert f"{percent(p.inside)} inside" in notes


def test_no_words_collide_and_the_wanted_band_is_shaded_where_it_is():
    assert check_words(figure()) > 15
    (band,) = [patch for patch in figure().axes[0].patches if patch.get_gid() == "wanted"]
    left, right = figure().axes[0].get_xlim()
    assert band.get_x() == pytest.approx(max(9, left))
    assert band.get_x() + band.get_width() == pytest.approx(min(13, right))


def test_the_first_proposal_is_answered_for():
    told = [answer.words for answer in found().proposals[0].summary.answers]
    assert [one.get_text() for one in figure().artists if str(one.get_gid()).startswith("answer")] == told
    assert design_document(found())["verdict"] == summary_row(found().proposals[0].summary)
    assert told[0] == "yes"


@pytest.mark.slow
def test_in_inches_the_scale_is_in_pounds_and_the_dots_stay():
    other = design_figure(found("inch"), most=2)
    assert other.axes[0].get_xlabel() == "breakout [lbf]"
    assert dots(other)["told"].shape == (2, 2)
    check_words(other)


def test_nothing_to_draw_is_said():
    text = GARDEN_TEXT.replace('"9 N", at_most = "13 N"', '"90 N", at_most = "95 N"')
    nothing = ds.design(ds.Build.loads(text), FIXED)
    drawn = design_figure(nothing)
    assert not nothing.proposals
    assert "No design meets the target." in drawn.texts[1].get_text()
    check_words(drawn)


@pytest.mark.slow
def test_the_command_writes_it_the_same_twice(tmp_path, build_file, capsys):
    first, other = tmp_path / "one.svg", tmp_path / "other.svg"
    words = [
        "design",
        str(build_file(GARDEN_TEXT)),
        "--stock",
        "both",
        "--fix",
        ",".join(FIXED),
        "--figure",
        str(first),
    ]
    assert main(words) == 0
    assert "Proposals, largest share inside first" in capsys.readouterr().out
    save_figure(figure(), other)
    assert first.read_bytes() == other.read_bytes()
