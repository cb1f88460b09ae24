"""Comparisons of sizes that must fit together, for one build and for columns of values alike.

The checks of a build report a misfit; a sweep marks its points with it. Both pass in the function that reads a size:
it returns a float or an array, NaN where the size is absent.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

Size = Callable[[str], Any]
"""Reads an input's SI value by dotted name."""

CLOSEST_PIVOT = 2.0
"""Ball diameters from pivot to ball below which a typing error is far likelier than a real knife."""


@dataclass(frozen=True)
class Fit:
    """One misfit of sizes.

    Attributes
    ----------
    words : str
        Description of the misfit.
    broken : callable
        Takes a reader of sizes; returns truths of their shape, true where they do not fit.
    """

    words: str
    broken: Callable[[Size], Any]


ROUNDING = 1e-9
"""Sizes closer than this share are one size: the same knife in inches and in millimetres differs in the last digits."""


def _above(si: Size, name: str, other: str) -> Any:
    """True where a size is larger than another."""
    return si(name) - si(other) > ROUNDING * si(other)


def _reaches(si: Size, name: str, other: str) -> Any:
    """True where a size is as large as another, or larger."""
    return si(name) - si(other) >= -ROUNDING * si(other)


def _gap(si: Size) -> Any:
    return si("pivot.washer_thickness") - si("pivot.handle_pocket") - si("pivot.tang_pocket")


FITS: dict[str, Fit] = {
    "relief_thickness": Fit(
        "the relief is thicker than the bar", lambda si: _above(si, "bar.relief_thickness", "bar.thickness")
    ),
    "relief_length": Fit(
        "the relief reaches the ball", lambda si: _reaches(si, "bar.relief_length", "bar.ball_from_root")
    ),
    "ball_from_root": Fit(
        "the ball lies beyond the bar's tip", lambda si: _above(si, "bar.ball_from_root", "bar.tip_from_root")
    ),
    "measured_at": Fit("the pull lies beyond the tip", lambda si: _above(si, "bar.measured.at", "bar.tip_from_root")),
    "grip_from_root": Fit("the grip lies beyond the tip", lambda si: _above(si, "grip.from_root", "bar.tip_from_root")),
    "bend_at": Fit("the bar is bent beyond the ball", lambda si: _reaches(si, "bar.bend_at", "bar.ball_from_root")),
    "bend_push_at": Fit(
        "the bending push lies beyond the tip", lambda si: _above(si, "bar.bend_push_at", "bar.tip_from_root")
    ),
    "overtravel": Fit(
        "the over-travel stop lies beyond the tip", lambda si: _above(si, "overtravel.from_root", "bar.tip_from_root")
    ),
    "clip": Fit("the clip meets the bar beyond its tip", lambda si: _above(si, "clip.from_root", "bar.tip_from_root")),
    "ball_in_bar": Fit("the ball is as wide as the bar", lambda si: _reaches(si, "ball.diameter", "bar.width")),
    "hole_depth": Fit(
        "the ball's hole is too shallow for it",
        lambda si: si("ball.hole_depth") < (si("ball.diameter") - si("ball.protrusion")) * (1 - ROUNDING),
    ),
    "protrusion": Fit("the ball stands out whole", lambda si: _reaches(si, "ball.protrusion", "ball.diameter")),
    "rim_drill": Fit(
        "the second drill is smaller than the first", lambda si: _above(si, "dimple.pilot_drill", "dimple.rim_drill")
    ),
    "loose_ball_height": Fit(
        "a loose ball stands out whole", lambda si: _reaches(si, "dimple.loose_ball_height", "ball.diameter")
    ),
    "pivot_to_ball": Fit(
        "the ball is within two diameters of the pivot",
        lambda si: si("tang.pivot_to_ball") < CLOSEST_PIVOT * si("ball.diameter"),
    ),
    "radial_error": Fit(
        "the radial error is no small one",
        lambda si: abs(si("dimple.radial_error")) > si("tang.pivot_to_ball") / 4,
    ),
    "overclose": Fit(
        "the over-close is too far to be meant",
        lambda si: abs(si("dimple.overclose")) > si("tang.pivot_to_ball") / 2,
    ),
    "tip_width": Fit(
        "the blade is wider at its tip than at its pivot", lambda si: _above(si, "blade.tip_width", "blade.root_width")
    ),
    "gap": Fit(
        "the washer is thinner than its pockets are deep",
        lambda si: _gap(si) < -ROUNDING * si("pivot.washer_thickness"),
    ),
    "burr": Fit(
        "the burr is higher than an eighth of the ball", lambda si: si("dimple.burr") > si("ball.diameter") / 8
    ),
    "coat_in_dimple": Fit(
        "the coat fills the dimple", lambda si: 2 * si("tang.coating") >= si("dimple.pilot_drill") * (1 - ROUNDING)
    ),
    "coat_in_gap": Fit(
        "the tang's coat is thicker than the gap", lambda si: _above(si, "tang.coating", "tang.face_gap")
    ),
    "coat_over_ball": Fit(
        "the bar's coat buries the ball", lambda si: si("bar.coating") >= si("ball.protrusion") * (1 - ROUNDING)
    ),
    "washer_contact": Fit(
        "snug washers need their diameters",
        lambda si: (si("pivot.washer_contact") > 0) & (si("pivot.washer_outer") != si("pivot.washer_outer")),
    ),
    "pin_diameter": Fit(
        "the pivot's pin is thicker than the washer's hole",
        lambda si: _above(si, "pivot.pin_diameter", "pivot.washer_inner"),
    ),
    "pin_under_ball": Fit(
        "the pivot's pin reaches the ball's path",
        lambda si: si("pivot.pin_diameter") >= 2 * si("tang.pivot_to_ball") * (1 - ROUNDING),
    ),
    "washer_inner": Fit(
        "the washer's hole is no smaller than the washer",
        lambda si: _reaches(si, "pivot.washer_inner", "pivot.washer_outer"),
    ),
}
"""Every comparison by name; `overclose` is the one given as a length."""
