"""Words of the explorer: headline results with their change since the start, warnings, and the knobs turned.

The window draws them, a notebook shows them as a table, and the command prints them as report and document.
"""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, Any, NamedTuple

from detentsim.analysis.explore.felt import FELT_BY_HAND, felt_apart, felt_change
from detentsim.analysis.missing import why_missing
from detentsim.analysis.one_build.checks import check_stays_shut, times_held
from detentsim.knife.outcomes import FATAL, FLAGS, RESULTS, UNSOUND
from detentsim.knife.record.drawing import FEW
from detentsim.mechanics.names import NO_PUSH
from detentsim.show.explorer.tips import ROWS, SHARE, WHOLE
from detentsim.show.theme.rows import (
    HAND_STEP,
    build_rows,
    distance_row,
    result_row,
    steps_words,
    summary_lines,
    summary_row,
)
from detentsim.show.theme.tables import table

if TYPE_CHECKING:
    from detentsim.analysis.explore.look import Look
    from detentsim.analysis.explore.session import Session

# Results of the moving blade, which nobody knows without its mass.
_MOVING = ("opens_fully", "falls_shut", "carry_g")

UNDO, TO_START = "Undo", "Back to start"
"""Words of the buttons that both have."""

RESTS = 0.25
"""Time without a turn after which a knob rests [s]."""

WAITS = "..."

UNCHANGED = "-"

NO_WARNINGS = "No warnings; limits are not checked here."
"""Where nothing is wrong that is computed at a turn."""


