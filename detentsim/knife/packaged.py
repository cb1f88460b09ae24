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


def demo_in_plan() -> Build:
    """Return the packaged demo with its tang in plan: its ball 3 mm nearer the lock face, its bar bent 0.2 mm farther.

    The demo's own ball would stand so far from the lock face that the bar ran over the pivot.

    Returns
    -------
    Build
        With `demo` true and no file of its own.

    Examples
    --------
    >>> demo_in_plan().word("bar.ball_from_root"), demo().word("bar.ball_from_root")
    ('47 mm', '44 mm')
    """
    moved = Build.loads(demo_text()).change({"bar.ball_from_root": "47 mm", "bar.bend": "2.4 mm"})
    return replace(Build.loads(moved.text + data_text("plan.toml"), "packaged demo"), demo=True)


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
