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
    from detentsim.analysis.advise import Advice as Advice
    from detentsim.analysis.advise import advise as advise
    from detentsim.analysis.compare import Comparison as Comparison
    from detentsim.analysis.compare import compare as compare
    from detentsim.analysis.curve import Curve as Curve
    from detentsim.analysis.curve import curve as curve
    from detentsim.analysis.design import Designs as Designs
    from detentsim.analysis.design import design as design
    from detentsim.analysis.designs import Sweep as Sweep
    from detentsim.analysis.limits import Limits as Limits
    from detentsim.analysis.limits import limits as limits
    from detentsim.analysis.motion import Motion as Motion
    from detentsim.analysis.motion import motion as motion
    from detentsim.analysis.sweep import sweep as sweep
    from detentsim.build.measured import Measured as Measured
    from detentsim.build.model import Build as Build
    from detentsim.build.model import demo as demo
    from detentsim.build.problems import BuildError as BuildError
    from detentsim.shop.units import InputError as InputError

__version__ = "0.1.0"

_HOMES = {
    "Advice": "detentsim.analysis.advise",
    "Build": "detentsim.build.model",
    "BuildError": "detentsim.build.problems",
    "Comparison": "detentsim.analysis.compare",
    "Curve": "detentsim.analysis.curve",
    "Designs": "detentsim.analysis.design",
    "InputError": "detentsim.shop.units",
    "Limits": "detentsim.analysis.limits",
    "Measured": "detentsim.build.measured",
    "Motion": "detentsim.analysis.motion",
    "Sweep": "detentsim.analysis.designs",
    "advise": "detentsim.analysis.advise",
    "compare": "detentsim.analysis.compare",
    "curve": "detentsim.analysis.curve",
    "demo": "detentsim.build.model",
    "design": "detentsim.analysis.design",
    "limits": "detentsim.analysis.limits",
    "motion": "detentsim.analysis.motion",
    "sweep": "detentsim.analysis.sweep",
}

__all__ = [
    "Advice",
    "Build",
    "BuildError",
    "Comparison",
    "Curve",
    "Designs",
    "InputError",
    "Limits",
    "Measured",
    "Motion",
    "Sweep",
    "advise",
    "compare",
    "curve",
    "demo",
    "design",
    "limits",
    "motion",
    "show",
    "sweep",
]


def __getattr__(name: str) -> Any:
    if name == "show":
        return import_module("detentsim.show")
    if name not in _HOMES:
        raise AttributeError(f"module 'detentsim' has no attribute {name!r}")
    return getattr(import_module(_HOMES[name]), name)


def __dir__() -> list[str]:
    return [*__all__, "__version__"]
