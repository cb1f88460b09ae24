"""Advice as text for the bench and as a JSON document."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from detentsim.analysis.in_hand.advise.thresholds import NO_HELP
from detentsim.knife.outcomes import FLAGS, RESULTS
from detentsim.show.in_hand.advise.verdict import standing, verdict
from detentsim.show.theme.cautions import BENCH
from detentsim.show.theme.rows import aim_row, build_rows
from detentsim.show.theme.tables import wrap

if TYPE_CHECKING:
    from collections.abc import Sequence

    from detentsim.analysis.in_hand.advise.proposals import Advice, Proposal
    from detentsim.analysis.in_hand.advise.symptoms.case import Symptom

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
        _standing(advice),
        _asked(asked) + _left_aside(advice, asked),
        ["Wanted", *(line for aim in advice.aims for line in wrap(aim.words))],
        _verdict(advice),
        _proposals(advice),
        _others(advice),
        _present(symptoms, asked),
        ["Mind", *wrap("Change one thing, try it, and only then the next. " + BENCH)],
    ]
    return "\n\n".join("\n".join(part) for part in parts if part) + "\n"


def _asked(asked: Symptom | None) -> list[str]:
    if asked is None:
        return []
    state = "yes" if asked.present else "no" if asked.known else "this build does not tell"
    return ["Symptom", *wrap(f"{asked.name}: {state}; {asked.words}.")]


def _left_aside(advice: Advice, asked: Symptom | None) -> list[str]:
    """Says so where the build's own target could not be kept."""
    wanted = {aim.name for aim in advice.aims}
    left = [target.name.replace("_", " ") for target in advice.build.target if target.name not in wanted]
    if asked is None or not left:
        return []
    return wrap(f"Nothing that keeps the build's own target as well gets there; left aside: {', '.join(left)}.")


def _standing(advice: Advice) -> list[str]:
    lines = [line for text in standing(advice) for line in wrap(text)]
    return ["Wrong as it stands", *lines] if lines else []


def _verdict(advice: Advice) -> list[str]:
    return [line for text in verdict(advice) for line in wrap(text, "")]


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
    """What fails to get there: the names in one line, the nearest with its reason in another."""
    if not advice.others:
        return []
    near = [p for p in advice.others if p.reason != NO_HELP][:1]
    names = ", ".join(dict.fromkeys(name for p in advice.others for name in p.names))
    lines = wrap(f"Does not get there: {names}.", "") if advice.proposals else []
    return lines + [line for p in near for line in wrap(f"Nearest, {p.names[0]}: {p.reason}", "")]


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
    return {
        "name": s.name,
        "present": s.present,
        "known": s.known,
        "words": s.words,
        "aims": [aim_row(aim) for aim in s.aims],
    }


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
        Keys ``build demo verdict right flags limits_passed wanted own proposals others against symptoms symptom``.
    """
    return {
        "build": build_rows(advice.build),
        "demo": advice.build.demo,
        "verdict": " ".join((*standing(advice), *verdict(advice))),
        "right": advice.right,
        "flags": list(advice.flags),
        "limits_passed": list(advice.past),
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
