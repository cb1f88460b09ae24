"""The report as one JSON document: that of every command it gathers, under the command's name."""

from __future__ import annotations

from dataclasses import asdict
from typing import TYPE_CHECKING, Any

from detentsim.show.in_hand.advise.document import advise_document, knife_document
from detentsim.show.in_hand.fit.data_files import fit_document
from detentsim.show.many_builds.batch.data_files import batch_document
from detentsim.show.one_build.feel_curve.data_files import curve_document
from detentsim.show.one_build.layout.report import layout_document
from detentsim.show.one_build.limits.report import limits_document
from detentsim.show.one_build.motion.report import motion_document
from detentsim.show.one_build.wear.report import worn_document
from detentsim.show.theme.rows import build_rows, summary_row

if TYPE_CHECKING:
    from detentsim.analysis.in_hand.report.report import Report


def report_document(r: Report) -> dict[str, Any]:
    """Everything that the page tells, ready for JSON.

    Parameters
    ----------
    r : Report

    Returns
    -------
    dict
        Keys ``build demo verdict curve limits motion worn_in advise batch layout fit sources``; those of a command hold
        its own document, None where the report leaves it out; ``worn_in`` that of ``curve --worn-in``.
    """
    return {
        "build": build_rows(r.build),
        "demo": r.build.demo,
        "verdict": summary_row(r.summary),
        "curve": curve_document(r.curve),
        "limits": limits_document(r.limits, r.summary),
        "motion": None if r.motion is None else motion_document(r.motion),
        "worn_in": worn_document(r.wear),
        "advise": _advise(r),
        "batch": None if r.batch is None else batch_document(r.batch),
        "layout": None if r.layout is None else layout_document(r.layout, r.summary),
        "fit": None if r.fit is None else fit_document(r.fit),
        "sources": [asdict(one) for one in r.sources],
    }


def _advise(r: Report) -> dict[str, Any] | None:
    if r.advice is None:
        return None
    return advise_document(r.advice) if r.fit is None else knife_document(r.advice, r.fit)
