"""The packaged demo build, and the template of a new build file.

Uses `model`; the texts are in ``file/data``.
"""

from __future__ import annotations

from dataclasses import replace

from detentsim.knife.file.text import data_text
from detentsim.knife.model import Build


def demo() -> Build:
    """Return the packaged demo: an 82 mm garden folder of an invented workshop.

    Returns
    -------
    Build
        With `demo` true and no file of its own.

    Examples
    --------
    >>> demo().demo
    True
    """
    return replace(Build.loads(demo_text(), "packaged demo"), demo=True)


def demo_text() -> str:
    """Return the packaged demo's build file.

    Returns
    -------
    str
        TOML.

    Examples
    --------
    >>> "[bar]" in demo_text()
    True
    """
    return data_text("demo.toml")


def template_text() -> str:
    """Return the commented template of a new build file.

    Returns
    -------
    str
        TOML, valid as it is.

    Examples
    --------
    >>> Build.loads(template_text()).demo
    False
    """
    return data_text("template.toml")
