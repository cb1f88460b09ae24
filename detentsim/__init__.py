"""Detent and lock-bar spring mechanics for makers of folding knives.

    import detentsim as ds
    c = ds.curve(ds.Build.read("garden.toml"))

Names are loaded when first used, so that importing the package costs nothing.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from detentsim import show as show
    from detentsim.analysis.in_hand.advise.advise import advise as advise
    from detentsim.analysis.in_hand.advise.proposals import Advice as Advice
    from detentsim.analysis.in_hand.compare.compare import Comparison as Comparison
    from detentsim.analysis.in_hand.compare.compare import compare as compare
    from detentsim.analysis.in_hand.fit.fit import fit as fit
    from detentsim.analysis.in_hand.fit.fitted import Fit as Fit
    from detentsim.analysis.in_hand.report.report import Report as Report
    from detentsim.analysis.in_hand.report.report import report as report
    from detentsim.analysis.in_hand.sheet.sheet import Sheet as Sheet
    from detentsim.analysis.in_hand.sheet.sheet import sheet as sheet
    from detentsim.analysis.many_builds.batch.batch import batch as batch
    from detentsim.analysis.many_builds.batch.findings import Findings as Findings
    from detentsim.analysis.many_builds.batch.findings import findings as findings
    from detentsim.analysis.many_builds.batch.questions import Batch as Batch
    from detentsim.analysis.many_builds.design.design import design as design
    from detentsim.analysis.many_builds.design.proposals import Designs as Designs
    from detentsim.analysis.many_builds.sweep.designs import Sweep as Sweep
    from detentsim.analysis.many_builds.sweep.sweep import sweep as sweep
    from detentsim.analysis.one_build.curve.curve import Curve as Curve
    from detentsim.analysis.one_build.curve.curve import curve as curve
    from detentsim.analysis.one_build.layout.layout import Layout as Layout
    from detentsim.analysis.one_build.layout.layout import layout as layout
    from detentsim.analysis.one_build.limits.limits import Limits as Limits
    from detentsim.analysis.one_build.limits.limits import limits as limits
    from detentsim.analysis.one_build.motion.motion import Motion as Motion
    from detentsim.analysis.one_build.motion.motion import motion as motion
    from detentsim.analysis.one_build.wear.worn_in import WornIn as WornIn
    from detentsim.analysis.one_build.wear.worn_in import worn_in as worn_in
    from detentsim.knife.checks.problems import BuildError as BuildError
    from detentsim.knife.measured.measured import Measured as Measured
    from detentsim.knife.model import Build as Build
    from detentsim.knife.packaged import demo as demo
    from detentsim.units.errors import InputError as InputError

__version__ = "0.1.0"

_HOMES = {
    "Advice": "detentsim.analysis.in_hand.advise.proposals",
    "Batch": "detentsim.analysis.many_builds.batch.questions",
    "Build": "detentsim.knife.model",
    "BuildError": "detentsim.knife.checks.problems",
    "Comparison": "detentsim.analysis.in_hand.compare.compare",
    "Curve": "detentsim.analysis.one_build.curve.curve",
    "Designs": "detentsim.analysis.many_builds.design.proposals",
    "Findings": "detentsim.analysis.many_builds.batch.findings",
    "Fit": "detentsim.analysis.in_hand.fit.fitted",
    "InputError": "detentsim.units.errors",
    "Layout": "detentsim.analysis.one_build.layout.layout",
    "Limits": "detentsim.analysis.one_build.limits.limits",
    "Measured": "detentsim.knife.measured.measured",
    "Motion": "detentsim.analysis.one_build.motion.motion",
    "Report": "detentsim.analysis.in_hand.report.report",
    "Sheet": "detentsim.analysis.in_hand.sheet.sheet",
    "Sweep": "detentsim.analysis.many_builds.sweep.designs",
    "WornIn": "detentsim.analysis.one_build.wear.worn_in",
    "advise": "detentsim.analysis.in_hand.advise.advise",
    "batch": "detentsim.analysis.many_builds.batch.batch",
    "compare": "detentsim.analysis.in_hand.compare.compare",
    "curve": "detentsim.analysis.one_build.curve.curve",
    "demo": "detentsim.knife.packaged",
    "design": "detentsim.analysis.many_builds.design.design",
    "findings": "detentsim.analysis.many_builds.batch.findings",
    "fit": "detentsim.analysis.in_hand.fit.fit",
    "layout": "detentsim.analysis.one_build.layout.layout",
    "limits": "detentsim.analysis.one_build.limits.limits",
    "motion": "detentsim.analysis.one_build.motion.motion",
    "report": "detentsim.analysis.in_hand.report.report",
    "sheet": "detentsim.analysis.in_hand.sheet.sheet",
    "sweep": "detentsim.analysis.many_builds.sweep.sweep",
    "worn_in": "detentsim.analysis.one_build.wear.worn_in",
}

if not TYPE_CHECKING:  # a type checker reads the imports above instead
    __all__ = sorted(["show", *_HOMES])


def __getattr__(name: str) -> Any:
    if name == "show":
        return import_module("detentsim.show")
    if name not in _HOMES:
        raise AttributeError(f"module 'detentsim' has no attribute {name!r}")
    return getattr(import_module(_HOMES[name]), name)


def __dir__() -> list[str]:
    return sorted(["show", *_HOMES, "__version__"])
