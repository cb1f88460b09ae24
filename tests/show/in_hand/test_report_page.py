"""The report's page: well formed, alone, safe, and every number that of the commands it gathers."""

import json
import re
from html import escape

import pytest
from helpers.reported import NAME, at, document, page, read, reported

from detentsim.show.in_hand.advise.knife import knife_report
from detentsim.show.in_hand.fit.report import fit_report
from detentsim.show.in_hand.report.page import report_page
from detentsim.show.many_builds.batch.report import batch_report
from detentsim.show.one_build.feel_curve.report import report as curve_report
from detentsim.show.one_build.layout.report import layout_report
from detentsim.show.one_build.limits.report import limits_report
from detentsim.show.one_build.motion.report import motion_report
from detentsim.show.one_build.wear.report import stage_words, worn_report
from detentsim.show.theme.tables import to_json

pytestmark = pytest.mark.slow  # whole pages of every command

BENCH = {"advice", "batch", "layout", "steps", "typed"}
SHARED = {"verdict", "curve", "limits", "motion", "wear", "fit", "assumed", "sources"}
NUMBER = re.compile(r"\d+(?:\.\d+)?")


@pytest.mark.parametrize("customer", [False, True])
def test_the_page_is_well_formed_and_stands_alone(customer):
    found = read(customer)  # asserts that every element is closed in order
    ids = [values["id"] for _, values in found.elements if "id" in values]
    assert len(ids) == len(set(ids))
    links = [values["href"] for _, values in found.elements if "href" in values]
    assert {link[0] for link in links} == {"#"}
    assert {link[1:] for link in links} <= set(ids)
    assert not {"script", "link", "img", "iframe", "object", "style "} & {tag for tag, _ in found.elements}
    for text in ("http:", "https:", "//", "src=", "@import"):
        assert text not in re.sub(r'aria-label="[^"]*"', "", page(customer)), text
    assert set(re.findall(r"url\((.)", page(customer))) == {"#"}
    assert set(re.findall(r"url\(#([\w-]+)\)", page(customer))) <= set(ids)


def test_a_name_that_is_markup_stays_text():
    assert NAME in read().text[""]
    assert page().count(escape(NAME).replace("82 mm", "82\N{NO-BREAK SPACE}mm")) == 2  # its title and its heading
    assert "<script" not in page()
    assert "<b>" not in page()


@pytest.mark.parametrize("customer", [False, True])
def test_every_number_that_carries_its_digits_is_that_of_the_document(customer):
    numbers = read(customer).numbers
    assert len(numbers) > (15 if customer else 45)
    for pointer, value, words in numbers:
        known = at(json.loads(to_json(document())), pointer)
        assert json.loads(value) == known, pointer
        if isinstance(known, bool):
            assert words == ("yes" if known else "no")


def test_numbers_that_carry_their_digits_are_rounded_from_them():
    for pointer, value, words in read().numbers:
        number = NUMBER.search(words)
        if number is None or value in ("true", "false") or words.startswith("over"):
            continue
        scale = 100 if words[number.end() :].startswith(" %") else 1
        last = 10.0 ** -len(number[0].partition(".")[2])
        digits = abs(scale * float(value))
        assert float(number[0]) == pytest.approx(digits, abs=max(0.501 * last, 0.05 * digits * (digits > 100))), pointer


def felt():
    return curve_report(reported().curve, full=True)


def borne():
    return limits_report(reported().limits, reported().summary, full=True)


WHOLE = {
    "verdict": lambda: felt() + borne(),
    "curve": felt,
    "limits": borne,
    "motion": lambda: motion_report(reported().motion, full=True),
    "wear": lambda: worn_report(reported().wear, full=True),
    "advice": lambda: knife_report(reported().advice, reported().fit, full=True),
    "batch": lambda: batch_report(reported().batch, full=True),
    "layout": lambda: layout_report(reported().layout, reported().summary, full=True),
    "fit": lambda: fit_report(reported().fit, full=True),
    "steps": felt,
    "assumed": felt,
    "sources": lambda: to_json({"sources": document()["sources"]}),
    "typed": lambda: to_json(document()["build"]),
}
"""Every word that a command has for a part of the page."""


