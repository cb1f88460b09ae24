"""The page that whole figures share: a title at its top, a strip of answers, drawings under it, notes at its foot."""

from __future__ import annotations

from contextlib import contextmanager
from typing import TYPE_CHECKING, Any, NamedTuple

from matplotlib.figure import Figure
from matplotlib.text import Text

from detentsim.show.theme.style import CONTACT, INK, METAL, MM, SMALL, WANTED, drawable, figure_style, lines_of

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping, Sequence

    from matplotlib.axes import Axes

    from detentsim.analysis.one_build.answers import Answer
    from detentsim.knife.model import Build

    Strips = Mapping[str, Sequence[Answer]]

FULL = 170.0
"""Width of a full page [mm]."""

# Height of a strip of answers, and of the line that says whose they are [mm].
STRIP, WHOSE = 9.5, 4.0


class Mark(NamedTuple):
    """How an answer is marked: by a sign in a frame, so that it can be read without colour."""

    sign: str
    frame: str
    fill: str
    edge: str
    ink: str


MARKS = {
    "yes": Mark("\u2713", "circle,pad=0.25", WANTED, WANTED, "white"),
    "yes, lightly": Mark("!", "circle,pad=0.35", "white", WANTED, INK),
    "no": Mark("\u2717", "square,pad=0.25", "white", CONTACT, CONTACT),
    "not known": Mark("?", "round,pad=0.3", "white", METAL, METAL),
    "none set": Mark("\N{EN DASH}", "round,pad=0.3", "white", METAL, METAL),
}
"""By the words of an answer."""


class Row(NamedTuple):
    """One drawing of a stack, the gap under it, and whether the next one shows the same scale across."""

    draw: Callable[[Axes], object]
    tall: float  # [mm]
    gap: float = 0.0  # [mm]
    scale_below: bool = False


class Page(NamedTuple):
    """Page with its title and notes in place; heights count from the space over the notes [mm]."""

    figure: Figure
    width: float
    height: float
    body: float
    foot: float

    def axes(self, left: float, right: float, bottom: float, tall: float) -> Axes:
        """Add axes to the page.

        Parameters
        ----------
        left, right : float
            Room beside them, from the page's edges [mm].
        bottom : float
            Height of their lower end over the space under the drawings [mm].
        tall : float
            Their height [mm].
        """
        wide, high = self.width, self.height
        return self.figure.add_axes((left / wide, (self.foot + bottom) / high, 1 - (left + right) / wide, tall / high))

    def stack(self, rows: Sequence[Row], left: float, right: float) -> list[Axes]:
        """Draw rows one under the other, from the title down.

        Parameters
        ----------
        rows : sequence of Row
        left, right : float
            Room beside them, from the page's edges [mm].

        Returns
        -------
        list of Axes
            One for each row.
        """
        top, drawn = self.body, []
        for row in rows:
            ax = self.axes(left, right, top - row.tall, row.tall)
            row.draw(ax)
            if row.scale_below:
                ax.set_xlabel("")
                ax.tick_params(labelbottom=False)
            top -= row.tall + row.gap
            drawn.append(ax)
        return drawn


@contextmanager
def page(
    title: str,
    notes: str,
    body: float,
    under: float,
    width: float = FULL,
    line: float = 3.3,
    strips: Strips | None = None,
) -> Iterator[Page]:
    """Give a blank page in the package's style, as tall as its title, its drawings and its notes need.

    Parameters
    ----------
    title, notes : str
        Safe to draw and already wrapped.
    body, under : float
        Height of the drawings, and the room between them and the notes, scale included [mm].
    width : float
        Of the page [mm].
    line : float
        Height of a line of the notes [mm].
    strips : mapping of str to sequence of Answer, optional
        Answers shown under the title, by whose they are; no name where that goes without saying.

    Yields
    ------
    Page
        Of no window and no notebook.
    """
    head, foot = 4.5 * (title.count("\n") + 1) + 3, line * (notes.count("\n") + 1) + under
    told = strips or {}
    height = head + _tall(told) + body + foot
    with figure_style():
        figure = Figure(figsize=(width * MM, height * MM))
        figure.text(2 / width, 1 - 1.5 / height, title, va="top", size=9, weight="bold", parse_math=False)
        figure.text(2 / width, 1.5 / height, notes, va="bottom", linespacing=1.25, parse_math=False)
        _draw_strips(figure, told, head - 1.0)
        yield Page(figure, width, height, body, foot)


def _tall(strips: Strips) -> float:
    """Room that strips of answers take [mm]."""
    return sum(STRIP + (WHOSE if name else 0.0) for name in strips)


def _draw_strips(figure: Figure, strips: Strips, top: float) -> None:
    """Draw strips of answers, each in cells of one width, so far under the page's upper edge [mm]."""
    wide, high = (float(size) / MM for size in figure.get_size_inches())
    for name, told in strips.items():
        if name:
            _write(figure, 2 / wide, 1 - top / high, name, va="top")
            top += WHOSE
        for i, answer in enumerate(told):
            left, mark = 2 + i * (wide - 4) / len(told), MARKS[answer.words]
            box = {"boxstyle": mark.frame, "fc": mark.fill, "ec": mark.edge, "lw": 1.1}
            middle, across = 1 - (top + 3.4) / high, (left + 5) / wide
            style = {"color": mark.ink, "ha": "center", "va": "center", "size": 7.5, "weight": "bold"}
            _write(figure, (left + 2) / wide, middle, mark.sign, bbox=box, gid=f"mark {answer.name}", **style)
            _write(figure, across, middle + 0.1 / high, answer.name, va="bottom")
            words = {"va": "top", "weight": "bold", "gid": f"answer {answer.name}"}
            _write(figure, across, middle - 0.1 / high, answer.words, **words)
        top += STRIP


def _write(figure: Figure, x: float, y: float, words: str, **style: Any) -> None:
    """Words on a page; no part of `Figure.texts`, which are title and notes."""
    figure.add_artist(Text(x, y, words, transform=figure.transFigure, parse_math=False, **({"size": SMALL} | style)))


def title_of(build: Build, before: str = "", longest: int = 130) -> str:
    """Name of a build as a page's title, on two lines at most; says where it is the demo.

    Parameters
    ----------
    build : Build
    before : str
        What the title begins with.
    longest : int
        Most letters of the name.
    """
    demo = " (demo)" if build.demo else ""
    return lines_of(f"{before}{drawable(build.name, longest)}{demo}", 80, 2)
