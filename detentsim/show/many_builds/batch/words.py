"""Sentences on a batch: counts, why knives are outside, bands to hold, settings."""

from __future__ import annotations

from typing import TYPE_CHECKING

from detentsim.knife.outcomes import FLAGS, RESULTS, label
from detentsim.knife.table.schema import INPUTS
from detentsim.knife.table.typed_units import range_in, reads_in, text_in, typed_in
from detentsim.knife.table.values import read_value
from detentsim.knife.target.words import number_words
from detentsim.units.numbers import percent, two_digits

if TYPE_CHECKING:
    from collections.abc import Mapping

    from detentsim.analysis.many_builds.batch.counts.counted import Count
    from detentsim.analysis.many_builds.batch.findings import Findings
    from detentsim.knife.model import Build
    from detentsim.knife.target.target import Target
    from detentsim.units.systems import UnitSystem


def count_words(count: Count, reason: bool = True) -> str:
    """How many of a small batch are inside on average, with the verb, and the range of nine such batches in ten.

    Without `reason` it leaves out why many batches have none.

    >>> import numpy as np
    >>> from detentsim.analysis.many_builds.batch.counts.counted import count_of
    >>> count_words(count_of(np.arange(64)[None, :] < 45, 12))
    'about 8 are inside on average (nine batches in ten: 6 to 11)'
    >>> count_words(count_of(np.zeros((1, 64), bool), 12))
    'none is inside'
    """
    if count.low == count.high:
        return f"{ {0: 'none is', count.of: 'all are'}.get(count.low, f'{count.low} are') } inside"
    number = round(count.mean)
    common = {0: "hardly any is inside", 1: "about 1 is inside on average", count.of: "nearly all are inside"}
    why = ""
    if count.none_oftener:
        none = percent(float(count.chances[0]))
        why = f"; {none} of batches have none{', since what is unknown is the same for the whole batch' * reason}"
    inside = common.get(number, f"about {number} are inside on average")
    return f"{inside} (nine batches in ten: {count.low} to {count.high}{why})"


def capability_words(cp: float | None, cpk: float | None) -> str:
    """Process capability of a result; empty where it has none.

    >>> capability_words(0.583, -0.231), capability_words(None, None)
    ('Cp 0.58, Cpk -0.23', '')
    """
    return ", ".join(f"{key} {two_digits(value)}" for key, value in (("Cp", cp), ("Cpk", cpk)) if value is not None)


def capability_meaning(said: str) -> str:
    """What the Cp and Cpk that a text names are; empty where it names neither.

    >>> capability_meaning("breakout 6 to 10 N; Cpk 0.58").split(": ")[0]
    'Cpk'
    """
    if "Cpk" not in said:
        return ""
    cp, half = "", "half the spread (three standard deviations)"
    if "Cp " in said:
        cp, half = "Cp: width of the target over that of the spread (six standard deviations). ", "half the spread"
    end = f"from the average knife to the target's nearer end, over {half}"
    return f"{cp}Cpk: {end}; from 1 nearly every knife meets the target, below 0 the average knife misses it."


def verdict_words(found: Findings) -> str:
    """How many knives of the maker's own batch meet the target, in one sentence."""
    if found.count is None:
        return "No target is set, so there is nothing to be inside of; these are the ranges to expect."
    worn = " worn in" if found.batch.worn else ""
    if found.of == 1:
        share = percent(found.batch.share().share)
        fresh = f", fresh {percent(found.batch.fresh.share().share)}" if worn else ""
        return f"The chance that a knife made to this drawing is inside{worn} is {share}{fresh}."
    words = f"Of {found.of} knives made to this drawing {count_words(found.count)}"
    if found.fresh_count is None or not worn:
        return f"{words}."
    fresh = count_words(found.fresh_count, not found.count.none_oftener)
    return f"Worn in, {words[0].lower()}{words[1:]}; fresh, {fresh}."


def outside_words(key: str, wanted: Mapping[str, Target], units: UnitSystem) -> str:
    """Why knives are outside, in words."""
    name, _, how = key.rpartition(" ")
    if name not in wanted:
        return FLAGS.get(key, key)
    end = {"below": wanted[name].at_least, "above": wanted[name].at_most}.get(how)
    if how in ("true", "false"):
        return f"{label(name)}: {'yes' if how == 'true' else 'no'}"
    if how == "none":
        return f"no {label(name)}"
    if end is None:  # of a wanted change
        return f"{label(name)} {how} what is wanted"
    return f"{label(name)} {how} {number_words(end, RESULTS[name].unit, units)}"


def setting_words(setting: Mapping[str, object], build: Build) -> str:
    """A setting beside the drawing's own, such as bar.bend 2.6 mm instead of 2.2 mm."""
    return " and ".join(
        f"{name} {_given(build, name, value)} instead of {typed_in(build, name)}" for name, value in setting.items()
    )


def _given(build: Build, name: str, given: object) -> str:
    value = read_value(INPUTS[name], given)
    return value.text if reads_in(build.units, value) else text_in(build.units, value.si, value.kind)


def band_words(name: str, ends: tuple[float, float], units: UnitSystem) -> str:
    """Ends of a band to hold an input in, from SI."""
    low, high = ends
    if INPUTS[name].size_kind == "length":
        return f"{name} from {units.sizes(1e3 * low, 1e3 * high)}"
    return f"{name} from {range_in(units, float(f'{low:.3g}'), float(f'{high:.3g}'), INPUTS[name].size_kind)}"
