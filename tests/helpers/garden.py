"""The build of fixed sizes that many tests start from: a garden folder on bearings."""

from pathlib import Path

GARDEN_FILE = Path(__file__).with_name("garden.toml")
GARDEN_TEXT = GARDEN_FILE.read_text(encoding="utf-8")