@pytest.mark.parametrize("name", sorted(BENCH | SHARED))
def test_every_number_of_a_part_stands_in_the_report_of_its_command(name):
    told = read().text[name]
    if name == "limits":
        told = told.replace("past 100 %", "")
    if name == "advice":
        told = told.partition("What does not get there")[0]
    numbers = set(NUMBER.findall(told)) - {"1", "2", "3", "10", "12"}  # how many, which the words of both parts say
    assert numbers <= set(NUMBER.findall(WHOLE[name]())), name


def test_results_stand_fresh_and_worn_in_beside_each_other():
    told = {pointer: words for pointer, _, words in read(customer=True).numbers if pointer.startswith("/worn_in/")}
    w = reported().wear
    for i, stage in enumerate(w.stages):
        force = stage_words(w, "breakout_force", stage.name)
        assert told.get(f"/worn_in/stages/{i}/results/breakout_force/value", force) == force
    assert {int(pointer.split("/")[3]) for pointer in told} == set(range(len(w.stages)))


def test_the_sentences_are_those_of_the_documents():
    for name in ("limits", "motion"):
        told = " ".join(read().text[name].split())
        for sentence in document()[name]["words"]:
            assert sentence in told
    for check in document()["verdict"]["checks"].values():
        assert check["words"] == "None." or check["words"] in read().text["verdict"]


def test_text_of_figures_is_text():
    drawn = " ".join(read().drawn.split())
    assert f"breakout {reported().curve.in_words('breakout_force').partition(' (')[0]}" in drawn
    for words in ("blade angle [deg]", "from the root [mm]", "dimple.radial_error", "stop pin"):
        assert words in drawn
    drawings = [values for tag, values in read().elements if tag == "svg"]
    assert len(drawings) == page().count("<figcaption>") == 18
    assert all("viewbox" in values and values["aria-label"] and "width" not in values for values in drawings)


def test_what_a_customer_reads_leaves_the_bench_out():
    assert set(read().text) - {""} == BENCH | SHARED
    found = read(customer=True)
    assert set(found.text) - {""} == SHARED
    told = " ".join(found.text.values())
    for words in (
        "spring back",
        "Second drill",
        "Rim feed",
        "depends most on",
        "What to do",
        "Hold ",
        "before the last bend",
    ):
        assert words not in told, words
        assert words in " ".join(read().text.values())
    assert read().text["verdict"] == found.text["verdict"]
    assert "Breakout is the greatest push" in found.text[""]


def test_the_same_report_gives_the_same_page():
    assert report_page(reported(), customer=True) == page(customer=True)


def test_light_dark_and_paper_have_their_colours():
    style = page().partition("<style>")[2].partition("</style>")[0]
    assert "prefers-color-scheme: dark" in style
    assert "@media print" in style
    narrow = re.findall(r'<table class="stack">(.*?)</table>', page(), re.S)
    assert len(narrow) == 4  # on a telephone each cell stands under the one before it, named by its heading
    assert not any("<td>" in table for table in narrow)
    names = set(re.findall(r"var\((--\w+)\)", style))
    for block in style.split(":root {")[1:]:
        assert names <= set(re.findall(r"(--\w+):", block.partition("}")[0]))


def test_the_verdict_gives_the_answers_of_every_figure():
    told = {one.name: one.words for one in reported().summary.answers}
    words = " ".join(read(False).text["verdict"].split())
    assert f"target met: {told['target met']}" in words
    assert f"within its limits: {told['within limits']}" in words
    assert f"stays shut: {'look' if told['stays shut'] == 'yes, lightly' else told['stays shut']}" in words
    for name in ("flies open", "falls shut"):
        assert re.search(rf"{name} ?{told[name]}", words), words
    given = document()["curve"]["verdict"]["answers"]
    assert {n: told[n].startswith("yes") for n in told} == given
