"""What the explorer says: headline results with their change since the start, what is wrong, what was turned.

The window draws these words and a notebook shows them as a table; both take them from here.
"""

from __future__ import annotations

from functools import partial
from html import escape
from typing import TYPE_CHECKING, Any, NamedTuple

from detentsim.analysis.explore.felt import FELT_BY_HAND, felt_apart, felt_change
from detentsim.analysis.results import why_missing
from detentsim.knife.outcomes import FLAGS, RESULTS
from detentsim.show.theme.rows import build_rows, result_row
from detentsim.show.theme.tables import table
from detentsim.units.numbers import two

if TYPE_CHECKING:
    from detentsim.analysis.explore.look import Look
    from detentsim.analysis.explore.session import Session

_HEADLINES = {
    "breakout_force": "breakout",
    "drag_force": "drag at mid-swing",
    "draw_torque": "draw onto the stop",
    "let_go_angle": "lets go at",
    "contact_angle": "contact",
    "seat_depth": "seat below the flat",
    "opens_fully": "flies open",
    "falls_shut": "falls shut",
    "carry_g": "stays shut to",
}

# Results of the moving blade, which nobody knows without its mass.
_MOVING = ("opens_fully", "falls_shut", "carry_g")

UNDO, TO_START = "Undo", "Back to start"
"""Words of the buttons that both have."""

RESTS = 0.25
"""Time without a turn after which a knob rests [s]."""

WAITS = "..."

UNCHANGED = "-"


class Headline(NamedTuple):
    """One result in words: what it is, what it is now, and how it has changed since the start."""

    name: str
    now: str
    change: str


def headlines(look: Look, start: Look) -> tuple[Headline, ...]:
    """Headline results with their change: forces in hand-steps (a tenth each), angles in degrees, the rest in percent.

    Parameters
    ----------
    look, start : Look

    Returns
    -------
    tuple of Headline
        The whole curve's distance from the start last.
    """
    rows = [Headline(words, _now(name, look), _change(name, look, start)) for name, words in _HEADLINES.items()]
    apart = 0.0 if look is start else felt_apart(look, start)
    whole = "none to compare" if apart is None else UNCHANGED if apart < 0.05 else f"{apart:.1f} hand-steps"
    return (*rows, Headline("whole way out", "", whole))


def _now(name: str, look: Look) -> str:
    value = look.results.get(name)
    if name not in look.results and look.build is not None:
        return WAITS
    if value is None:
        return "unknown" if name in _MOVING and look.results.get("breakout_force") is not None else "none"
    if RESULTS[name].is_truth:
        return "yes" if value > 0 else "no"
    if name == "carry_g":
        return f"{two(value)} weights"
    return f"{two(value)} {RESULTS[name].unit}".replace(" deg", "°").replace("*", "·")


def _change(name: str, look: Look, start: Look) -> str:
    own, now = start.results.get(name), look.results.get(name)
    if look is start or (name not in look.results and look.build is not None):
        return UNCHANGED
    if own is None or now is None:
        return UNCHANGED if own is now else f"was {_now(name, start)}"
    if RESULTS[name].is_truth:
        return UNCHANGED if own == now else f"was {_now(name, start)}"
    if name in FELT_BY_HAND:
        steps = felt_change(name, look, start)
        return f"was {_now(name, start)}" if steps is None else _signed(steps, 1, " hand-steps")
    if RESULTS[name].unit == "deg":
        return _signed(now - own, 1, "°")
    return _signed(100 * (now - own) / abs(own), 0, " %") if own else f"was {_now(name, start)}"


def _signed(value: float, digits: int, unit: str) -> str:
    return UNCHANGED if round(abs(value), digits) == 0 else f"{value:+.{digits}f}{unit}"


def sentences(look: Look) -> tuple[str, ...]:
    """What is wrong first, then how it stands against the target.

    Parameters
    ----------
    look : Look

    Returns
    -------
    tuple of str
        Never empty.
    """
    if look.build is None:
        return (f"No such knife. {look.unfit}.",)
    flags = [FLAGS[flag] for flag in look.flags]
    gone = look.results.get("breakout_force") is None and not {"floats", "locks_solid", "never_lets_go"} & set(
        look.flags
    )
    flags += [f"No breakout: {why_missing('breakout_force', look.flags)}."] if gone else []
    loose = (look.results.get("draw_torque") or 0.0) < 0 and "stands_proud" not in look.flags
    flags += ["Nothing draws the blade shut: it must be pressed onto its stop."] if loose else []
    flags += ["There is no second drill, so its feed does nothing."] if look.idle else []
    judged = "; ".join(v.text.replace(v.name, v.name.replace("_", " ")) for v in look.verdicts)
    dropped = f"Left out here and when saved: {', '.join(look.dropped)}."
    told = [dropped] if look.dropped else []
    return (*(flags or ["No warnings."]), *([f"Target: {judged}."] if judged else []), *told)


def explore_html(look: Look, start: Look) -> str:
    """The words as a small table for a notebook.

    Parameters
    ----------
    look, start : Look

    Returns
    -------
    str
        HTML without script or colour of its own.
    """
    cell = '<td style="text-align:left;padding:0 1em 0 0">'
    rows = "".join(f"<tr>{''.join(f'{cell}{escape(c)}</td>' for c in row)}</tr>" for row in headlines(look, start))
    head = f"<tr>{cell}</td>{cell}<b>now</b></td>{cell}<b>since the start</b></td></tr>"
    notes = "".join(f"<div>{escape(words)}</div>" for words in sentences(look))
    return (
        f'<table style="line-height:1.25">{head}{rows}</table><div style="line-height:1.3;margin-top:4px">{notes}</div>'
    )


def explore_report(turns: Session, where_from: str = "", saved: str = "") -> str:
    """What stood when the window was closed, as text.

    Parameters
    ----------
    turns : Turns
        Settled.
    where_from : str
        First line, where the build is the demo.
    saved : str
        File that was saved last.

    Returns
    -------
    str
    """
    look, start = turns.now, turns.start
    lines = [where_from] if where_from else []
    rows = tuple((turns.knob(name).label, name, was, now) for name, (was, now) in turns.turned.items())
    lines.append(f"{turns.first.name}: " + ("turned as below." if rows else "every knob is where it started."))
    text = "\n".join(lines) + "\n\n"
    if rows:
        text += table(("knob", "input", "from", "to"), rows) + "\n"
    text += table(("result", "now", "since the start"), headlines(look, start)) + "\n"
    text += "\n".join(sentences(look)) + "\n"
    return text + (f"Saved as {saved}.\n" if saved else "")


def explore_document(turns: Session, saved: str = "") -> dict[str, Any]:
    """The same for JSON.

    Parameters
    ----------
    turns : Turns
        Settled.
    saved : str
        File that was saved last.

    Returns
    -------
    dict
    """
    look = turns.now
    turned = {name: {"from": was, "to": now} for name, (was, now) in turns.turned.items()}
    return {
        "build": build_rows(look.build or turns.first),
        "demo": turns.first.demo,
        "turned": turned,
        "unfit": look.unfit or None,
        "dropped": list(look.dropped),
        "results": {name: _result(name, look) for name in _HEADLINES} if look.build is not None else {},
        "flags": list(look.flags),
        "saved": saved or None,
    }


def _result(name: str, look: Look) -> Any:
    value = look.results.get(name)
    told = value if value is None or not RESULTS[name].is_truth else value > 0
    return result_row(name, told, partial(why_missing, flags=look.flags))
