"""Answers that cost seconds, kept for the process: the same question, whoever asks it, is computed once.

For tests of what commands make of an answer. A test of the computing itself, or of its bytes, asks afresh.
"""

from functools import wraps
from importlib import import_module

from detentsim.analysis.in_hand.advise.aims import Aim
from detentsim.analysis.one_build.layout.layout import Layout
from detentsim.knife.measured.readings import Readings
from detentsim.knife.model import Build

HOMES = {
    "advise": ["detentsim.analysis.in_hand.advise.advise"],
    "rid_of": ["detentsim.analysis.in_hand.advise.advise"],
    "symptoms": ["detentsim.analysis.in_hand.advise.symptoms.symptoms"],
    "fit": ["detentsim.analysis.in_hand.fit.fit"],
    "sheet": ["detentsim.analysis.in_hand.sheet.sheet"],
    "batch": ["detentsim.analysis.many_builds.batch.batch"],
    "findings": ["detentsim.analysis.many_builds.batch.findings"],
    "read_places": ["detentsim.analysis.one_build.layout.places"],
    "read_turns": ["detentsim.analysis.one_build.layout.places"],
}

KNOWN = {}
GIVEN = {}  # every answer by its id, kept so that no other object takes it


class Unlike(Exception):
    """A question that cannot be told from others."""


def told(part):
    """What tells a part of a question from every other."""
    if isinstance(part, Build):
        return "build", part.text, repr(part.target), part.demo, repr(part.units)
    if id(part) in GIVEN:
        return "answer", id(part)
    if part is None or isinstance(part, (str, bool, int, float)):
        return type(part).__name__, part
    if isinstance(part, (tuple, list)) and not hasattr(part, "_fields"):
        return tuple(told(one) for one in part)
    if isinstance(part, dict):
        return tuple((name, told(one)) for name, one in part.items())
    if isinstance(part, Layout):
        return "layout", told(part.build)
    if isinstance(part, Aim):
        return "aim", repr(part)
    if isinstance(part, Readings) and part.curve is None:
        return "readings", repr(part.taken), repr(part.saw)
    raise Unlike


def once(name, ask, how):
    """A question that is computed once for each way of computing it."""

    @wraps(ask)
    def known(*parts, **named):
        try:
            key = name, how, told(parts), told(named)
        except Unlike:
            return ask(*parts, **named)
        if key not in KNOWN:
            KNOWN[key] = answer = ask(*parts, **named)
            GIVEN[id(answer)] = answer
        return KNOWN[key]

    return known


def remember(monkeypatch, how=()):
    """Ask each question once while the patch holds; `how` names other patches that change the answers."""
    for name, homes in HOMES.items():
        for home in map(import_module, homes):
            monkeypatch.setattr(home, name, once(name, getattr(home, name), how))
