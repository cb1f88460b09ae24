"""What the kernel does for one design of a sweep: evaluations by kind, their cost, and what they cannot fall below.

Counts elements of arrays, not calls: an evaluation of the contact at one ball angle is one. Parts are told by their own
time; "the rest" is what no part holds (results, flags of the path, rest position, joining and choosing of rows). For
one evaluation on a rigid and on an elastic rim it counts the array operations, below which no evaluation can fall.

Run: .venv/bin/python tests/benchmarks/operations.py
"""

import sys
import time
from collections import defaultdict
from collections.abc import Callable
from pathlib import Path
from types import ModuleType

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[1]))

from helpers.expressions import FEW, bare, scattered

from detentsim.knife.record.fields import assemble
from detentsim.mechanics import response
from detentsim.mechanics.contact import envelope
from detentsim.mechanics.detent import closing, opening, rest, work
from detentsim.mechanics.names import RESULT_NAMES
from detentsim.mechanics.path import contact_at, extrema, segment_rows, segments, stable
from detentsim.mechanics.record import Record
from detentsim.mechanics.response import respond

COUNT = 10_000
ROOMS = (contact_at, segment_rows, segments, stable, extrema, opening, rest, work, closing, envelope, response)

PARTS: dict[str, tuple[str, Callable[..., int]]] = {
    "contact": ("contact of the ball at a ball angle", lambda *at: at[1].size),
    "slopes": ("its slope", lambda *at: at[1].offset.size),
    "torque_of": ("torque in one sense", lambda *at, **_: at[1].offset.size),
    "climb_of": ("torque and slope in one sense", lambda *at, **_: at[1].offset.size),
    "select": ("row of a segment chosen", lambda *at: len(at[1])),
    "pieces": ("dimple cut into pieces", lambda _: COUNT),
    "cut": ("path cut into segments", lambda *at: at[1].size),
    "part_flags": ("flags of single parts", lambda *_: COUNT),
    "energy": ("work, what it evaluates apart", lambda *at: at[1].size),
    "bracketed_root": ("root, what it evaluates apart", lambda *at, **_: at[1].size),
}


class Counted:
    """Elements and seconds of the parts; what a part calls of others counts as theirs."""

    def __init__(self) -> None:
        self.elements: defaultdict[str, int] = defaultdict(int)
        self.seconds: defaultdict[str, float] = defaultdict(float)
        self.inside = [0.0]

    def wrap(self, name: str, function: Callable[..., object], size: Callable[..., int]) -> Callable[..., object]:
        def counted(*args: object, **options: object) -> object:
            self.elements[name] += size(*args, **options)
            self.inside.append(0.0)
            start = time.perf_counter()
            try:
                return function(*args, **options)
            finally:
                spent = time.perf_counter() - start
                self.seconds[name] += spent - self.inside.pop()
                self.inside[-1] += spent

        return counted


class Passes(np.ndarray):
    """Array that counts the operations on arrays as large as itself."""

    made = 0

    def __array_ufunc__(self, ufunc: np.ufunc, method: str, *inputs: object, **options: object) -> object:
        """Count one operation and do it on plain arrays."""
        plain = [one.view(np.ndarray) if isinstance(one, Passes) else one for one in inputs]
        if "out" in options:
            options["out"] = tuple(one.view(np.ndarray) for one in options["out"])  # type: ignore[attr-defined]
        Passes.made += 1
        result = getattr(ufunc, method)(*plain, **options)
        return result.view(Passes) if isinstance(result, np.ndarray) else result

    def __array_function__(
        self, function: Callable[..., object], types: object, inputs: object, options: object
    ) -> object:
        """Count one operation, as NumPy's `where`."""
        Passes.made += 1
        return super().__array_function__(function, types, inputs, options)  # type: ignore[arg-type]


def passes() -> dict[str, int]:
    """Operations of one evaluation of torque, and of torque and slope, on a rigid and on an elastic rim."""
    found = {}
    for rim, gives in (("rigid", 0.0), ("elastic", 1.0)):
        load = respond(assemble(scattered(0.0) | {"contact.rim_gives": gives}), ()).load
        flat = segments.flatten(load, (COUNT,))
        ways = segments.cut(flat, np.zeros(COUNT), segments.mouth_angle(flat))
        middle = ((ways.left + ways.right) / 2).view(Passes)
        Passes.made = 0
        contact_at.torque_of(ways, contact_at.contact(ways, middle), opening=True)
        found[f"torque, {rim} rim"] = Passes.made
        contact_at.climb(ways, middle, opening=True)
        found[f"torque and slope, {rim} rim"] = Passes.made - found[f"torque, {rim} rim"]
    return found


def instrumented(counted: Counted) -> Callable[[], None]:
    """Put counters in place of the parts, wherever they were imported; gives what takes them out again."""
    before: list[tuple[ModuleType, str, object]] = []
    wrapped: dict[int, object] = {}
    for room in ROOMS:
        for name, (_, size) in PARTS.items():
            function = vars(room).get(name)
            if callable(function):
                before.append((room, name, function))
                wrapped.setdefault(id(function), counted.wrap(name, function, size))
                setattr(room, name, wrapped[id(function)])

    def restore() -> None:
        for room, name, function in before:
            setattr(room, name, function)

    return restore


def told(title: str, record: Record, of: tuple[str, ...], unit: float) -> None:
    """Print what the kernel does for one design of a record, in its fastest round."""
    rounds = []
    for _ in range(7):
        counted = Counted()
        restore = instrumented(counted)
        start = time.perf_counter()
        respond(record, of)
        rounds.append(((time.perf_counter() - start) / COUNT, counted))
        restore()
    whole, counted = min(rounds, key=lambda one: one[0])
    print(f"\n{title}: {1e9 * whole:,.0f} ns, {whole / unit:,.0f} expressions a design")
    known = 0.0
    for name, (what, _) in PARTS.items():
        each, spent = counted.elements[name] / COUNT, counted.seconds[name] / COUNT
        known += spent
        print(f"  {what:<38}{each:>7.1f} x{1e9 * spent / max(each, 1e-9):>7,.0f} ns ={1e9 * spent:>7,.0f} ns")
    print(f"  {'the rest':<57}{1e9 * (whole - known):>7,.0f} ns")


if __name__ == "__main__":
    print("array operations of an evaluation")
    for name, count in passes().items():
        print(f"  {name:<38}{count:>5}")
    UNIT = bare()
    print(f"bare expression {1e9 * UNIT:.2f} ns")
    for rim, gives in (("rigid rim", 0.0), ("elastic rim", 1.0)):
        for title, lateral in (("bar rigid sideways", 0.0), ("bar gives sideways", np.nan)):
            one = assemble(scattered(lateral) | {"contact.rim_gives": gives})
            for few, of in (("six results", FEW), ("all results", RESULT_NAMES)):
                told(f"{rim}, {title}, {few}", one, of, UNIT)
