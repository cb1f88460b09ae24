"""Text that flows down a sheet of paper, wrapped by its measured width."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING, NamedTuple

from matplotlib.font_manager import findfont, get_font
from matplotlib.ft2font import LoadFlags
from matplotlib.patches import Rectangle

from detentsim.show.theme.style import INK
from detentsim.show.theme.tables import unbroken

if TYPE_CHECKING:
    from collections.abc import Sequence

    from matplotlib.figure import Figure

    from detentsim.show.in_hand.sheet.steps import SheetStep

# Millimetres in a point of type, and height of a line over its type.
POINT, LEADING = 25.4 / 72, 1.32


class Paper(NamedTuple):
    """A sheet of paper [mm]."""

    width: float
    height: float
    margin: float = 10.0


PAPERS = {"a4": Paper(210.0, 297.0), "letter": Paper(215.9, 279.4)}
"""Sizes of paper: ISO 216, ANSI/ASME Y14.1."""


@cache
def _advance(letter: str) -> float:
    """How far a letter moves the next one, in heights of the type."""
    font = get_font(findfont("DejaVu Sans"))
    font.set_size(1.0, 72)
    return float(font.load_char(ord(letter), LoadFlags.NO_HINTING).linearHoriAdvance) / 65536


def width_of(text: str, size: float) -> float:
    """Width of a line of text [mm], kerning left out.

    Parameters
    ----------
    text : str
    size : float
        Of the type [pt].
    """
    return sum(map(_advance, text)) * size * POINT


def wrapped(text: str, wide: float, size: float) -> list[str]:
    """Text in lines no wider than some room; a number and its unit stay together.

    Parameters
    ----------
    text : str
    wide : float
        [mm]
    size : float
        Of the type [pt].

    Examples
    --------
    >>> wrapped("feed it 0.05 mm", 14.0, 8.0)
    ['feed it', '0.05 mm']
    """
    lines = [""]
    for word in unbroken(text).split(" "):
        longer = f"{lines[-1]} {word}".strip()
        if lines[-1] and width_of(longer, size) > wide:
            lines.append(word)
        else:
            lines[-1] = longer
    return [line.replace("\N{NO-BREAK SPACE}", " ") for line in lines]


@dataclass
class Flow:
    """Text set from the top of a sheet down; `y` is where the next line goes [mm from the paper's top]."""

    figure: Figure
    paper: Paper
    y: float

    def line(self, x: float, text: str, size: float, **style: object) -> None:
        """Set one line and go down.

        Parameters
        ----------
        x : float
            From the paper's left edge [mm].
        text : str
        size : float
            Of the type [pt].
        **style
            Of the text.
        """
        place = (x / self.paper.width, 1 - self.y / self.paper.height)
        self.figure.text(*place, text, size=size, va="top", parse_math=False, **style)  # type: ignore[arg-type]
        self.y += size * POINT * LEADING

    def paragraph(self, x: float, text: str, size: float, **style: object) -> None:
        """Set a paragraph down to the right margin.

        Parameters
        ----------
        x : float
            From the paper's left edge [mm].
        text : str
        size : float
            Of the type [pt].
        **style
            Of the text.
        """
        for line in wrapped(text, self.paper.width - self.paper.margin - x, size):
            self.line(x, line, size, **style)

    def step(self, number: int, step: SheetStep, size: float, stops: bool) -> None:
        """Set a step with its tick box, its title in bold, its table and what to try before.

        Parameters
        ----------
        number : int
        step : SheetStep
        size : float
            Of the type [pt].
        stops : bool
            Whether to tell what to try before it.
        """
        left, box = self.paper.margin, size * POINT * 0.95
        corner = (left / self.paper.width, 1 - (self.y + box) / self.paper.height)
        across, up = box / self.paper.width, box / self.paper.height
        self.figure.add_artist(Rectangle(corner, across, up, fc="none", ec=INK, lw=0.8, gid="box"))
        title = f"{number}  {step.title}"
        place = ((left + box + 2) / self.paper.width, 1 - self.y / self.paper.height)
        self.figure.text(*place, title, size=size, va="top", weight="bold", parse_math=False)
        x = left + titles(size)
        self.paragraph(x, step.do, size)
        for at, row in enumerate(step.rows):
            self.row(x, row, size, at == 0)
        if stops and step.stop:
            self.paragraph(x, before(step), size, style="italic")
        self.y += size * POINT * 0.35

    def row(self, x: float, cells: Sequence[str], size: float, head: bool) -> None:
        """Set a row of a table in columns of even width.

        Parameters
        ----------
        x : float
            From the paper's left edge [mm].
        cells : sequence of str
        size : float
            Of the type [pt].
        head : bool
            Whether it is the heading.
        """
        wide = min(48.0, (self.paper.width - self.paper.margin - x) / len(cells))
        top = self.y
        for at, cell in enumerate(cells):
            self.y = top
            self.line(x + at * wide, cell, size, style="italic" if head else "normal")


def before(step: SheetStep) -> str:
    """What to try before a step, in one sentence.

    Parameters
    ----------
    step : SheetStep
    """
    first, _, rest = step.stop.partition(": ")
    return step.stop if first.startswith("Before ") and rest else f"Mind: {step.stop}"


def titles(size: float) -> float:
    """Room for boxes and titles of steps, left of their words [mm].

    Parameters
    ----------
    size : float
        Of the type [pt].
    """
    return 3.9 * size


def height_of(steps: Sequence[SheetStep], paper: Paper, size: float, stops: bool) -> float:
    """Height that steps take [mm].

    Parameters
    ----------
    steps : sequence of SheetStep
    paper : Paper
    size : float
        Of the type [pt].
    stops : bool
        Whether to tell what to try before each.
    """
    room, lines = paper.width - 2 * paper.margin - titles(size), 0.0
    for step in steps:
        told = [step.do, *([before(step)] if stops and step.stop else [])]
        lines += sum(len(wrapped(text, room, size)) for text in told) + len(step.rows) + 0.35 / LEADING
    return lines * size * POINT * LEADING
