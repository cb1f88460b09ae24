"""Motion as text for the bench and as a JSON document."""

from __future__ import annotations

from dataclasses import asdict
from typing import TYPE_CHECKING, Any

import numpy as np

from detentsim.knife.outcomes import FLAGS, UNSOUND
from detentsim.show.one_build.motion.shut_words import staying_words
from detentsim.show.one_build.motion.words import (
    attitude_list,
    closing_words,
    comfort_words,
    holding_words,
    opening_words,
    turned_words,
)
from detentsim.show.theme.rows import (
    build_rows,
    finite,
    result_row,
    summary_lines,
    summary_row,
    title_lines,
    verdict_rows,
)
from detentsim.show.theme.tables import first_that_fits, report_of, table_lines, titled, wrap, wrap_all

if TYPE_CHECKING:
    from collections.abc import Collection

    from detentsim.analysis.one_build.motion.falling import Hang
    from detentsim.analysis.one_build.motion.motion import Motion
    from detentsim.analysis.one_build.motion.opening import Speed
    from detentsim.units.systems import UnitSystem

Rows = tuple[tuple[str, ...], tuple[tuple[object, ...], ...]]

CAUTION = (
    "Try the knife before you carry it; keep fingers out of the falling blade's way. US federal law, 15 U.S.C. "
    "1244(5), exempts a knife with a bias toward closure that the hand must overcome; your local law may differ, and "
    "decides. This is no legal advice."
)
"""What to mind with a moving blade; the citation is of US law."""


def motion_report(m: Motion, where_from: str = "", full: bool = False) -> str:
    """Text of the motion: the verdict, then whether the blade flies open, falls shut and stays shut.

    Parameters
    ----------
    m : Motion
    where_from : str
        A first line saying where the build comes from; left out when empty.
    full : bool
        Whether to add the tables, why the blade does not fall shut, what a finger can give, and what was taken for
        the blade.

    Returns
    -------
    str
        Lines up to 96 characters, in the units of the build.
    """
    if full:
        return _text(m, where_from, full, ())
    return first_that_fits(_text(m, where_from, full, without) for without in LEFT_OUT)


LEFT_OUT = tuple(("traits", "attitudes", "worst torque", "slow finger")[:count] for count in range(5))
"""What the short report leaves to ``--full`` where a long verdict takes the page's room."""


def _text(m: Motion, where_from: str, full: bool, without: Collection[str]) -> str:
    opening = [*opening_words(m, "slow finger" not in without), *(comfort_words(m) if full else ())]
    attitudes = () if "attitudes" in without else attitude_list(m)
    closing = [*_closing(m), *((*holding_words(m), *turned_words(m)) if full else attitudes)]
    traits = () if "traits" in without else (flag for flag in m.flags if flag not in UNSOUND)
    parts = [
        [*title_lines(m.build.name, where_from), *summary_lines(m.summary)],
        ["Does it fly open?", *wrap_all(opening), *(_table(speed_rows(m)) if full else [])],
        ["Does it fall shut?", *wrap_all(closing), *(_table(attitude_rows(m)) if full else [])],
        ["Does it stay shut?", *wrap_all(staying_words(m, full, "worst torque" not in without))],
        wrap_all((f"{FLAGS[flag]} [{flag}]" for flag in traits), ""),
        _blade(m) if full else [],
        wrap(CAUTION if full else f"The rest: --full. {CAUTION}", ""),
    ]
    return report_of(parts)


def _closing(m: Motion) -> list[str]:
    """Whether it falls shut, and the burr in its way."""
    return [*closing_words(m), *([] if m.burr is None else [m.burr.sentence(m.build.units)])]


def _table(found: Rows) -> list[str]:
    """A table of its own block, moved in; none without rows."""
    return titled("", table_lines(*found))


def speed_rows(m: Motion) -> Rows:
    """Heading and rows of opening by finger speed."""
    units = m.build.units
    header = (
        f"finger's top speed [{units.unit('m/s')}]",
        "opens",
        "stalls at [deg]",
        "locks at [rad/s]",
        "after [ms]",
        f"lacks [{units.unit('mJ')}]",
    )
    return header, tuple(_speed(one, units) for one in m.opening.speeds)


