"""The garden folder of the tests with its tang in plan; the outline is invented.

Ball 7 mm behind the pivot and 5 mm below it: 3 mm from the bar's lock face, 4 mm from its lower edge.
"""

import re

from detentsim.knife.model import Build
from helpers.garden import GARDEN_TEXT

LAYOUT = """
[layout]
outline = [
  ["-16 mm", "-8 mm"],
  ["2 mm", "-9 mm"],
  { to = ["9 mm", "0.6 mm"], through = ["7.4 mm", "-5.2 mm"] },
  ["4 mm", "1.2 mm"],
  { to = ["4 mm", "10 mm"], called = "lock face" },
  ["-16 mm", "10 mm"],
]
holes = [
  { called = "pivot", centre = ["0 mm", "0 mm"], diameter = "5 mm" },
  { called = "opener", centre = ["-13 mm", "6 mm"], diameter = "4 mm" },
]
lock_face = "-4 mm"
bar_edge = "-9 mm"
ball_from_lock_face = "3 mm"
ball_from_edge = "4 mm"
chamfer = "0.3 mm"
stop_pin = { at = ["-2 mm", "-11 mm"], diameter = "3 mm" }
"""

BARE = re.sub(r"(?m)^(pivot_to_ball|ball_from_root) .*\n", "", GARDEN_TEXT)
"""The garden folder without the sizes that a layout gives."""

LAID_OUT = BARE + LAYOUT


def laid_out(*changes: tuple[str, str]) -> Build:
    """The build with pieces of its text replaced."""
    text = LAID_OUT
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new)
    return Build.loads(text)
