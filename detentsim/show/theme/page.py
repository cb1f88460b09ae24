"""The page that whole figures share: a title at its top, drawings under it, notes at its foot."""

from __future__ import annotations

from contextlib import contextmanager
from typing import TYPE_CHECKING, NamedTuple

from matplotlib.figure import Figure

from detentsim.show.theme.style import MM, drawable, lines_of, look

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from matplotlib.axes import Axes

    from detentsim.knife.model import Build

FULL = 170.0
"""Width of a full page [mm]."""


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
def page(title: str, notes: str, body: float, under: float, width: float = FULL, line: float = 3.3) -> Iterator[Page]:
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

    Yields
    ------
    Page
        Of no window and no notebook.
    """
    head, foot = 4.5 * (title.count("\n") + 1) + 3, line * (notes.count("\n") + 1) + under
    height = head + body + foot
    with look():
        figure = Figure(figsize=(width * MM, height * MM))
        figure.text(2 / width, 1 - 1.5 / height, title, va="top", size=9, weight="bold", parse_math=False)
        figure.text(2 / width, 1.5 / height, notes, va="bottom", linespacing=1.25, parse_math=False)
        yield Page(figure, width, height, body, foot)


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
