"""Sentences on a batch: counts, why knives are outside, bands to hold, settings."""

from __future__ import annotations

from typing import TYPE_CHECKING

from detentsim.knife.outcomes import FLAGS, RESULTS, label
from detentsim.knife.table.schema import INPUTS
from detentsim.knife.table.typed_units import range_in, reads_in, text_in, typed_in
from detentsim.knife.table.values import read_value
from detentsim.knife.target.words import number_words
from detentsim.units.numbers import percent

if TYPE_CHECKING:
    from collections.abc import Mapping

    from detentsim.analysis.many_builds.batch.counts.counted import Count
    from detentsim.analysis.many_builds.batch.findings import Findings
    from detentsim.knife.model import Build
    from detentsim.knife.target.target import Target
    from detentsim.units.systems import UnitSystem


def count_words(count: Count) -> str:
    """How many of a small batch are inside, with the verb, and the range of nine such batches in ten.

    >>> from detentsim.analysis.many_builds.batch.counts.counted import Count
    >>> count_words(Count(12, 5, 8, 11, None)), count_words(Count(12, 0, 0, 4, None))
    ('about 8 are inside (nine batches in ten: 5 to 11)', 'likely none is inside (nine batches in ten: 0 to 4)')
    >>> count_words(Count(12, 0, 0, 9, None))
    'likely none is inside (nine batches in ten: 0 to 9, since what is unknown is the same for the whole batch)'
    """
    number = {0: "none is", 1: "about 1 is", count.of: "all are"}.get(count.middle, f"about {count.middle} are")
    if count.low == count.high:
        return f"{number} inside"
    likely = "likely " if count.middle in (0, count.of) else ""
    none_or_most = count.middle == 0 and count.high >= count.of / 2
    why = ", since what is unknown is the same for the whole batch" if none_or_most else ""
    return f"{likely}{number} inside (nine batches in ten: {count.low} to {count.high}{why})"


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
    return f"Worn in, {words[0].lower()}{words[1:]}; fresh, {count_words(found.fresh_count)}."


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
