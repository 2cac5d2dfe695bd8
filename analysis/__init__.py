"""Serial numerics of rotation: sweeps, fits, uncertainty, decisions, and the store of results.

The public functions are loaded when first named, so that importing the package costs nothing.
"""

from importlib import import_module
from typing import Any

_HOME = {
    "decide": "analysis.decision.rule",
    "fit_sweep": "analysis.sweep.pipeline",
    "hole_positions": "analysis.correction.bolt_positions",
    "predict_cut": "analysis.correction.cut_prediction",
    "separate": "analysis.separation.by_position",
}

__all__ = ["decide", "fit_sweep", "hole_positions", "predict_cut", "separate"]


def __getattr__(name: str) -> Any:
    if name in _HOME:
        return getattr(import_module(_HOME[name]), name)
    raise AttributeError(f"module 'analysis' has no attribute {name!r}")
