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
    from detentsim.analysis.advise.advise import advise as advise
    from detentsim.analysis.advise.proposals import Advice as Advice
    from detentsim.analysis.compare.compare import Comparison as Comparison
    from detentsim.analysis.compare.compare import compare as compare
    from detentsim.analysis.curve.curve import Curve as Curve
    from detentsim.analysis.curve.curve import curve as curve
    from detentsim.analysis.design.design import design as design
    from detentsim.analysis.design.proposals import Designs as Designs
    from detentsim.analysis.limits.limits import Limits as Limits
    from detentsim.analysis.limits.limits import limits as limits
    from detentsim.analysis.motion.motion import Motion as Motion
    from detentsim.analysis.motion.motion import motion as motion
    from detentsim.analysis.sweep.designs import Sweep as Sweep
    from detentsim.analysis.sweep.sweep import sweep as sweep
    from detentsim.knife.checks.problems import BuildError as BuildError
    from detentsim.knife.measured.measured import Measured as Measured
    from detentsim.knife.model import Build as Build
    from detentsim.knife.packaged import demo as demo
    from detentsim.units.errors import InputError as InputError

__version__ = "0.1.0"

_HOMES = {
    "Advice": "detentsim.analysis.advise.proposals",
    "Build": "detentsim.knife.model",
    "BuildError": "detentsim.knife.checks.problems",
    "Comparison": "detentsim.analysis.compare.compare",
    "Curve": "detentsim.analysis.curve.curve",
    "Designs": "detentsim.analysis.design.proposals",
    "InputError": "detentsim.units.errors",
    "Limits": "detentsim.analysis.limits.limits",
    "Measured": "detentsim.knife.measured.measured",
    "Motion": "detentsim.analysis.motion.motion",
    "Sweep": "detentsim.analysis.sweep.designs",
    "advise": "detentsim.analysis.advise.advise",
    "compare": "detentsim.analysis.compare.compare",
    "curve": "detentsim.analysis.curve.curve",
    "demo": "detentsim.knife.packaged",
    "design": "detentsim.analysis.design.design",
    "limits": "detentsim.analysis.limits.limits",
    "motion": "detentsim.analysis.motion.motion",
    "sweep": "detentsim.analysis.sweep.sweep",
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
