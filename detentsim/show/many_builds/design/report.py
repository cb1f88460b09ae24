"""Proposed designs as text for the bench."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from detentsim.knife.outcomes import FLAGS, RESULTS, UNSOUND, label
from detentsim.knife.table.schema import INPUTS
from detentsim.knife.table.typed_units import text_in
from detentsim.knife.target.words import wanted_words
from detentsim.show.theme.cautions import DRILLING
from detentsim.show.theme.rows import title_lines
from detentsim.show.theme.tables import report_of, table_lines, titled, wrap, wrap_all
from detentsim.units.numbers import percent, two_digits

if TYPE_CHECKING:
    from collections.abc import Iterator

    from detentsim.analysis.in_hand.advise.aims import Aim
    from detentsim.analysis.many_builds.design.proposals import DesignProposal, Designs
    from detentsim.knife.model import Build
    from detentsim.units.systems import UnitSystem

# Proposals told unless more are asked for.
TOLD = 6

_HEADS = {
    "ball.diameter": "ball",
    "dimple.pilot_drill": "first",
    "dimple.rim_drill": "second",
    "dimple.rim_feed": "feed",
    "bar.thickness": "slab",
    "bar.relief_length": "cutter",
    "bar.relief_thickness": "relief",
    "bar.bend": "bend",
}

_CALLED = {
    "ball.diameter": "ball",
    "dimple.pilot_drill": "first drill",
    "dimple.rim_drill": "second drill",
    "dimple.rim_feed": "second drill's feed",
    "bar.thickness": "slab",
    "bar.relief_length": "relief's cutter",
    "bar.relief_thickness": "relief's thickness",
    "bar.bend": "bend",
}

# Sizes that are set: plain millimetres in a table.
_SET = ("dimple.rim_feed", "bar.relief_thickness", "bar.bend")

_CHIEF = ("breakout_force", "drag_force")

_MM, _INCH, _THOU = 1e-3, 0.0254, 25.4e-6


def design_report(found: Designs, where_from: str = "", most: int = TOLD, full: bool = False) -> str:
    """Text of the proposals: the table and the best one; with `full` also sizes and shop errors.

    Parameters
    ----------
    found : Designs
    where_from : str
        A first line saying where the build comes from; left out when empty.
    most : int
        Proposals to show.
    full : bool
        Whether to add what was free and held, what every shop size is, and the shop errors allowed for.

    Returns
    -------
    str
        Lines up to 96 characters, in the units of the build.
    """
    told = found.proposals[:most]
    parts = [
        title_lines(found.build.name, where_from),
        ["Wanted", *wrap_all(wanted_lines(found))],
        _looked(found),
        _table(told, found.build.units),
        _notes(told),
        _best(found),
        *([_held(found), _shop_sizes(told, found.build.units), _allowed(found)] if full else []),
        wrap("Make the dimple and the bend in small steps and try in between. " + DRILLING, ""),
    ]
    return report_of(parts)


def wanted_lines(found: Designs) -> Iterator[str]:
    """Targets as typed, in the trade's words."""
    for target in found.build.target:
        yield f"{label(target.name)}{':' if target.truth is not None else ''} {wanted_words(target, found.build.units)}"


def _held(found: Designs) -> list[str]:
    free = [called for name, called in _CALLED.items() if name in found.free]
    lines = wrap("Free: " + ", ".join(free) + ".") if free else []
    held = [name for name in found.fixed if found.build[name] is not None]
    if held:
        lines += wrap("Fixed: " + ", ".join(f"{_CALLED[n]} {found.build.word(n)}" for n in held) + ".")
    return ["Sizes", *lines, *wrap("All other inputs stay as in the build.")]


def _count(number: int, name: str) -> str:
    return f"{number:,} {name}{'s' * (number != 1)}"


def _looked(found: Designs) -> list[str]:
    lines = wrap(
        f"{_count(found.combinations, 'combination')} of stock sizes {'fits' if found.combinations == 1 else 'fit'} "
        f"together; {_count(found.designs, 'design')} solved. {_from_stock(found)}",
        "",
    )
    if found.stopped:
        lines += wrap("Stopped before the search was complete: these are the designs found by then.", "")
    if not found.proposals:
        lines += wrap(f"No design meets the target. {found.words}", "")
    return lines


def _from_stock(found: Designs) -> str:
    """Which drills were chosen from, and how to have the others too."""
    free = [name for name in ("dimple.pilot_drill", "dimple.rim_drill") if name in found.free]
    if not free or found.build.stock == "both":
        return ""
    return f"Drills are {found.build.stock} sizes; --stock both adds the others."


def _table(told: tuple[DesignProposal, ...], units: UnitSystem) -> list[str]:
    if not told:
        return []
    names = [name for name in _HEADS if any(name in p.sizes for p in told)]
    header = ("", *(_HEADS[name] for name in names), "inside", "breakout", "drag")
    rows = tuple(
        (
            str(i),
            *(_cell(p, name, units) for name in names),
            percent(p.inside),
            *(_result(p, name, units) for name in _CHIEF),
        )
        for i, p in enumerate(told, start=1)
    )
    words = f"Feed, relief and bend in {units.unit('mm')}; breakout and drag in {units.force}. {_INSIDE}"
    return ["Proposals, largest share inside first", *table_lines(header, rows), *wrap(words)]


