"""Inline drawings of a report: SVG with its text as text, without links, and with names that are unique on the page."""

from __future__ import annotations

import io
import re
import xml.etree.ElementTree as ElementTree
from html import escape
from typing import TYPE_CHECKING, NamedTuple

from matplotlib import rc_context
from matplotlib.figure import Figure
from matplotlib.text import Text

from detentsim.show.in_hand.report.markup import Html, join, tag
from detentsim.show.theme.style import MM, figure_style

if TYPE_CHECKING:
    from collections.abc import Callable

    from matplotlib.axes import Axes

WIDE = 95.0
"""Width of a drawing [mm]: that of a telephone held upright; a desk shows two side by side."""

# What a drawing loses: it would act on the whole page, or says what the page says.
_DROPPED = ("metadata", "style", "title")


class Drawing(NamedTuple):
    """One drawing: what draws it on axes, its height [mm], room round its axes [mm], and its caption.

    Attributes
    ----------
    name : str
        Told from all others of a page by it.
    draw : callable
    tall : float
    caption : str
    left, right, top, bottom : float
    """

    name: str
    draw: Callable[[Axes], object]
    tall: float
    caption: str
    left: float = 13.0
    right: float = 4.0
    top: float = 3.0
    bottom: float = 10.0


def drawings(*shown: Drawing) -> Html:
    """Drawings side by side where there is room, else one under the other.

    Parameters
    ----------
    *shown : Drawing
    """
    return tag("div", join(_figure(one) for one in shown), class_="figures") if shown else Html("")


def _figure(one: Drawing) -> Html:
    caption = tag("figcaption", one.caption)
    return tag("figure", join([inline_svg(_drawn(one), one.name, one.caption), caption]))


def _drawn(one: Drawing) -> Figure:
    """The drawing on a figure of its own."""
    with figure_style():
        figure = Figure(figsize=(WIDE * MM, one.tall * MM))
        across, up = 1 - (one.left + one.right) / WIDE, 1 - (one.top + one.bottom) / one.tall
        one.draw(figure.add_axes((one.left / WIDE, one.bottom / one.tall, across, up)))
    return figure


def inline_svg(figure: Figure, name: str, told: str) -> Html:
    """A figure as an SVG element for an HTML page.

    Parameters
    ----------
    figure : Figure
        Its outlined texts lose their outline, since only so they stay text; the page's style gives it back.
    name : str
        Told from all others of a page by it.
    told : str
        What it shows, for those who cannot see it.
    """
    for text in figure.findobj(Text):
        text.set_path_effects([])
    image = io.BytesIO()
    with figure_style(), rc_context({"svg.fonttype": "none"}):
        figure.savefig(image, format="svg", metadata={"Date": None, "Creator": None})
    root = ElementTree.fromstring(image.getvalue())
    links = (link for one in root.iter() for key, text in one.attrib.items() for link in _linked(key, text))
    used = sorted(set(links))
    root.attrib = {"viewBox": root.attrib["viewBox"], "role": "img", "aria-label": told}
    return Html(_written(root, {old: f"{name}-{i}" for i, old in enumerate(used)}))


_LINK = re.compile(r"(?<=url\(#)[\w.-]+(?=\))")


def _linked(key: str, text: str) -> list[str]:
    """Names of the elements that an attribute points to."""
    return [text[1:]] if _plain(key) == "href" else _LINK.findall(text)


def _written(element: ElementTree.Element, names: dict[str, str]) -> str:
    """An element and all under it, without namespaces; of its names only those that links need, changed."""
    kind = _plain(element.tag)
    if kind in _DROPPED:
        return ""
    kept = [(key, text) for key, text in element.attrib.items() if key != "id" or text in names]
    words = "".join(f' {_plain(key)}="{escape(_renamed(key, text, names))}"' for key, text in kept)
    inside = _text(element.text) + "".join(_written(one, names) + _text(one.tail) for one in element)
    return f"<{kind}{words}>{inside}</{kind}>" if inside else f"<{kind}{words}/>"


def _text(text: str | None) -> str:
    """Text between elements; blanks that only set out the file are left out."""
    return escape(text, quote=False) if text and text.strip() else ""


def _plain(name: str) -> str:
    return name.rpartition("}")[2]


def _renamed(key: str, text: str, names: dict[str, str]) -> str:
    """An attribute with the names in it changed."""
    if key == "id":
        return names[text]
    return f"#{names[text[1:]]}" if _plain(key) == "href" else _LINK.sub(lambda found: names[found[0]], text)
