"""The build that a command works on: read from its file, or the packaged demo, and pressed if asked for."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import argparse

    from detentsim.knife.model import Build

DEMO_LINE = "No build file given: this is the packaged demo, an invented 82 mm garden folder."


def read_build(args: argparse.Namespace) -> tuple[Build, str]:
    """Read a build, or the demo, pressed if asked for, and the line that says where it came from."""
    build, where_from = read_unpressed(args.build, args.units)
    return build if args.press is None else press(build, args.press), where_from


def read_unpressed(path: str | None, units: str | None = None) -> tuple[Build, str]:
    """Build file or demo, not pressed yet, in the units asked for."""
    from detentsim.knife.model import Build
    from detentsim.knife.packaged import demo
    from detentsim.units.errors import InputError

    if path is None:
        return in_units(demo(), units), DEMO_LINE
    if not path:
        raise InputError("BUILD", path, "names no file; give a build file, such as mine.toml")
    return in_units(Build.read(path, needs=("bar", "ball", "dimple", "tang", "opener")), units), ""


def in_units(build: Build, units: str | None) -> Build:
    """Build whose reports are in the units asked for, ``metric`` or ``inch``; as it is for None."""
    return build if units is None else build.change({"units": units})


def press(build: Build, text: str) -> Build:
    """Build with a thumb pressing the bar's tip; raises `InputError` for what is no force."""
    from detentsim.units.convert import to_si

    to_si(text, "force", "--press", "5 N")
    return build.change({"grip.force": text})
