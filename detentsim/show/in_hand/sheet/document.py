"""The sheet as text and as a JSON document."""

from __future__ import annotations

from dataclasses import asdict
from typing import TYPE_CHECKING, Any

from detentsim.show.in_hand.sheet.steps import steps, target_lines
from detentsim.show.one_build.layout.report import layout_document
from detentsim.show.theme.cautions import BENCH, CHANGE_FIRST, CUTTING
from detentsim.show.theme.rows import build_rows, result_row, summary_lines, summary_row
from detentsim.show.theme.tables import report_of, table_lines, wrap

if TYPE_CHECKING:
    from detentsim.analysis.in_hand.sheet.sheet import Sheet

CAUTIONS = f"{CUTTING} {BENCH}"


def sheet_text(s: Sheet) -> str:
    """The sheet without its drawings.

    Parameters
    ----------
    s : Sheet

    Returns
    -------
    str
        Lines up to 96 characters, in the units of the build.
    """
    head = [s.build.name, *summary_lines(s.summary), *([] if s.summary.sound else wrap(CHANGE_FIRST))]
    parts = [head, *(wrap(one) for one in target_lines(s))]
    for number, step in enumerate(steps(s), start=1):
        lines = wrap(f"{step.title}: {step.do}", f"  {number}. ", "     ")
        rows = table_lines(step.rows[0], step.rows[1:], "     ") if step.rows else []
        parts.append([*lines, *rows, *wrap(step.stop, "     ")])
    return report_of([*parts, wrap(CAUTIONS, "")])


def sheet_document(s: Sheet) -> dict[str, Any]:
    """Everything that the sheet tells, ready for JSON.

    Parameters
    ----------
    s : Sheet

    Returns
    -------
    dict
        Keys ``build demo verdict results target steps drillings press tries bending corrections layout cautions``.
        Lengths are in mm, forces in N, surface speeds in m/min, spindle speeds in rev/min.
    """
    c = s.curve
    return {
        "build": build_rows(s.build),
        "demo": s.build.demo,
        "verdict": summary_row(s.summary),
        "results": {name: result_row(name, c.results[name], c.why) for name in c.results},
        "target": target_lines(s),
        "steps": [asdict(step) for step in steps(s)],
        "drillings": [asdict(one) for one in s.drillings],
        "press": asdict(s.press),
        "tries": [asdict(one) for one in c.bench.tries],
        "bending": s.limits.bending.to_dict(),
        "corrections": [asdict(one) for one in s.corrections],
        "layout": None if s.layout is None else layout_document(s.layout, s.summary),
        "cautions": CAUTIONS,
    }
