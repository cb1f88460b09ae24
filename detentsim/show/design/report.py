"""Proposed designs as text for the bench, as a JSON document and as a CSV table."""

from __future__ import annotations

import csv
import io
import math
from typing import TYPE_CHECKING, Any

from detentsim.analysis.results import heading
from detentsim.knife.outcomes import FLAGS, RESULTS
from detentsim.knife.table.schema import INPUTS
from detentsim.knife.table.values import as_text
from detentsim.show.feel_curve.report import CAUTION
from detentsim.show.theme.rows import aim_row, build_rows
from detentsim.show.theme.tables import table, wrap
from detentsim.units.numbers import two

if TYPE_CHECKING:
    from collections.abc import Iterator

    from detentsim.analysis.advise.aims import Aim
    from detentsim.analysis.design.proposals import DesignProposal, Designs

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

_MM, _INCH = 1e-3, 0.0254


def design_report(found: Designs, where_from: str = "", most: int = TOLD) -> str:
    """Text of what was found.

    Parameters
    ----------
    found : Designs
    where_from : str
        A first line saying where the build comes from; left out when empty.
    most : int
        Proposals to tell.

    Returns
    -------
    str
        Lines up to 96 characters.
    """
    told = found.proposals[:most]
    parts = [
        [*([where_from] if where_from else []), found.build.name],
        ["Wanted", *(line for aim in found.aims for line in wrap(aim.words))],
        _held(found),
        _looked(found),
        _table(told),
        _shop_sizes(told),
        _notes(told),
        _allowed(found),
        _best(found),
        ["Mind", *wrap("Make the dimple and the bend in small steps and try in between. " + CAUTION)],
    ]
    return "\n\n".join("\n".join(part) for part in parts if part) + "\n"


def _held(found: Designs) -> list[str]:
    free = [called for name, called in _CALLED.items() if name in found.free]
    lines = wrap("Chosen: " + ", ".join(free) + ".") if free else []
    held = [name for name in found.fixed if found.build[name] is not None]
    if held:
        lines += wrap("Fixed: " + ", ".join(f"{_CALLED[n]} {found.build.word(n)}" for n in held) + ".")
    return ["Sizes", *lines, *wrap("All else is as the build has it.")]


def _looked(found: Designs) -> list[str]:
    lines = wrap(
        f"{found.combinations:,} combinations of sizes that are bought fit together; {found.designs:,} designs were "
        "solved.",
        "",
    )
    if found.stopped:
        lines += wrap("Stopped before the search was through: this is what was found by then.", "")
    if not found.proposals:
        lines += wrap(f"Nothing meets what is wanted. {found.words}", "")
    return lines


def _table(told: tuple[DesignProposal, ...]) -> list[str]:
    if not told:
        return []
    names = [name for name in _HEADS if any(name in p.sizes for p in told)]
    header = ("", *(_HEADS[name] for name in names), "room", "breakout", "drag")
    rows = tuple(
        (
            str(i),
            *(_cell(p, name) for name in names),
            f"{p.room:.0%}",
            *(_result(p, name) for name in _CHIEF),
        )
        for i, p in enumerate(told, start=1)
    )
    lines = [f"  {line}" for line in table(header, rows).splitlines()]
    units = "Feed, relief and bend in mm; breakout and drag in N. Room: share of shop errors that still leave it right."
    return ["Proposals, most room first", *lines, *wrap(units)]


def _cell(p: DesignProposal, name: str) -> str:
    if name not in p.sizes:
        return "-"
    return f"{p.metres[name] / _MM:.2f}" if name in _SET else p.sizes[name]


def _result(p: DesignProposal, name: str) -> str:
    value = p.results[name]
    return "-" if value is None else two(float(value))


def _shop_sizes(told: tuple[DesignProposal, ...]) -> list[str]:
    """What each shop name is in mm and in inch, smallest first."""
    sizes = {p.sizes[n]: p.metres[n] for p in told for n in p.sizes if n not in _SET and math.isfinite(p.metres[n])}
    ordered = sorted(sizes.items(), key=lambda item: item[1])
    rows = tuple((name, f"{si / _MM:.6g}", f"{si / _INCH:.4f}") for name, si in ordered)
    lines = [f"  {line}" for line in table(("bought as", "mm", "in"), rows).splitlines()]
    return ["Sizes in mm and inch", *lines] if sizes else []


def _allowed(found: Designs) -> list[str]:
    """The shop errors that the room is told over."""
    if not found.proposals:
        return []
    said = "; ".join(f"{name} {_span(name, *ends)}" for name, ends in found.errors.items())
    return ["Shop errors allowed for", *wrap(said + ".")]


