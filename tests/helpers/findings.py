"""What random wrong inputs must never do, as lists of findings: texts, build files, builds typed in two units."""

import json
import math
import random
import warnings
from collections.abc import Callable
from itertools import chain

import numpy as np

import detentsim as ds
from detentsim.analysis.results import raised
from detentsim.knife.record.fields import assemble
from detentsim.knife.record.record import plain
from detentsim.mechanics.names import NO_PUSH
from detentsim.mechanics.response import respond
from detentsim.show.one_build.feel_curve.data_files import curve_document
from detentsim.units.convert import to_si
from detentsim.units.errors import InputError
from detentsim.units.kinds import KINDS
from helpers.garden import GARDEN_TEXT
from helpers.mutations import random_changes, random_file, random_text

Draw = Callable[[random.Random], tuple[dict[str, object], dict[str, object]]]

LONGEST = 700
"""Longest sentence of a refusal [characters]."""


def text_findings(count: int, seed: int) -> list[str]:
    """Texts that are neither a finite number nor refused in one line that names the field."""
    rng, kinds = random.Random(seed), list(KINDS)
    wrong = []
    for _ in range(count):
        text, kind = random_text(rng), rng.choice(kinds)
        try:
            value = to_si(text, kind, "some.field")
        except InputError as error:
            wrong += [f"{text!r} as {kind}: {why}" for why in _unclear(str(error), "some.field")]
        except Exception as error:
            wrong.append(f"{text!r} as {kind}: {error!r}")
        else:
            wrong += [] if math.isfinite(value) else [f"{text!r} as {kind}: gives {value}"]
    return wrong


def file_findings(count: int, seed: int, curves: int = 0) -> list[str]:
    """Build files that neither give a build nor are refused in clear lines; the first `curves` builds are solved."""
    rng = random.Random(seed)
    wrong = []
    for _ in range(count):
        text = random_file(rng)
        try:
            build = ds.Build.loads(text)
        except InputError as error:
            wrong += [f"{why}: {text!r}" for line in str(error).splitlines() for why in _unclear(line, "")]
            continue
        except Exception as error:
            wrong.append(f"{error!r}: {text!r}")
            continue
        if build.text != text:
            wrong.append(f"text not kept: {text!r}")
        if curves:
            curves -= 1
            wrong += [f"{why}: {text!r}" for why in _solved(build)]
    return wrong


def build_findings(count: int, seed: int, draw: Draw = random_changes) -> list[str]:
    """Builds whose results break what must hold, or differ between millimetres and inches."""
    rng, garden = random.Random(seed), ds.Build.loads(GARDEN_TEXT)
    wrong = []
    while count:
        metric, inch = draw(rng)
        try:
            first = garden.change(metric)
        except InputError as error:
            wrong += _refused_alike(garden, metric, inch, str(error))
            continue
        count -= 1
        try:
            second = garden.change(inch)
        except InputError as error:
            wrong.append(f"{inch}: refused in inches alone: {error}")
            continue
        with warnings.catch_warnings():
            warnings.simplefilter("error")
            wrong += [f"{metric}: {why}" for why in chain(_solved(first), _differences(first, second))]
    return wrong


def _unclear(line: str, name: str) -> list[str]:
    """Why a sentence of a refusal is not clear enough."""
    hidden = [mark for mark in line if not (mark.isprintable() or mark == "\u00a0")]
    why = [f"hidden characters {hidden!r} in {line!r}"] if hidden else []
    why += [f"too long: {line!r}"] if len(line) > LONGEST else []
    return why + ([] if name in line else [f"does not name the field: {line!r}"])


def _refused_alike(garden: ds.Build, metric: dict, inch: dict, why: str) -> list[str]:
    try:
        garden.change(inch)
    except InputError:
        return []
    return [f"{metric}: refused in millimetres alone: {why}"]


def _solved(build: ds.Build) -> list[str]:
    """What a curve breaks of: work not below 0, contact angle above 0 or a warning, peak force = breakout force."""
    try:
        curve = ds.curve(build)
        json.dumps(curve_document(curve), allow_nan=False)
    except InputError as error:
        return [why for line in str(error).splitlines() for why in _unclear(line, "")]
    except Exception as error:
        return [repr(error)]
    results, flags = curve.response.results, curve.flags
    wrong = [] if not float(results["breakout_energy"]) < 0 else [f"work {results['breakout_energy']} J"]
    if not (
        float(results["contact_angle"]) > 0 or {"floats", "hangs_loose", "misses_dimple", "bar_on_tang"} & set(flags)
    ):
        wrong.append(f"contact angle {results['contact_angle']} with {flags}")
    return wrong + _peak(curve)


def _peak(curve: ds.Curve) -> list[str]:
    """How the largest force of the rows up to let-go differs from the breakout force, where no warning says why."""
    results, breakout = curve.response.results, float(curve.response.results["breakout_force"])
    if set(NO_PUSH) & set(curve.flags):
        return [] if np.isnan(breakout) else [f"breakout {breakout} N with {curve.flags}"]
    last = float(results["let_go_angle"])
    force = curve.opening_force.m_as("N")[curve.blade_angle.m_as("rad") <= last * (1 + 1e-9)]
    same = np.isclose(np.max(force), breakout, rtol=1e-6, atol=1e-9)
    return [] if same and breakout >= 0 else [f"peak {np.max(force)} N, breakout {breakout} N"]


def _differences(first: ds.Build, second: ds.Build) -> list[str]:
    """Results and warnings that differ between a build and itself typed in inches."""
    one, other = (respond(assemble(plain(build))) for build in (first, second))
    wrong = [] if one.flags == other.flags else [f"warnings {raised(one.flags)} and {raised(other.flags)}"]
    for name, value in one.results.items():
        if not np.allclose(value, other.results[name], rtol=1e-6, atol=1e-9, equal_nan=True):
            wrong.append(f"{name} {value} and {other.results[name]}")
    return wrong
