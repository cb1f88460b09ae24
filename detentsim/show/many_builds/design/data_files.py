"""Proposed designs as a JSON document and as a CSV table; numbers in the units that they name."""

from __future__ import annotations

import math
from functools import partial
from typing import TYPE_CHECKING, Any

from detentsim.analysis.missing import why_missing
from detentsim.analysis.results import heading
from detentsim.knife.outcomes import RESULTS
from detentsim.knife.table.schema import INPUTS
from detentsim.knife.table.value import as_text
from detentsim.show.theme.rows import aim_row, build_rows, result_row, summary_row
from detentsim.show.theme.tables import csv_text

if TYPE_CHECKING:
    from detentsim.analysis.many_builds.design.proposals import DesignProposal, Designs

_MM = 1e-3


def design_document(found: Designs) -> dict[str, Any]:
    """Everything that was found, ready for JSON.

    Parameters
    ----------
    found : Designs

    Returns
    -------
    dict
        Keys ``build demo verdict wanted free fixed proposals words combinations designs dropped errors stopped``;
        ``verdict`` is that on the first proposal, None where there is none.
    """
    return {
        "build": build_rows(found.build),
        "demo": found.build.demo,
        "verdict": None if found.best is None else summary_row(found.best.summary),
        "wanted": [aim_row(aim) for aim in found.aims],
        "free": list(found.free),
        "fixed": list(found.fixed),
        "proposals": [_document(p) for p in found.proposals],
        "words": found.words,
        "combinations": found.combinations,
        "designs": found.designs,
        "dropped": found.dropped,
        "errors": {e.name: [as_text(end, INPUTS[e.name].size_kind) for end in (e.low, e.high)] for e in found.errors},
        "stopped": found.stopped,
    }


def _document(p: DesignProposal) -> dict[str, Any]:
    why = partial(why_missing, flags=p.flags)
    return {
        "sizes": {name: {"text": text, "mm": _mm(p.metres[name])} for name, text in p.sizes.items()},
        "changes": p.changes,
        "inside": p.inside,
        "margin_tenths": p.margin,
        "sound": p.sound,
        "limits_passed": list(p.passed),
        "flags": list(p.flags),
        "results": {name: result_row(name, p.results[name], why) for name in p.results},
    }


def _mm(si: float) -> float | None:
    return float(f"{si / _MM:.12g}") if math.isfinite(si) else None


def design_csv(found: Designs) -> str:
    """Text of the proposals' table, a row each: sizes as bought, share inside, margin, results with their units.

    Parameters
    ----------
    found : Designs
    """
    names = [name for name in INPUTS if any(name in p.sizes for p in found.proposals)]
    results = [heading(name, RESULTS[name].unit) for name in RESULTS]
    header = [*names, *(f"{name}_mm" for name in names), "inside", "margin_tenths", *results]
    return csv_text(header, (_row(p, names) for p in found.proposals))


def _row(p: DesignProposal, names: list[str]) -> list[object]:
    lengths = [_mm(p.metres[name]) if name in p.metres else None for name in names]
    return [*(p.sizes.get(name) for name in names), *lengths, p.inside, p.margin, *(p.results.get(n) for n in RESULTS)]
