"""The report as one self-contained HTML page: no link outward, no script, its style and drawings inside."""

from __future__ import annotations

import re
from importlib.resources import files
from typing import TYPE_CHECKING

from detentsim.show.in_hand.report.bench import advice_part, batch_part, fit_part, layout_part, steps_part
from detentsim.show.in_hand.report.feel import curve_part, limits_part, motion_part, verdict_part
from detentsim.show.in_hand.report.markup import Html, join, said, tag
from detentsim.show.in_hand.report.sources import assumed_part, sources_part, typed_part
from detentsim.show.in_hand.report.wear import wear_part
from detentsim.show.one_build.motion.report import CAUTION
from detentsim.show.theme.cautions import BENCH, CUTTING
from detentsim.show.theme.style import need

if TYPE_CHECKING:
    from detentsim.analysis.in_hand.report.report import Report

DEMO = "This is the packaged demo, an invented 82 mm garden folder."

READING = (
    "Breakout is the greatest push that the finger gives at the opener to get the blade out of its detent; drag is "
    "what is left to push once it is out. A likely range holds nine in ten of the knives made to the same drawing."
)
"""What a customer needs to know to read the page."""

FROM = "Computed from the build's sizes by published mechanics; measure the knife itself before you rely on it."


def report_page(r: Report, customer: bool = False) -> str:
    """Write the report page: one HTML document with its style and drawings inside.

    Parameters
    ----------
    r : Report
        From `detentsim.report`.
    customer : bool
        Whether to leave out the parts for the bench.

    Returns
    -------
    str
        A whole HTML document, the same for the same report; a file takes it by
        ``Path("mine.html").write_text(ds.show.report_page(ds.report(build)), "utf-8")``.

    Raises
    ------
    InputError
        For what is no report.
    """
    need(r, "Report")
    parts = _parts(r, customer)
    links = tag("nav", join(tag("a", title, href=f"#{name}") for name, title in _heads(parts)), aria_label="parts")
    body = join([_head(r, customer), links, tag("main", join(parts)), _foot(customer)])
    style = Html(files("detentsim.show.in_hand.report").joinpath("page.css").read_text("utf-8"))
    head = join([Html(META), tag("title", f"{r.build.name}: detent report"), tag("style", style)])
    return f'<!DOCTYPE html>\n<html lang="en">\n{tag("head", head)}\n{tag("body", body)}\n</html>\n'


META = """<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="color-scheme" content="light dark">
<meta name="generator" content="detentsim">"""


def _parts(r: Report, customer: bool) -> list[Html]:
    shared = [curve_part(r, customer), limits_part(r, customer), motion_part(r, customer), wear_part(r, customer)]
    known = [assumed_part(r), sources_part(r)]
    if customer:
        parts = [verdict_part(r), *shared, fit_part(r, customer), *known]
    else:
        bench = [batch_part(r), layout_part(r), fit_part(r, customer), steps_part(r)]
        parts = [verdict_part(r), advice_part(r), *shared, *bench, *known, typed_part(r)]
    return [part for part in parts if part]


def _heads(parts: list[Html]) -> list[tuple[str, Html]]:
    """Name and heading of each part."""
    return [(name, Html(title)) for part in parts for name, title in _HEAD.findall(part)]


_HEAD = re.compile(r'\A<section id="(\w+)"><h2>(.*?)</h2>')


def _head(r: Report, customer: bool) -> Html:
    first = [DEMO] if r.build.demo else []
    return tag("header", join([tag("h1", r.build.name), said([*first, READING if customer else FROM])]))


def _foot(customer: bool) -> Html:
    words = [CAUTION] if customer else [f"{CUTTING} {BENCH}", CAUTION]
    return tag("footer", join([said([*words, *([FROM] if customer else [])]), tag("p", "Written by detentsim.")]))
