"""Builds of fixed sizes that tests start from, whatever becomes of the packaged demo.

`garden.toml` is a garden folder on bearings. `workshop.toml` is the same with a stop behind its bar, a measured
pivot and targets: every command has something to say about it. `inch.toml` is a sibling typed in inches and pounds.
"""

from pathlib import Path

from detentsim.knife.model import Build

GARDEN_FILE = Path(__file__).with_name("garden.toml")
GARDEN_TEXT = GARDEN_FILE.read_text(encoding="utf-8")

WORKSHOP_FILE = Path(__file__).with_name("workshop.toml")
WORKSHOP_TEXT = WORKSHOP_FILE.read_text(encoding="utf-8")

INCH_FILE = Path(__file__).with_name("inch.toml")


def garden() -> Build:
    """The build of `garden.toml`."""
    return Build.loads(GARDEN_TEXT)


def workshop() -> Build:
    """The build of `workshop.toml`."""
    return Build.loads(WORKSHOP_TEXT)
