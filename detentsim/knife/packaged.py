"""The packaged demo build and the template that a new build file starts from."""

from __future__ import annotations

from dataclasses import replace

from detentsim.knife.file.text import data_text
from detentsim.knife.model import Build


def demo() -> Build:
    """Return the packaged demo: an invented workshop's 82 mm garden folder.

    Returns
    -------
    Build
        With `demo` true and no file of its own.
    """
    return replace(Build.loads(demo_text(), "packaged demo"), demo=True)


def demo_text() -> str:
    """Return the packaged demo's build file.

    Returns
    -------
    str
        TOML.
    """
    return data_text("demo.toml")


def template_text() -> str:
    """Return the commented build file that a new user starts from.

    Returns
    -------
    str
        TOML; reads without a fault as it is.
    """
    return data_text("template.toml")
