"""Advice as a JSON document."""

from __future__ import annotations

from dataclasses import asdict
from typing import TYPE_CHECKING, Any

import numpy as np

from detentsim.analysis.missing import why_missing
from detentsim.knife.outcomes import RESULTS
from detentsim.show.in_hand.advise.verdict import verdict
from detentsim.show.theme.rows import aim_row, build_rows, summary_row

if TYPE_CHECKING:
    from collections.abc import Sequence

    from detentsim.analysis.in_hand.advise.proposals import Advice
    from detentsim.analysis.in_hand.advise.symptoms.case import Symptom
    from detentsim.analysis.in_hand.advise.symptoms.evidence import Evidence
    from detentsim.analysis.in_hand.advise.trials.proposal import Proposal
    from detentsim.analysis.in_hand.advise.trials.reach import OutOfReach
    from detentsim.analysis.in_hand.fit.fitted import Fit


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
        Keys ``build demo verdict advice met share_inside share_inside_after right flags limits_passed wanted own
        proposals others against out_of_reach symptoms symptom``; ``verdict`` is that on the build as it stands.
    """
    return {
        "build": build_rows(advice.build),
        "demo": advice.build.demo,
        "verdict": summary_row(advice.summary),
        "advice": " ".join(verdict(advice)),
        "met": advice.met,
        "share_inside": advice.inside,
        "share_inside_after": list(advice.inside_after),
        "right": advice.right,
        "flags": list(advice.flags),
        "limits_passed": list(advice.past),
        "wanted": [aim_row(aim) for aim in advice.aims],
        "own": {name: _number(name, value, advice.flags) for name, value in advice.own.items()},
        "proposals": [_document(p) for p in advice.proposals],
        "others": [_document(p) for p in advice.others],
        "against": [list(pair) for pair in advice.against],
        "out_of_reach": [_missed(one) for one in advice.missed],
        "symptoms": [symptom_document(s) for s in symptoms],
        "symptom": None if asked is None else symptom_document(asked),
    }


def knife_document(advice: Advice, fit: Fit, seen: Evidence | None = None) -> dict[str, Any]:
    """Everything that the advice for one knife knows, ready for JSON.

    Parameters
    ----------
    advice : Advice
        On `fit`.
    fit : Fit
    seen : Evidence, optional
        The symptom that the advice is for.

    Returns
    -------
    dict
        Keys of `advise_document`, and ``now knife conflicts evidence``.
    """
    from detentsim.show.in_hand.advise.knife import evidence_words, verdict_words

    asked = None if seen is None else seen.symptom
    words = [] if seen is None else list(evidence_words(fit, seen))
    return advise_document(advice, (), asked) | {
        "advice": " ".join(verdict_words(advice, seen)),
        "share_inside": None,
        "share_inside_after": [],
        "now": None if advice.now is None else advice.now._asdict(),
        "knife": build_rows(advice.build)["given"],
        "conflicts": [one.words for one in fit.conflicts],
        "evidence": None if seen is None else {"words": words} | _evidence(seen),
    }


def _evidence(seen: Evidence) -> dict[str, Any]:
    held = seen.holding
    return {
        "usual": seen.usual,
        "likely": seen.likely,
        "explained": seen.explained,
        "common_si": [one._asdict() for one in seen.common],
        "confirm": None if seen.confirm is None else seen.confirm._asdict(),
        "holding_Nmm": None if held is None else asdict(held),
    }


def _number(name: str, value: float | bool | None, flags: tuple[str, ...] | None = None) -> Any:
    """A result, with the reason where it has no value and the flags are known."""
    if isinstance(value, bool) or RESULTS[name].is_truth:
        return None if value is None else bool(value)
    known = value is not None and np.isfinite(value)
    row = {"value": value if known else None, "unit": RESULTS[name].unit}
    return row if known or flags is None else row | {"why": why_missing(name, flags)}


def _missed(one: OutOfReach) -> dict[str, Any]:
    """An aim that nothing meets by itself, with what comes nearest."""
    best = one.nearest
    doing = [] if best is None else [move.words(value) for move, value in zip(best.moves, best.values, strict=True)]
    return {"name": one.aim.name, "nearest": doing, "gives": _number(one.aim.name, one.value)}


def _document(p: Proposal) -> dict[str, Any]:
    return {
        "moves": list(p.names),
        "do": list(p.words),
        "reason": p.reason,
        "reaches": p.reaches,
        "undo": p.undo,
        "needs": list(p.needs),
        "side_effects_tenths": p.side_effects,
        "room_over_careful_miss": p.room,
        "flags": list(p.flags),
        "limits_passed": list(p.passed),
        "verdict_after": None if p.after is None else summary_row(p.after),
        "results": {name: _number(name, value, tuple(p.flags)) for name, value in p.results.items()},
        "changes": p.changes,
        "lands": p.lands,
        "overshoots": p.overshoots,
        "warns": p.warns,
        "meets": p.chances.meets,
        "side": {name: list(ends) for name, ends in p.side.items()} if p.after is not None else {},
        **(_steps(p) if p.after is not None else {"steps": [], "plan": None}),
    }


def _steps(p: Proposal) -> dict[str, Any]:
    """Plan of a proposal in steps; ends of its rule that are open are None."""
    plan = p.plan
    if plan is None:
        return {"steps": [], "plan": None}
    known = {name: getattr(plan, name) for name in ("lands", "overshoots", "warns", "meets", "settings")}
    return {"steps": list(p.steps), "plan": known | {"reads": plan.watch.name}}