class Headline(NamedTuple):
    """One result in words: its name, its value now, and its change since the start."""

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
        After them the share of a batch inside the target, and the whole curve's distance from the start.
    """
    rows = [Headline(words, _now(name, look), _change(name, look, start)) for name, words in ROWS.items()]
    return (*rows, _share(look, start), _whole(look, start))


def _whole(look: Look, start: Look) -> Headline:
    """How far the whole opening is from the start, and whether a hand feels that."""
    if look is start:
        return Headline(WHOLE, "", UNCHANGED)
    apart = felt_apart(look, start)
    return Headline(WHOLE, apart.felt, "none to compare" if apart.steps is None else steps_words(apart.steps))


def _share(look: Look, start: Look) -> Headline:
    """Share of a batch inside the target; from few knives, and given as "about", while a knob turns."""
    share, was = look.share, start.share
    if look.build is None or not look.build.target:
        return Headline(SHARE, "none" if look.build is None else "no target", UNCHANGED)
    if share is None:
        return Headline(SHARE, "none" if look.share_of else WAITS, UNCHANGED)
    known = was is not None and start.share_of == FEW and look is not start
    change = _signed(100 * (share - (was or 0.0)), 0, " in 100") if known else UNCHANGED
    return Headline(SHARE, f"{'' if look.share_of == FEW else 'about '}{100 * share:.0f} %", change)


def _now(name: str, look: Look) -> str:
    value = look.results.get(name)
    if name not in look.results and look.build is not None:
        return WAITS
    if value is None:
        return "unknown" if name in _MOVING and look.results.get("breakout_force") is not None else "none"
    if RESULTS[name].is_truth:
        return "yes" if value > 0 else "no"
    if name == "carry_g":
        return f"{times_held(value)} weights"
    build = look.build
    if build is None:
        return "none"
    return build.units.two_digits(value, RESULTS[name].unit).replace(" deg", "°").replace("*", "·")


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
        if steps is None:
            return f"was {_now(name, start)}"
        return UNCHANGED if round(abs(steps), 1) == 0 else steps_words(steps, "+")
    if RESULTS[name].unit == "deg":
        return _signed(now - own, 1, "°")
    return _signed(100 * (now - own) / abs(own), 0, " %") if own else f"was {_now(name, start)}"


def _signed(value: float, digits: int, unit: str) -> str:
    return UNCHANGED if round(abs(value), digits) == 0 else f"{value:+.{digits}f}{unit}"


def sentences(look: Look) -> tuple[str, ...]:
    """Sentences on a setting: what is wrong, the worst first, then the target, then what describes it.

    Parameters
    ----------
    look : Look

    Returns
    -------
    tuple of str
        Never empty. Limits are not computed at a turn; a sentence says so.
    """
    if look.build is None:
        return (f"No such knife. {look.unfit}.",)
    warnings = [FLAGS[flag] for flag in sorted(look.flags, key=lambda flag: flag not in FATAL) if flag in UNSOUND]
    wrong = [*warnings, *_unflagged(look), *_held_shut(look, "bad")]
    missed = [v.text for v in look.verdicts if v.met is False]
    rest = [v.text for v in look.verdicts if v.met is not False]
    target = [f"Target: {'; '.join([*missed, *rest])}."] if look.verdicts else []
    calm = [] if wrong or missed else [NO_WARNINGS]
    return (*wrong, *calm, *target, *_held_shut(look, "mind"), *_described(look))


def _unflagged(look: Look) -> list[str]:
    """Sentences on what is wrong and has no flag."""
    lines = []
    gone = look.results.get("breakout_force") is None
    if gone and not set(NO_PUSH) & set(look.flags):
        lines.append(f"No breakout: {why_missing('breakout_force', look.flags)}.")
    return lines


def _held_shut(look: Look, state: str) -> list[str]:
    """The sentence on staying shut, where it is in this state."""
    told = {"floats", "misses_dimple"} & set(look.flags)  # a warning says it
    if look.build is None or look.response is None or told:
        return []
    check = check_stays_shut(look.response, look.build.units)
    return [check.words] if check.state == state else []


def _described(look: Look) -> list[str]:
    """What is neither wrong nor wanted: traits, an input that does nothing, inputs left out."""
    traits = [FLAGS[flag] for flag in look.flags if flag not in UNSOUND]
    idle = ["There is no second drill, so its feed does nothing."] if look.idle else []
    dropped = [f"Left out here and when saved: {', '.join(look.dropped)}."] if look.dropped else []
    return [*traits, *idle, *dropped]


def explore_report(turns: Session, where_from: str = "", saved: str = "") -> str:
    """Report on the setting at which the window was closed.

    Parameters
    ----------
    turns : Session
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
    beside = sentences(look)  # what the verdict does not say
    if turns.summary is not None:
        lines += summary_lines(turns.summary)
        beside = (*_unflagged(look), *_described(look))
    text = "\n".join(lines) + "\n\n"
    if rows:
        text += table(("knob", "input", "from", "to"), rows) + "\n"
    text += table(("result", "now", "since the start"), headlines(look, start)) + "\n"
    apart = felt_apart(look, start)
    none = [f"No distance to the start: {apart.why}."] if apart.why and look is not start else []
    text += "\n".join([*beside, *none, HAND_STEP]) + "\n"
    return text + (f"Saved as {saved}.\n" if saved else "")


def explore_document(turns: Session, saved: str = "") -> dict[str, Any]:
    """JSON document on the setting at which the window was closed.

    Parameters
    ----------
    turns : Session
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
        "verdict": None if turns.summary is None else summary_row(turns.summary),
        "turned": turned,
        "unfit": look.unfit or None,
        "dropped": list(look.dropped),
        "results": {name: _result(name, look) for name in ROWS} if look.build is not None else {},
        "share_inside": look.share,
        "flags": list(look.flags),
        "distance": distance_row(felt_apart(look, turns.start)),
        **{f"{name.rpartition('_')[0]}_steps": felt_change(name, look, turns.start) for name in FELT_BY_HAND},
        "saved": saved or None,
    }


def _result(name: str, look: Look) -> Any:
    value = look.results.get(name)
    told = value if value is None or not RESULTS[name].is_truth else value > 0
    return result_row(name, told, partial(why_missing, flags=look.flags))
