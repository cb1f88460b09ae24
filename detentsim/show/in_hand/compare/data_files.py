"""A comparison as a JSON document and as a table of forces."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from detentsim.analysis.hand_steps import FLOOR
from detentsim.analysis.in_hand.compare.quantities import UNITS
from detentsim.knife.target.target import FELT
from detentsim.show.in_hand.compare.report import STEP
from detentsim.show.theme.rows import distance_row, finite, summary_row, verdict_rows
from detentsim.show.theme.tables import csv_text

if TYPE_CHECKING:
    from detentsim.analysis.in_hand.compare.compare import Comparison
    from detentsim.analysis.in_hand.compare.feel_curves import FeelCurve


def compare_document(c: Comparison) -> dict[str, Any]:
    """Everything a comparison knows, ready for JSON: no NaN, no infinity, a reason beside what is missing.

    Parameters
    ----------
    c : Comparison

    Returns
    -------
    dict
        Keys ``items target step curves``; the first item is what differences are counted from.
    """
    return {
        "items": [_item(c, i) for i in range(len(c.items))],
        "target": None if c.target is None else _feel(c.target) | {"contradictions": list(c.contradictions)},
        "step": {"ratio": 1 + FELT, "floor_N": FLOOR, "words": STEP},
        "curves": {
            "blade_angle_deg": c.angle.tolist(),
            "force_N": [[finite(v) for v in row] for row in c.forces.tolist()],
        },
    }


def _item(c: Comparison, i: int) -> dict[str, Any]:
    found = _feel(c.items[i])
    found["differences"] = {
        name: {"change": d.change, "unit": UNITS[name], "part": d.part, "clear": d.clear}
        for name, d in c.differences[i].items()
    }
    found["breakout_steps"] = c.breakout_steps[i]
    found["distance"] = distance_row(c.distances[i])
    found["to_target"] = distance_row(c.to_target[i]) if c.to_target else None
    found["verdicts"] = verdict_rows(c.verdicts[i])
    return found


def _feel(feel: FeelCurve) -> dict[str, Any]:
    return {
        "name": feel.name,
        "kind": feel.kind,
        "source": feel.source,
        "demo": feel.curve is not None and feel.curve.build.demo,
        "verdict": None if feel.curve is None else summary_row(feel.curve.summary),
        "flags": [] if feel.curve is None else list(feel.curve.flags),
        "results": {name: _result(feel, name) for name in UNITS},
        "runs": feel.count if feel.kind == "measured" else None,
        "noise_N": feel.noise,
        "notes": list(feel.notes),
    }


def _result(feel: FeelCurve, name: str) -> dict[str, Any]:
    found: dict[str, Any] = {"value": feel.values[name], "unit": UNITS[name]}
    if found["value"] is None:
        return found | {"why": feel.why.get(name, "there is none")}
    return found | ({"scatter": feel.scatter[name]} if name in feel.scatter else {})


def compare_csv(c: Comparison) -> str:
    """Text of the table of forces at common angles; it can be read again as a measured curve of several runs.

    Parameters
    ----------
    c : Comparison

    Returns
    -------
    str
    """
    header = ["blade_angle_deg", *(f"force {n}: {feel.name} [N]" for n, feel in enumerate(c.items, 1))]
    return csv_text(header, np.vstack([c.angle, c.forces]).T.tolist())
