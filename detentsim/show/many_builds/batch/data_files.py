"""A batch as a JSON document and as a CSV table; numbers in the units that they name."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from detentsim.knife.outcomes import RESULTS
from detentsim.knife.table.schema import INPUTS
from detentsim.knife.table.value import SHOWN_UNITS
from detentsim.show.theme.rows import build_rows, finite, summary_row
from detentsim.show.theme.tables import records_csv
from detentsim.units.quantities import factor

if TYPE_CHECKING:
    from collections.abc import Iterator

    from detentsim.analysis.many_builds.batch.answers.aiming import Aimed
    from detentsim.analysis.many_builds.batch.answers.corners import Corner, Corners
    from detentsim.analysis.many_builds.batch.answers.holding import Held
    from detentsim.analysis.many_builds.batch.answers.indices import Indices
    from detentsim.analysis.many_builds.batch.counts.counted import Count
    from detentsim.analysis.many_builds.batch.counts.shares import Share
    from detentsim.analysis.many_builds.batch.findings import Findings
    from detentsim.analysis.many_builds.batch.questions import Batch
    from detentsim.knife.record.doubts import Doubt


def batch_document(found: Findings) -> dict[str, Any]:
    """Everything that was found about a batch, ready for JSON; the knives themselves are in the CSV table.

    Parameters
    ----------
    found : Findings

    Returns
    -------
    dict
        Keys ``build demo verdict summary knives seed share of count worn_in outside results matters corners aim hold
        varies``; ``verdict`` is that on the drawing, and ``summary`` the same. Shares are between 0 and 1. Where the
        knives are worn in, ``worn_in`` has ``fresh``: ``share count results`` of the same knives fresh, and ``both``,
        the share that is inside fresh and worn in; else it is None.
    """
    batch = found.batch
    return {
        "build": build_rows(batch.build),
        "demo": batch.build.demo,
        "verdict": summary_row(found.drawing),
        "summary": summary_row(found.drawing),
        "knives": len(batch),
        "seed": batch.seed,
        "share": _share(batch.share()) if batch.build.target else None,
        "of": found.of,
        "count": _count(found.count),
        "worn_in": _fresh(found) if batch.worn else None,
        "outside": {key: float(where.mean()) for key, where in batch.outside.items()},
        "results": {name: _result(found, name) for name in batch.results},
        "matters": {name: _indices(known) for name, known in found.matters.items()},
        "corners": {name: _corners(name, ends) for name, ends in found.corners.items()},
        "aim": _aim(found.aimed, found.aimed_count),
        "hold": _hold(found.held, found.wanted),
        "varies": {doubt.name: _doubt(doubt) for doubt in batch.spread},
    }


def batch_csv(found: Findings) -> Iterator[str]:
    """Text of the table of knives in parts, a row a knife: what varies, results, warnings, whether it is inside."""
    return records_csv(found.batch.to_records())


def _share(share: Share) -> dict[str, float]:
    return share._asdict()


def _fresh(found: Findings) -> dict[str, Any]:
    """What the same knives answer fresh, beside which `batch_document` tells them worn in."""
    fresh, wanted = found.batch.fresh, bool(found.batch.build.target)
    beside = {
        "share": _share(fresh.share()) if wanted else None,
        "count": _count(found.fresh_count),
        "results": {name: _range(fresh, name) for name in fresh.results},
    }
    return {"fresh": beside, "both": found.both if wanted else None}


def _count(count: Count | None) -> dict[str, Any] | None:
    return None if count is None else count._asdict() | {"mean": count.mean, "chances": count.chances.tolist()}


def _result(found: Findings, name: str) -> dict[str, Any]:
    """Range of nine knives in ten, or share of the knives for which a truth is true."""
    answer = {"drawing": found.own[name]} | _range(found.batch, name)
    if RESULTS[name].is_truth:
        return answer
    if name in {target.name for target in found.batch.build.target}:
        answer |= found.batch.capability(name)._asdict()
    return answer


def _range(batch: Batch, name: str) -> dict[str, Any]:
    if RESULTS[name].is_truth:
        return {"share": _share(batch.share(name))}
    low, high = map(finite, batch.interval_ends(name))
    return {"low": low, "high": high, "unit": RESULTS[name].unit}


def _indices(known: Indices) -> dict[str, Any]:
    return {"missing": known.missing, "inputs": {name: index._asdict() for name, index in known.inputs.items()}}


def _corners(name: str, ends: Corners) -> dict[str, Any]:
    return {key: _corner(name, corner) for key, corner in ends._asdict().items()}


def _corner(name: str, corner: Corner | None) -> dict[str, Any] | None:
    if corner is None:
        return None
    inputs = {key: _size(key, si) | {"end": corner.ends[key]} for key, si in corner.inputs.items()}
    return {"value": corner.value, "unit": RESULTS[name].unit, "inputs": inputs}


def _size(name: str, si: float) -> dict[str, Any]:
    unit = SHOWN_UNITS[INPUTS[name].size_kind]
    return {"value": si / factor(unit) if unit else si, "unit": unit}


def _ends(name: str, ends: tuple[float, float]) -> dict[str, Any]:
    low, high = (_size(name, end) for end in ends)
    return {"low": low["value"], "high": high["value"], "unit": low["unit"]}


def _aim(aimed: Aimed | None, count: Count | None) -> dict[str, Any] | None:
    if aimed is None:
        return None
    return {
        "setting": dict(aimed.setting),
        "before": _share(aimed.before),
        "after": _share(aimed.after),
        "count": _count(count),
        "beyond_limits": aimed.beyond,
    }


def _hold(held: Held | None, wanted: float) -> dict[str, Any] | None:
    if held is None:
        return None
    return {
        "wanted": wanted,
        "reached": held.reached,
        "before": held.before,
        "after": held.after,
        "halvings": dict(held.halvings),
        "bands": {name: _ends(name, ends) for name, ends in held.bands.items()},
        "halved_alone": dict(held.alone),
    }


def _doubt(doubt: Doubt) -> dict[str, Any]:
    return _ends(doubt.name, (doubt.low, doubt.high)) | {"shape": doubt.shape, "same_for_the_batch": doubt.of_shop}
