"""One report with everything in it, its page and its document, made once; and what a browser would read of a page."""

import re
from functools import cache
from html.parser import HTMLParser

import detentsim as ds
from detentsim.analysis.in_hand.report.report import Report
from detentsim.show.in_hand.report.document import report_document
from detentsim.show.in_hand.report.page import report_page
from helpers.laid_out import laid_out

NAME = '<script>alert("1")</script> & 82 mm <b>'

READ = {"breakout_force": ["13.1 N", "13.6 N", "13.3 N"], "falls_shut": False}


@cache
def reported() -> Report:
    """The garden folder with its layout, a name that is markup, and three readings."""
    return ds.report(laid_out().change({"name": NAME}), READ, count=16)


@cache
def document() -> dict:
    """The report as JSON holds it."""
    return report_document(reported())


def page(customer: bool = False) -> str:
    """The report as a page."""
    return _page(customer)


@cache
def _page(customer: bool) -> str:
    return report_page(reported(), customer)


class Read(HTMLParser):
    """What stands on a page: elements in order, text by section and in drawings, and the numbers with their places."""

    def __init__(self, text: str) -> None:
        super().__init__(convert_charrefs=True)
        self.open: list[str] = []
        self.elements: list[tuple[str, dict[str, str]]] = []
        self.text: dict[str, str] = {}
        self.drawn = ""
        self.numbers: list[tuple[str, str, str]] = []
        self.section = ""
        self.feed(
            re.sub(r' (d|style|x|y)="[^"]*"', "", text)
        )  # shapes, which cost most of the reading and name nothing
        self.close()
        assert self.open == []

    def handle_starttag(self, tag, attrs):
        values = dict(attrs)
        self.elements.append((tag, values))
        if tag == "section":
            self.section = values["id"]
        if tag == "data":
            self.numbers.append((values["data-at"], values["value"], ""))
        if tag != "meta":
            self.open.append(tag)

    def handle_startendtag(self, tag, attrs):
        self.elements.append((tag, dict(attrs)))

    def handle_endtag(self, tag):
        assert self.open.pop() == tag
        if tag == "section":
            self.section = ""

    def handle_data(self, data):
        words = data.replace("\N{NO-BREAK SPACE}", " ")
        if "svg" in self.open:
            self.drawn += f" {words}"
        elif "style" not in self.open:
            self.text[self.section] = self.text.get(self.section, "") + words
            if "data" in self.open:
                at, value, said = self.numbers[-1]
                self.numbers[-1] = at, value, said + words


def read(customer: bool = False) -> Read:
    """What a browser would read of the page."""
    return _read(customer)


@cache
def _read(customer: bool) -> Read:
    return Read(page(customer))


def at(found: object, pointer: str) -> object:
    """What a JSON pointer (RFC 6901) leads to."""
    for key in pointer.split("/")[1:]:
        key = key.replace("~1", "/").replace("~0", "~")
        found = found[int(key)] if isinstance(found, list) else found[key]
    return found
