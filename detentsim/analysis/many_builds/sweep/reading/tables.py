"""Tables of a sweep: for labelled-array libraries, one row for each design, a summary for a notebook."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
import numpy.typing as npt

from detentsim.analysis.many_builds.sweep.axis import axis_units
from detentsim.analysis.one_build.wear.worn_records import RADII
from detentsim.analysis.results import heading, span_words, table_rows
from detentsim.knife.outcomes import FLAGS, OUTCOMES
from detentsim.knife.table.summary import notebook_table

if TYPE_CHECKING:
    from detentsim.analysis.many_builds.sweep.designs import Sweep


def labelled(s: Sweep) -> dict[str, Any]:
    """Sweep in the form that labelled-array libraries read, as `Sweep.to_dict` gives it.

    Parameters
    ----------
    s : Sweep
    """
    dims = tuple(axis.name for axis in s.axes)
    coords: dict[str, Any] = {}
    for axis in s.axes:
        data = axis.values if axis.is_scale else list(axis.labels)
        coords[axis.name] = {
            "dims": (axis.name,),
            "data": data,
            "attrs": axis_units(axis.unit if axis.is_scale else ""),
        }
    data_vars = {
        name: {
            "dims": dims,
            "data": array,
            "attrs": axis_units(OUTCOMES[name].unit) | {"long_name": OUTCOMES[name].meaning},
        }
        for name, array in s.results.items()
    }
    data_vars |= {n: {"dims": dims, "data": array, "attrs": {"long_name": FLAGS[n]}} for n, array in s.flags.items()}
    told = (("done", s.done, "solved, or no knife at all"), ("excluded", s.excluded, "sizes do not fit"))
    data_vars |= {n: {"dims": dims, "data": array, "attrs": {"long_name": words}} for n, array, words in told}
    return {
        "coords": coords,
        "data_vars": data_vars,
        "attrs": {"build": s.build.name},
        "dims": dict(zip(dims, s.shape, strict=True)),
    }


def records(s: Sweep) -> npt.NDArray[Any]:
    """One row for each design, as `Sweep.to_records` gives it.

    Parameters
    ----------
    s : Sweep
    """
    columns: dict[str, npt.NDArray[Any]] = {}
    for i, axis in enumerate(s.axes):
        values = axis.values if axis.is_scale else np.array(axis.labels)
        laid = values.reshape([-1 if j == i else 1 for j in range(len(s.axes))])
        columns[heading(axis.name, axis.unit if axis.is_scale else "")] = np.broadcast_to(laid, s.shape)
    columns |= {heading(name, OUTCOMES[name].unit): known_only(s, name) for name in s.results}
    if s.worn:
        columns |= {
            heading(f"worn_{name}", "mm"): np.broadcast_to(getattr(s.record, name) * 1e3, s.shape) for name in RADII
        }
    columns |= s.flags | {"excluded": s.excluded, "done": s.done}
    return table_rows(columns)


def known_only(s: Sweep, name: str) -> npt.NDArray[Any]:
    """A result of each design, None in place of a truth that is not known.

    Parameters
    ----------
    s : Sweep
    name : str
    """
    unknown = s.unknown(name)
    return np.where(unknown, None, s.results[name]) if unknown.any() else s.results[name]  # type: ignore[call-overload]


def html_table(s: Sweep) -> str:
    """Table for a notebook: what was varied, the span of each result, what was flagged.

    Parameters
    ----------
    s : Sweep
    """
    ends = [(axis, [axis.column.raw(i) for i in (0, -1)]) for axis in s.axes]
    rows = [(axis.name, f"{len(axis)}: {' to '.join(map(str, two))}") for axis, two in ends]
    rows += [(name, span_words(name, array)) for name, array in s.results.items()]
    raised = {**s.flags, **s.misfits, "not solved": ~s.done}
    rows += [(n, f"{np.count_nonzero(w)} of {s.size}") for n, w in raised.items() if np.any(w)]
    return notebook_table(f"{s.build.name}: {s.size:,} designs", rows)
