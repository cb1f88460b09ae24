"""Twelve unlike builds for the sheet, and the words that a sheet of paper shows."""

from functools import cache

import detentsim as ds
from detentsim.analysis.in_hand.sheet.sheet import Sheet
from detentsim.knife.model import Build
from helpers.five_knives import KNIVES
from helpers.garden import GARDEN_TEXT, workshop
from helpers.laid_out import LAID_OUT

LONG = "the second of a pair of garden folders for a friend of the workshop, left hand, with bead-blasted slabs " * 2


def builds() -> dict[str, Build]:
    """Builds by name: long names, floating, locked, a thin liner, everything flagged, with and without a layout."""
    garden, laid = Build.loads(GARDEN_TEXT), Build.loads(LAID_OUT)
    locked = {"dimple.rim_drill": "2.2 mm", "dimple.rim_feed": "0.4 mm", "friction.ball_on_tang": 0.6}
    flagged = {"overtravel.gap": "0.05 mm", "bar.bend": "6 mm", "ball.hole_drill": "1.3 mm", "ball.hole_depth": "1 mm"}
    whole = {"ball.hole_drill": "1.8 mm"}
    return {name: Build.loads(text) for name, text in KNIVES.items()} | {
        "laid out": laid,
        "long name": laid.change({"name": LONG[:198].strip()}),
        "inches": laid.change({"units": "inch"}),
        "locked": garden.change(locked),
        "flagged": garden.change(flagged),
        "workshop": workshop(),
        "falls through": garden.change(whole),
        "bent out": garden.change({"dimple.rim_drill": "none", "dimple.rim_feed": None, "bar.bend": "-0.5 mm"}),
    }


NAMES = tuple(builds())


@cache
def sheet_of(name: str) -> Sheet:
    """Sheet of one of the builds."""
    return ds.sheet(builds()[name])


def words_of(figure) -> str:
    """Every word set on a sheet of paper outside its drawings, in order, with single spaces."""
    return " ".join(" ".join(text.get_text() for text in figure.texts).split())