def _span(name: str, low: float, high: float) -> str:
    """An error below and above a value, in words."""
    kind = _kind(name)
    if abs(low + high) <= 1e-6 * (high - low):
        return f"+-{as_text(float(f'{high:.3g}'), kind)}"
    down, up = as_text(float(f"{low:.3g}"), kind), as_text(float(f"{high:.3g}"), kind)
    return f"{down.split()[0]} to +{up}"


def _kind(name: str) -> str:
    kinds = INPUTS[name].kinds
    return "length" if "length" in kinds or "drill" in kinds else kinds[-1]


def _notes(told: tuple[DesignProposal, ...]) -> list[str]:
    """Flags and limits, each once, with the proposals that raise or pass them."""
    flagged: dict[str, list[str]] = {}
    for i, p in enumerate(told, start=1):
        for flag in p.flags:
            flagged.setdefault(f"{FLAGS[flag]} [{flag}]", []).append(str(i))
        for name in p.passed:
            flagged.setdefault(f"Past its limit: {name}. See the limits of this build once changed.", []).append(str(i))
    lines = [line for words, places in flagged.items() for line in wrap(f"{', '.join(places)}: {words}")]
    return ["Of these", *lines] if lines else []


def _best(found: Designs) -> list[str]:
    best = found.best
    if best is None:
        return []
    lines = [f"  {line}" for line in _file_lines(best)] or wrap("Nothing: the build is as proposed.")
    met = ", ".join(_brings(best, aim) for aim in found.aims)
    reason = f"It gives {met}, {best.margin:.1f} hand-steps inside, and {best.room:.0%} of shop errors leave it so."
    return ["For proposal 1, put into the build file", *lines, *wrap(reason)]


def _file_lines(p: DesignProposal) -> Iterator[str]:
    for name, value in p.changes.items():
        if value is None:
            yield f"{name}: take it out"
        else:
            yield f'{name} = "{value}"' if isinstance(value, str) else f"{name} = {value:.6g}"


def _brings(p: DesignProposal, aim: Aim) -> str:
    value, name = p.results[aim.name], aim.name.replace("_", " ")
    if value is None:
        return f"no {name}"
    if isinstance(value, bool):
        return f"{name}: {'yes' if value else 'no'}"
    return f"{name} {two(value)} {RESULTS[aim.name].unit}".rstrip()


def design_document(found: Designs) -> dict[str, Any]:
    """Everything that was found, ready for JSON.

    Parameters
    ----------
    found : Designs

    Returns
    -------
    dict
        Keys ``build demo wanted free fixed proposals words combinations designs dropped errors stopped``.
    """
    return {
        "build": build_rows(found.build),
        "demo": found.build.demo,
        "wanted": [aim_row(aim) for aim in found.aims],
        "free": list(found.free),
        "fixed": list(found.fixed),
        "proposals": [_document(p) for p in found.proposals],
        "words": found.words,
        "combinations": found.combinations,
        "designs": found.designs,
        "dropped": found.dropped,
        "errors": {n: [as_text(end, _kind(n)) for end in ends] for n, ends in found.errors.items()},
        "stopped": found.stopped,
    }


def _document(p: DesignProposal) -> dict[str, Any]:
    return {
        "sizes": {name: {"text": text, "mm": _mm(p.metres[name])} for name, text in p.sizes.items()},
        "changes": p.changes,
        "room": p.room,
        "margin_hand_steps": p.margin,
        "flags": list(p.flags),
        "results": {name: _number(name, value) for name, value in p.results.items()},
    }


def _mm(si: float) -> float | None:
    return float(f"{si / _MM:.12g}") if math.isfinite(si) else None


def _number(name: str, value: float | bool | None) -> Any:
    return value if RESULTS[name].is_truth else {"value": value, "unit": RESULTS[name].unit}


def design_csv(found: Designs) -> str:
    """Text of the proposals' table, a row each: sizes as bought, then room, margin and results with their units.

    Parameters
    ----------
    found : Designs
    """
    names = [name for name in INPUTS if any(name in p.sizes for p in found.proposals)]
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow([*names, *(f"{name}_mm" for name in names), "room", "margin_hand_steps", *map(_titled, RESULTS)])
    for p in found.proposals:
        sizes = [p.sizes.get(name, "") for name in names]
        lengths = [_plain(_mm(p.metres[name]) if name in p.metres else None) for name in names]
        writer.writerow([*sizes, *lengths, repr(p.room), repr(p.margin), *(_plain(p.results.get(n)) for n in RESULTS)])
    return out.getvalue()


def _titled(name: str) -> str:
    return heading(name, RESULTS[name].unit)


def _plain(value: float | bool | None) -> str:
    if value is None:
        return ""
    return str(value).lower() if isinstance(value, bool) else repr(value)