def _speed(one: Speed, units: UnitSystem) -> tuple[object, ...]:
    time = None if one.time is None else 1e3 * one.time
    lacks = None if one.lacks is None else one.lacks * units.scale("mJ")
    limit = one.limit * units.scale("m/s")
    return (_three(limit), "yes" if one.opens else "no", *map(_three, (one.stall, one.speed, time, lacks)))


def _three(value: float | None) -> float | None:
    """A number with three significant digits."""
    return None if value is None else float(f"{value:.3g}")


def attitude_rows(m: Motion) -> Rows:
    """Heading and rows of falling shut by attitude."""
    header = ("handle", "falls shut", "hangs at [deg]", "meets its stop at [rad/s]")
    return header, tuple(_attitude(one) for one in m.attitudes)


def _attitude(one: Hang) -> tuple[object, ...]:
    hangs = None if one.opens or one.stays else one.hangs
    falls = "yes" if one.falls else "no, swings open" if one.opens else "no, stays" if one.stays else "no"
    return (one.name, falls, _three(hangs), _three(one.speed))


def _blade(m: Motion) -> list[str]:
    return wrap(blade_words(m), "")


def blade_words(m: Motion) -> str:
    """Mass, balance and inertia that were computed with; empty where they are not known."""
    record, units = m.response.load.record, m.build.units
    if not np.isfinite(record.blade_mass):
        return ""
    return (
        f"Taken for the blade: {units.two_digits(1e3 * float(record.blade_mass), 'g')}, balance "
        f"{units.two_digits(1e3 * float(record.balance_radius), 'mm')} from the pivot, inertia "
        f"{units.two_digits(1e6 * float(record.blade_inertia), 'kg*mm**2')}."
    )


def motion_document(m: Motion) -> dict[str, Any]:
    """Everything the motion knows, ready for JSON: no NaN, no infinity, a reason beside what is missing.

    Parameters
    ----------
    m : Motion

    Returns
    -------
    dict
        Keys ``build demo verdict results flags assumed opening holding burr attitudes all_round staying blade path
        target words``.
        Angles in deg, speeds in rad/s (a finger's in m/s), times in s, energies in mJ, forces in N, torques in N*mm;
        the sentences under ``words`` and ``verdict`` are in the units of the build.
    """
    record = m.response.load.record
    blade = {
        "mass_g": finite(1e3 * float(record.blade_mass)),
        "balance_radius_mm": finite(1e3 * float(record.balance_radius)),
        "inertia_kg_mm2": finite(1e6 * float(record.blade_inertia)),
    }
    return {
        "build": build_rows(m.build),
        "demo": m.build.demo,
        "verdict": summary_row(m.summary),
        "results": {name: result_row(name, m.results[name], m.why) for name in m.results},
        "flags": list(m.flags),
        "assumed": list(m.build.assumed),
        "opening": asdict(m.opening),
        "holding": asdict(m.holding) if m.holding is not None else None,
        "burr": None if m.burr is None else asdict(m.burr),
        "attitudes": [asdict(one) for one in m.attitudes],
        "all_round": [asdict(one) for one in m.all_round],
        "staying": asdict(m.staying),
        "blade": blade,
        "path": _path(m),
        "target": verdict_rows(m.verdicts),
        "words": [*opening_words(m), *comfort_words(m), *_closing(m), *holding_words(m), *staying_words(m)],
    }


def _path(m: Motion) -> dict[str, list[float | None]] | None:
    b = m.budget
    if b is None:
        return None
    columns = {
        "blade_angle_deg": b.angle,
        "speed_rad_per_s": b.speed,
        "finger_mJ": b.finger,
        "spent_mJ": b.spent,
        "left_mJ": b.left,
        "time_s": b.time,
    }
    return {name: [finite(value) for value in column.tolist()] for name, column in columns.items()}
