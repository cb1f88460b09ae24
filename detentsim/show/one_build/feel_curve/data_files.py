"""A curve as a JSON document and as a CSV table: full digits, one unit each."""

from __future__ import annotations

from typing import Any

from detentsim.analysis.one_build.curve.curve import COLUMNS, Curve
from detentsim.knife.outcomes import RESULTS
from detentsim.knife.table.schema import INPUTS
from detentsim.show.one_build.feel_curve.report import feed_words
from detentsim.show.theme.rows import build_rows, finite, result_row, summary_row, verdict_rows
from detentsim.show.theme.tables import csv_text


def curve_document(c: Curve) -> dict[str, Any]:
    """Everything a curve knows, ready for JSON: no NaN, no infinity, a reason beside what is missing.

    Parameters
    ----------
    c : Curve

    Returns
    -------
    dict
        Keys ``build verdict demo results flags assumed curve``, then ``likely may share_inside target falls_shut
        rim_feed bench``.
    """
    return {
        "build": build_rows(c.build),
        "verdict": summary_row(c.summary),
        "demo": c.build.demo,
        "results": {name: result_row(name, c.results[name], c.why) for name in c.results} | _shut_result(c),
        "flags": list(c.flags),
        "assumed": _assumed(c),
        "curve": dict(zip(COLUMNS, ([finite(v) for v in column] for column in c.columns.tolist()), strict=True)),
        "likely": _likely(c),
        "may": dict(c.likely.may),
        "share_inside": c.likely.inside,
        "target": verdict_rows(c.verdicts),
        "falls_shut": _shut(c),
        "rim_feed": _feed(c),
        "bench": _bench(c),
    }


def curve_csv(c: Curve) -> str:
    """Text of the curve's table: units in the heading, an empty cell where there is no force to quote."""
    return csv_text(COLUMNS, c.columns.T.tolist())


def _shut_result(c: Curve) -> dict[str, Any]:
    return {} if c.falls_shut is None else {"falls_shut": c.falls_shut.falls}


def _assumed(c: Curve) -> dict[str, Any]:
    return {
        name: {"value": one.value, "band": [one.low, one.high], "source": INPUTS[name].source}
        for name, one in c.assumptions.items()
    }


def _likely(c: Curve) -> dict[str, Any]:
    return {
        name: {
            "low": low,
            "high": high,
            "unit": RESULTS[name].unit,
            "drawing": _lies(c.results[name], low, high),
            "depends_most_on": c.likely.matters.get(name),
        }
        for name, (low, high) in c.likely.ranges.items()
    }


def _lies(value: float | None, low: float, high: float) -> str | None:
    """Where the build as drawn lies to the likely range."""
    return None if value is None else "below" if value < low else "above" if value > high else "within"


def _shut(c: Curve) -> dict[str, Any] | None:
    shut = c.falls_shut
    if shut is None:
        return None
    return {
        "falls": shut.falls,
        "from_deg": shut.start,
        "hangs_deg": [list(span) for span in shut.hangs],
        "down_angle_deg": shut.down_angle,
        "hangs_at_deg": shut.hangs_at,
        "falls_from_standstill": not shut.hangs,
    }


def _feed(c: Curve) -> dict[str, Any] | None:
    feed = c.rim_feed
    if feed is None:
        return None
    return {
        "here_mm": feed.here,
        "rise_mm": None if feed.rise is None else list(feed.rise),
        "place": feed.place,
        "change_for_0.02_mm": finite(feed.change),
        "steep": feed.steep,
        "words": feed_words(c),
    }


def _bench(c: Curve) -> dict[str, Any]:
    return {
        "steps": [{"do": s.do, "read": s.read, "stop_and_try": s.stop} for s in c.bench.steps],
        "rim_tries": [
            {"feed_mm": t.feed, "loose_ball_height_mm": t.height, "breakout_N": t.breakout} for t in c.bench.tries
        ],
    }