_INSIDE = "Inside: of knives made so, with the usual shop errors, the share on target with no warning."


def _cell(p: DesignProposal, name: str, units: UnitSystem) -> str:
    """A size of a proposal: as bought, or the number that is set."""
    if name not in p.sizes:
        return "-"
    if name not in _SET:
        return p.sizes[name]
    return f"{p.metres[name] / _MM:.2f}" if units.length == "mm" else f"{p.metres[name] / _THOU:.1f}"


def size_words(p: DesignProposal, units: UnitSystem) -> str:
    """Every size of a proposal by the heads of the table: as bought, or as it is set."""
    names = [name for name in _HEADS if name in p.sizes]
    unit = f" {units.unit('mm')}"
    return ", ".join(f"{_HEADS[name]} {_cell(p, name, units)}{unit if name in _SET else ''}" for name in names)


def _result(p: DesignProposal, name: str, units: UnitSystem) -> str:
    value = p.results[name]
    return "-" if value is None else two_digits(float(value) * units.scale(RESULTS[name].unit))


def _shop_sizes(told: tuple[DesignProposal, ...], units: UnitSystem) -> list[str]:
    """What each shop name is in mm or in inches, smallest first."""
    sizes = {p.sizes[n]: p.metres[n] for p in told for n in p.sizes if n not in _SET and math.isfinite(p.metres[n])}
    ordered = sorted(sizes.items(), key=lambda item: item[1])
    metric = units.length == "mm"
    rows = tuple((name, f"{si / _MM:.6g}" if metric else f"{si / _INCH:.4f}") for name, si in ordered)
    return titled("What the sizes are", table_lines(("bought as", units.length), rows))


def _allowed(found: Designs) -> list[str]:
    """The shop errors with which the knives are made."""
    if not found.proposals:
        return []
    units = found.build.units
    said = "; ".join(f"{doubt.name} {_span(doubt.name, doubt.low, doubt.high, units)}" for doubt in found.errors)
    return ["Shop errors allowed for", *wrap(said + ".")]


def _span(name: str, low: float, high: float, units: UnitSystem) -> str:
    """An error below and above a value, in words."""
    kind = INPUTS[name].size_kind
    down, up = (text_in(units, float(f"{end:.3g}"), kind) for end in (low, high))
    return f"+-{up}" if abs(low + high) <= 1e-6 * (high - low) else f"{down.split()[0]} to +{up}"


def _notes(told: tuple[DesignProposal, ...]) -> list[str]:
    """Warnings with exceeded limits, then flags that only describe; each once, with the numbers of the proposals."""
    wrong: dict[str, list[str]] = {}
    traits: dict[str, list[str]] = {}
    for i, p in enumerate(told, start=1):
        for flag in p.flags:
            (wrong if flag in UNSOUND else traits).setdefault(f"{FLAGS[flag]} [{flag}]", []).append(str(i))
        for limit in p.bounds.passed:
            words = f"Limit exceeded: {limit.full_name}. See the limits of this build once changed."
            wrong.setdefault(words, []).append(str(i))
        for check in p.summary.bad:
            if check.name in ("stays shut", "layout"):
                wrong.setdefault(check.words, []).append(str(i))
    return [*_by_proposal("Warnings, by proposal", wrong), *_by_proposal("Worth knowing, by proposal", traits)]


def _by_proposal(title: str, noted: dict[str, list[str]]) -> list[str]:
    return titled(title, wrap_all(f"{', '.join(places)}: {words}" for words, places in noted.items()))


def _best(found: Designs) -> list[str]:
    best = found.best
    if best is None:
        return []
    lines = [f"  {line}" for line in _file_lines(best, found.build)] or wrap("Nothing: the build is as proposed.")
    met = ", ".join(_brings(best, aim, found.build.units) for aim in found.aims)
    reason = f"It gives {met}. Of knives made so, with the usual shop errors, {percent(best.inside)} are inside."
    return ["For proposal 1, put into the build file", *lines, *wrap(reason)]


def _file_lines(p: DesignProposal, build: Build) -> Iterator[str]:
    for name, value in p.changes.items():
        if value is None:
            if build[name] is not None:
                yield f"{name}: take it out"
        elif name in _SET and build.units.length != "mm":
            yield f'{name} = "{p.metres[name] / _THOU:.2f} thou"'
        else:
            yield f'{name} = "{value}"' if isinstance(value, str) else f"{name} = {value:.6g}"


def _brings(p: DesignProposal, aim: Aim, units: UnitSystem) -> str:
    value, name = p.results[aim.name], label(aim.name)
    if value is None:
        return f"no {name}"
    if isinstance(value, bool):
        return f"{name}: {'yes' if value else 'no'}"
    return f"{name} {units.two_digits(value, RESULTS[aim.name].unit)}"
