"""Figures as files: the same bytes for the same figure, replaced whole or not at all."""

from __future__ import annotations

import io
import os
from pathlib import Path
from typing import TYPE_CHECKING, Any

from detentsim.knife.file.text import replace_file
from detentsim.show.theme.style import figure_style
from detentsim.units.errors import InputError
from detentsim.units.wording import shown

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

# Whatever would differ from one day or machine to the next is left out; the name tells commands their own files.
_UNSAID: dict[str, dict[str, Any]] = {
    ".png": {"Software": "detentsim"},
    ".svg": {"Date": None, "Creator": "detentsim"},
    ".pdf": {"CreationDate": None, "Creator": "detentsim", "Producer": None},
}


def check_figure_path(path: str | Path, field: str = "path") -> Path:
    """Check the path of a figure, so that a bad one is refused before anything is computed.

    Parameters
    ----------
    path : str or Path
        Named .png, .svg or .pdf.
    field : str
        Option or argument that named it, for the error.

    Returns
    -------
    Path

    Raises
    ------
    InputError
        Where it has another ending, is a folder or is no name at all.
    """
    if not isinstance(path, str | Path):
        raise InputError(field, path, f"{shown(path)} is no file name; give one such as curve.png")
    found = Path(path)
    if found.suffix.lower() not in _UNSAID:
        text = f"{shown(str(path), 80)} must end in .png, .svg or .pdf, such as curve.png"
        raise InputError(field, str(path), text)
    if os.path.isdir(found):  # False for a name that the system cannot take
        raise InputError(field, str(path), f"{shown(str(path), 80)} is a folder; name a file, such as curve.png")
    return found


def save_figure(figure: Figure | Axes, path: str | Path, field: str = "path") -> Path:
    """Write a figure to a file, in the format that its ending names: finer than ``savefig``, and the same every time.

    Parameters
    ----------
    figure : Figure or Axes
        Axes stand for the figure they are on.
    path : str or Path
        Named .png, .svg or .pdf; an existing file is replaced.
    field : str
        Option or argument that named it, for the error.

    Returns
    -------
    Path
        The file written.

    Raises
    ------
    InputError
        For what is no figure; where the file has another ending or cannot be written, and one that was there is kept.
    """
    found = check_figure_path(path, field)
    whole: Any = getattr(figure, "figure", None)
    if not hasattr(whole, "savefig"):
        text = f"{shown(figure)} is no figure; give one such as ds.show.curve_figure(ds.curve(build))"
        raise InputError("figure", figure, text)
    ending, image = found.suffix.lower(), io.BytesIO()
    with figure_style():
        whole.savefig(image, format=ending[1:], metadata=_UNSAID[ending])
    try:
        replace_file(found, image.getvalue())
    except (OSError, ValueError) as error:
        why = getattr(error, "strerror", None) or "not a usable file name"
        raise InputError(field, str(path), f"{shown(str(path), 80)} cannot be written: {why}") from None
    return found
