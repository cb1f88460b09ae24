"""Reads the build that a command works on: a file or the packaged demo, in the units and with the push asked for."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import argparse

    from detentsim.knife.model import Build

DEMO_LINE = "No build file given: this is the packaged demo, an invented 82 mm garden folder."
PLAN_LINE = "No build file given: this is the demo in plan, its ball moved 3 mm, its bar bent 0.2 mm more."


def read_build(args: argparse.Namespace, in_plan: bool = False) -> tuple[Build, str]:
    """Read a command's build, with the push of ``--press`` on the bar's tip.

    Parameters
    ----------
    args : Namespace
        Parsed arguments of a command that has `options.add_build` and `options.add_units`.
    in_plan : bool
        Whether the command needs the tang in plan: then the demo is the one that has it.

    Returns
    -------
    build : Build
    where_from : str
        First line of a report on the demo; empty for a file.

    Raises
    ------
    InputError
        Where the file cannot be read or is no build, or the push is no force.
    """
    if in_plan and args.build is None:
        from detentsim.knife.packaged import demo_in_plan

        build, where_from = in_units(demo_in_plan(), args.units), PLAN_LINE
    else:
        build, where_from = read_unpressed(args.build, args.units)
    return build if args.press is None else press(build, args.press), where_from


def read_unpressed(path: str | None, units: str | None = None) -> tuple[Build, str]:
    """Read a build file, or the packaged demo, without a push on the bar.

    Parameters
    ----------
    path : str or None
        Build file; None for the demo.
    units : str or None
        ``metric`` or ``inch``, for reports; None keeps those of the file.

    Returns
    -------
    build : Build
    where_from : str
        First line of a report on the demo; empty for a file.

    Raises
    ------
    InputError
        Where the path is empty, the file cannot be read, or it is no build with the sections of a curve.
    """
    from detentsim.knife.model import Build
    from detentsim.knife.packaged import demo
    from detentsim.units.errors import InputError

    if path is None:
        return in_units(demo(), units), DEMO_LINE
    if not path:
        raise InputError("BUILD", path, "names no file; give a build file, such as mine.toml")
    return in_units(Build.read(path, needs=("bar", "ball", "dimple", "tang", "opener")), units), ""


def in_units(build: Build, units: str | None) -> Build:
    """Return a build whose reports are in the units asked for.

    Parameters
    ----------
    build : Build
    units : str or None
        ``metric`` or ``inch``; None keeps those of the build.
    """
    return build if units is None else build.change({"units": units})


def in_stock(build: Build, stock: str | None) -> Build:
    """Return a build whose proposals keep to the sizes asked for.

    Parameters
    ----------
    build : Build
    stock : str or None
        ``metric``, ``inch`` or ``both``; None keeps those of the build.
    """
    return build if stock is None else build.change({"stock": stock})


def press(build: Build, text: str) -> Build:
    """Return a build with a thumb pushing the bar's tip inward.

    Parameters
    ----------
    build : Build
    text : str
        Force with its unit, like ``5 N``.

    Raises
    ------
    InputError
        Where the text is no force.
    """
    from detentsim.units.convert import to_si

    to_si(text, "force", "--press", "5 N")
    return build.change({"grip.force": text})
