"""Tables of a batch: its inputs in the units they are shown in, one row for each knife, a summary for a notebook."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
import numpy.typing as npt

from detentsim.analysis.one_build.wear.worn_records import RADII
from detentsim.analysis.results import heading, table_rows
from detentsim.knife.outcomes import FLAGS, RESULTS
from detentsim.knife.table.schema import INPUTS
from detentsim.knife.table.summary import notebook_table
from detentsim.knife.table.value import SHOWN_UNITS
from detentsim.units.numbers import percent
from detentsim.units.quantities import factor

if TYPE_CHECKING:
    from detentsim.analysis.many_builds.batch.knives.knives import Knives
    from detentsim.mechanics.record import Array


def shown_inputs(made: Knives) -> dict[str, tuple[Array, str]]:
    """Values of each input that varies, with their unit (mm, deg, N ...); over-close is a length at the ball.

    Parameters
    ----------
    made : Batch
    """
    units = {name: SHOWN_UNITS[INPUTS[name].size_kind] for name in made.found.values}
    return {name: (made.found.values[name] / factor(unit), unit) for name, unit in units.items()}


def records(made: Knives) -> npt.NDArray[Any]:
    """One row for each knife, as `Knives.to_records` gives it.

    Parameters
    ----------
    made : Batch
    """
    columns: dict[str, npt.NDArray[Any]] = {
        heading(name, unit): values for name, (values, unit) in shown_inputs(made).items()
    }
    columns |= {heading(name, RESULTS[name].unit): array for name, array in made.results.items()}
    if made.worn:
        columns |= {heading(f"worn_{name}", "mm"): getattr(made.found.record, name) * 1e3 for name in RADII}
    columns |= made.flags | {"excluded": made.excluded, "inside": made.inside, "done": made.done}
    return table_rows(columns)


def html_table(made: Knives) -> str:
    """Table for a notebook: the share inside, what is wrong with the rest, the range of each result.

    Parameters
    ----------
    made : Batch
    """
    rows = []
    if made.build.target:
        share, low, high = (percent(part) for part in made.share())
        rows.append(("inside the target", f"{share} ({low} to {high})"))
    rows += [(FLAGS.get(key, key), percent(float(np.mean(where)))) for key, where in made.outside.items()]
    for name, values in made.results.items():
        if values.dtype == bool:
            rows.append((name, f"true for {percent(float(np.mean(values)))}"))
        else:
            first, last = made.interval_ends(name)
            rows.append((name, f"{first:.3g} to {last:.3g} {RESULTS[name].unit}".rstrip()))
    worn = " worn in" if made.worn else ""
    return notebook_table(f"{made.build.name}: {len(made):,} knives{worn}, 90 % ranges", rows)
