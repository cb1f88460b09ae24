"""Parts of the page on where its numbers come from: assumptions, sources, and the build as typed."""

from __future__ import annotations

from typing import TYPE_CHECKING

from detentsim.knife.table.schema import INPUTS
from detentsim.show.in_hand.report.markup import Html, rows_table, said, section

if TYPE_CHECKING:
    from detentsim.analysis.in_hand.report.report import Report


def assumed_part(r: Report) -> Html:
    """Inputs that the build does not give and that nobody can well measure, each with its band and source.

    Parameters
    ----------
    r : Report
    """
    rows = [(name, one.value, one.band, INPUTS[name].source) for name, one in r.curve.assumptions.items()]
    none = "Nothing is assumed: the build gives every input that has a band."
    table = rows_table(("input", "taken as", "band", "where it comes from"), rows, class_="stack")
    return section("assumed", "What is assumed", table or said([none]))


def sources_part(r: Report) -> Html:
    """Values from tables and defaults, each with its source.

    Parameters
    ----------
    r : Report
    """
    rows = [(one.name, one.value, one.source) for one in r.sources]
    return section("sources", "Sources of the values used", rows_table(("value", "is", "source"), rows, class_="stack"))


def typed_part(r: Report) -> Html:
    """Every input that the build gives, as typed.

    Parameters
    ----------
    r : Report
    """
    rows = [(name, value.text) for name, value in r.build.values.items() if value.given and name != "name"]
    return section("typed", "The build as typed", rows_table(("input", "as typed"), rows))
