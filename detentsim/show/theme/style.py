"""Style that all figures share: style file, colours by meaning, sizes on paper, text that is safe to draw."""

from __future__ import annotations

import textwrap
from contextlib import contextmanager
from functools import cache
from importlib.resources import as_file, files
from typing import TYPE_CHECKING, Any

import matplotlib.axes
import matplotlib.style
import numpy as np
import numpy.typing as npt
from matplotlib.font_manager import findfont, get_font

from detentsim.show.theme.tables import unbroken
from detentsim.units.errors import InputError
from detentsim.units.wording import shown

if TYPE_CHECKING:
    from collections.abc import Iterator

    from matplotlib.axes import Axes

Array = npt.NDArray[np.float64]

MM = 1 / 25.4
"""One millimetre of paper [inch]."""

INK = "#26262b"

OPENING = "#7a21dd"

CLOSING = "#f89c20"

WANTED = "#5790fc"

CONTACT = "#e42536"

METAL = "#9c9ca1"
"""Colours of the style's cycle by what they stand for; no meaning hangs on colour alone."""

SMALL = 7.0
"""Smallest text [pt]."""

LABEL = 7.5
"""Text of axis labels, whoever made the axes [pt]."""


@contextmanager
def figure_style() -> Iterator[None]:
    """Apply the package's own style inside a ``with`` block; matplotlib's settings are restored afterwards."""
    with matplotlib.style.context(_settings()):
        yield
        shown_at_once = matplotlib.is_interactive()
    # A notebook's first figure switches this on, in here: it is the reader's setting and no matter of style.
    matplotlib.interactive(shown_at_once)


@cache
def _settings() -> dict[str, Any]:
    """Settings of the style file, read once: a page opens the style a hundred times."""
    with as_file(files("detentsim.show.theme").joinpath("figures.mplstyle")) as path:
        return dict(matplotlib.rc_params_from_file(path, use_default_template=False).items())


@contextmanager
def drawing(ax: Axes | None, width: float, height: float) -> Iterator[Axes]:
    """Give the axes to draw on, in the package's own style: those handed in, else axes of a new figure.

    Parameters
    ----------
    ax : Axes, optional
    width, height : float
        Of a new figure [mm].

    Yields
    ------
    Axes

    Raises
    ------
    InputError
        For what is no axes, such as a figure.
    """
    need_axes(ax)
    with figure_style():
        yield new_axes(width, height) if ax is None else ax


def need_axes(ax: object) -> None:
    """Refuse what is not axes to draw on, such as a figure.

    Parameters
    ----------
    ax : object
        None asks for axes of a new figure.

    Raises
    ------
    InputError
    """
    if ax is not None and not isinstance(ax, matplotlib.axes.Axes):
        text = f"{shown(ax)} is not the axes of one picture; give some such as figure.subplots(), or leave it out"
        raise InputError("ax", ax, text)


_GIVE = {
    "Advice": "advice; give some, such as ds.advise(build)",
    "Comparison": "Comparison; give one such as ds.compare(build, other)",
    "Curve": "Curve; give one such as ds.curve(build)",
    "Designs": "Designs; give one such as ds.design(build)",
    "Findings": "Findings; give one such as ds.findings(ds.batch(build))",
    "Fit": "Fit; give one such as ds.fit(build, readings)",
    "Layout": "Layout; give one such as ds.layout(build)",
    "Limits": "Limits; give one such as ds.limits(build)",
    "Motion": "Motion; give one such as ds.motion(build)",
    "Report": "Report; give one such as ds.report(build)",
    "Sheet": "Sheet; give one such as ds.sheet(build)",
    "Sweep": 'sweep; give one, such as ds.sweep(build, {"bar.bend": ("1 mm", "3 mm", 21)})',
    "WornIn": "WornIn; give one such as ds.worn_in(build)",
}


def need(given: object, kind: str) -> None:
    """Refuse what is not the result that is to be shown, such as the build itself.

    Parameters
    ----------
    given : object
    kind : str
        Name of its class: known by name, since figures need not load what computes it.

    Raises
    ------
    InputError
    """
    if all(one.__name__ != kind for one in type(given).__mro__):
        raise InputError(kind.lower(), given, f"{shown(given)} is no {_GIVE[kind]}")


def new_axes(width: float, height: float) -> Axes:
    """Axes of a new figure, which a notebook shows by itself.

    Parameters
    ----------
    width, height : float
        Of the figure [mm].

    Returns
    -------
    Axes
    """
    # only here: a figure that nobody asked axes for belongs to the reader's session
    import matplotlib.pyplot as plt

    figure = plt.figure(figsize=(width * MM, height * MM))
    return figure.add_axes((13 / width, 9.5 / height, 1 - 16.5 / width, 1 - 12 / height))


def size_on_paper(ax: Axes) -> Array:
    """Width and height of axes on paper [pt]; shape (2,).

    Parameters
    ----------
    ax : Axes
    """
    return np.asarray(ax.bbox.size, float) * 72 / ax.figure.dpi


def drawable(text: str, longest: int = 160) -> str:
    r"""Text on one line, shortened, with U+FFFD for each character that the font lacks.

    Parameters
    ----------
    text : str
    longest : int
        Most letters kept.

    Examples
    --------
    >>> drawable("two\nlines")
    'two lines'
    """
    known = get_font(findfont("DejaVu Sans")).get_char_index
    shortened = textwrap.shorten(text[: 8 * longest], longest, placeholder=" ...")
    if shortened.strip() in ("", "..."):  # one long word
        shortened = text if len(text) <= longest else f"{text[: max(longest - 4, 1)]} ..."
    return "".join(letter if letter.isprintable() and known(ord(letter)) else "\ufffd" for letter in shortened)


def lines_of(text: str, width: int, most: int = 99) -> str:
    """Text wrapped into lines; a number and its unit stay together.

    Parameters
    ----------
    text : str
    width : int
        Most letters of a line.
    most : int
        Most lines; what is cut off ends in dots.
    """
    lines = textwrap.wrap(unbroken(text), width, max_lines=most, placeholder=" ...")
    return "\n".join(lines).replace("\N{NO-BREAK SPACE}", " ")
