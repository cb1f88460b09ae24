"""Advice as text for the bench and as a JSON document."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from detentsim.analysis.advise.thresholds import NO_HELP
from detentsim.knife.outcomes import FLAGS, RESULTS
from detentsim.show.feel_curve.report import CAUTION
from detentsim.show.theme.rows import aim_row, build_rows
from detentsim.show.theme.tables import wrap

if TYPE_CHECKING:
    from collections.abc import Sequence

    from detentsim.analysis.advise.proposals import Advice, Proposal
    from detentsim.analysis.advise.symptoms.case import Symptom

# Proposals told in full; what else reaches is named.
TOLD = 5


def advise_report(advice: Advice, symptoms: Sequence[Symptom] = (), asked: Symptom | None = None) -> str:
    """Text of the advice.

    Parameters
    ----------
    advice : Advice
    symptoms : sequence of Symptom
        All of the build's, of which those present are told.
    asked : Symptom, optional
        The one that the advice is for.

    Returns
    -------
    str
        Lines up to 96 characters.
    """
    parts = [
        [advice.build.name],
        _asked(asked) + _left_aside(advice, asked),
        ["Wanted", *(line for aim in advice.aims for line in wrap(aim.words))],
        _verdict(advice),
        _proposals(advice),
        _others(advice),
        _present(symptoms, asked),
        ["Mind", *wrap("Change one thing, try it, and only then the next. " + CAUTION)],
    ]
    return "\n\n".join("\n".join(part) for part in parts if part) + "\n"


def _asked(asked: Symptom | None) -> list[str]:
    if asked is None:
        return []
    state = "yes" if asked.present else "not by these numbers"
    return ["Symptom", *wrap(f"{asked.name}: {state}; {asked.words}.")]


def _left_aside(advice: Advice, asked: Symptom | None) -> list[str]:
    """Says so where the build's own target could not be kept."""
    wanted = {aim.name for aim in advice.aims}
    left = [target.name.replace("_", " ") for target in advice.build.target if target.name not in wanted]
    if asked is None or not left:
        return []
    return wrap(f"Nothing that keeps the build's own target as well gets there; left aside: {', '.join(left)}.")


def _verdict(advice: Advice) -> list[str]:
    if advice.right and advice.past:
        past = " and ".join(advice.past)
        return wrap(f"Leave its feel alone: it meets what is wanted. But it is past a limit: {past}; see limits.", "")
    if advice.right:
        return wrap("Leave it alone: this build is right as it is.", "")
    if advice.best is not None:
        return []
    lines = wrap("No single move, nor any two together, reach this within what holds.", "")
    for one, other in advice.against:
        pair = f"{one} and {other}".replace("_", " ").capitalize()
        lines += wrap(f"{pair} can each be reached, but pull against each other here.", "")
    return lines


def _proposals(advice: Advice) -> list[str]:
    lines: list[str] = []
    for number, proposal in enumerate(advice.proposals[:TOLD], start=1):
        lines += _proposal(number, proposal)
    left = advice.proposals[TOLD:]
    if left:
        lines += wrap("Also: " + "; ".join(joined(p) for p in left) + ".")
    return ["What to change, the best first", *lines] if lines else []


def joined(p: Proposal) -> str:
    """What a proposal asks for, in one sentence without its stop.

    Parameters
    ----------
    p : Proposal
    """
    return " and ".join((p.words[0], *(words[0].lower() + words[1:] for words in p.words[1:])))


def _proposal(number: int, p: Proposal) -> list[str]:
    needs = f" ({'; '.join(p.needs)})" if p.needs else ""
    lines = wrap(f"{joined(p)}{needs}.", f"  {number}. ", "     ")
    lines += wrap(p.reason, "     ")
    for flag in p.flags:
        lines += wrap(f"It raises: {FLAGS[flag]} [{flag}]", "     ")
    return lines


def _others(advice: Advice) -> list[str]:
    told = [p for p in advice.others if p.reason != NO_HELP]
    lines = [line for p in told for line in wrap(f"{p.names[0]}: {p.reason}")]
    useless = ", ".join(p.names[0] for p in advice.others if p.reason == NO_HELP)
    if useless:
        lines += wrap(f"No help with this: {useless}.")
    return ["What does not get there", *lines] if lines else []


def _present(symptoms: Sequence[Symptom], asked: Symptom | None) -> list[str]:
    found = [s for s in symptoms if s.present and (asked is None or s.name != asked.name)]
    return (
        ["Symptoms this build shows", *(line for s in found for line in wrap(f"{s.name}: {s.words}."))] if found else []
    )


def symptom_report(name: str, asked: Symptom) -> str:
    """Text of one symptom that no result tells how to be rid of.

    Parameters
    ----------
    name : str
        What the build is called.
    asked : Symptom
    """
    return "\n\n".join("\n".join(part) for part in ([name], _asked(asked))) + "\n"


def symptom_document(s: Symptom) -> dict[str, Any]:
    """One symptom, ready for JSON.

    Parameters
    ----------
    s : Symptom
    """
    return {"name": s.name, "present": s.present, "words": s.words, "aims": [aim_row(aim) for aim in s.aims]}


def advise_document(advice: Advice, symptoms: Sequence[Symptom] = (), asked: Symptom | None = None) -> dict[str, Any]:
    """Everything the advice knows, ready for JSON.

    Parameters
    ----------
    advice : Advice
    symptoms : sequence of Symptom
        All of the build's.
    asked : Symptom, optional
        The one that the advice is for.

    Returns
    -------
    dict
        Keys ``build demo right wanted own proposals others against symptoms symptom``.
    """
    return {
        "build": build_rows(advice.build),
        "demo": advice.build.demo,
        "right": advice.right,
        "wanted": [aim_row(aim) for aim in advice.aims],
        "own": {name: _number(name, value) for name, value in advice.own.items()},
        "proposals": [_document(p) for p in advice.proposals],
        "others": [_document(p) for p in advice.others],
        "against": [list(pair) for pair in advice.against],
        "symptoms": [symptom_document(s) for s in symptoms],
        "symptom": None if asked is None else symptom_document(asked),
    }


def _number(name: str, value: float | bool | None) -> Any:
    if isinstance(value, bool) or RESULTS[name].is_truth:
        return None if value is None else bool(value)
    known = value is not None and np.isfinite(value)
    return {"value": value if known else None, "unit": RESULTS[name].unit}


def _document(p: Proposal) -> dict[str, Any]:
    return {
        "moves": list(p.names),
        "do": list(p.words),
        "reason": p.reason,
        "reaches": p.reaches,
        "undo": p.undo,
        "needs": list(p.needs),
        "side_effects_hand_steps": p.side_effects,
        "room_over_careful_miss": p.room,
        "flags": list(p.flags),
        "limits_passed": list(p.passed),
        "results": {name: _number(name, value) for name, value in p.results.items()},
        "changes": p.changes,
    }
