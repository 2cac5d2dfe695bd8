"""What a store tells of a recording whose file is gone: its result, as it was last analysed.

Vectors, intervals and checks are those of then. No reading is behind them any more, so nothing can be
analysed with another option.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from analysis import store
from analysis.capture import AngleSource
from analysis.errors import BadInput
from analysis.measurands import ComparedSweep
from analysis.numerics import OrderVectors
from analysis.setup import Setup, parse_setup
from logger.inputs.indexed_sweep import split_at
from logger.inputs.origin import SweepOrigin
from logger.inputs.store_names import STORE, stored_file


@dataclass(frozen=True)
class StoredResult:
    """One stored recording as a comparison takes it."""

    name: str
    """As typed, without @DEG."""
    setup: Setup
    vectors: OrderVectors
    """Order 1 as well known along itself and across as it was; of higher orders how components hang
    together was not stored."""
    result: Mapping[str, Any]
    """The object of ``sweep``."""
    origin: SweepOrigin

    def compared(self) -> ComparedSweep:
        """Return what a comparison looks at."""
        return ComparedSweep(
            self.setup,
            self.vectors,
            int(self.result["pooled"]["highest_order"]),
            has_mark=AngleSource(self.result["angle_source"]).has_mark,
            refused=tuple(one["name"] for one in self.result["checks"] if one["state"] == "refused"),
        )


def is_gone(name: str, opened: "store.Store") -> bool:
    """Tell whether ``store:...`` means a finished recording whose file is gone. Raises BadInput."""
    one = stored_file(split_at(name)[0].removeprefix(STORE), opened)
    return one.sha256 is not None and not Path(one.file).exists()


def stored_result(name: str, setup: Mapping[str, str], opened: "store.Store") -> StoredResult:
    """Return what the store tells of ``store:...`` or ``store:...@DEG``.

    Raises BadInput where ``setup`` would change a sweep without readings, and where nothing was concluded.
    """
    plain, deg = split_at(name)
    known = stored_file(plain.removeprefix(STORE), opened)
    (sweep,) = opened.sweeps([known.recording_id])
    found_as = f"{plain} is recording {known.recording_id}, whose file {known.file} is gone"
    again = "`fullturn store find FOLDER` finds the file where it was moved to"
    if setup:
        raise BadInput(
            f"{found_as}: stored vectors cannot be analysed with {', '.join(setup)}; leave it out, or {again}"
        )
    orders = _consecutive(sweep.result or {})
    if sweep.result is None or not orders:
        raise BadInput(f"{found_as}, and the store has no vectors of it: {again}")
    kept = dict(sweep.result.get("setup") or sweep.setup)
    if deg is not None:
        kept["index_angle"] = f"{deg:g}"
    return StoredResult(
        plain,
        parse_setup({}, kept=kept),
        _vectors(sweep.result["pooled"], orders),
        sweep.result,
        SweepOrigin(plain, sweep.recording_id, sweep.ended == "closed", sweep.started, sweep.sha256),
    )


def _vectors(pooled: Mapping[str, Any], orders: Sequence[Mapping[str, Any]]) -> OrderVectors:
    z = np.array([complex(one["cos_mm"], one["sin_mm"]) for one in orders])
    covariance = np.diag(np.repeat([float(one["u_mm"]) for one in orders], 2) ** 2)
    along_mm, across_deg = pooled.get("u_tir_first_mm"), pooled.get("u_high_side_deg")
    if along_mm is not None and across_deg is not None and z[0] != 0.0:
        axes = np.array([[z[0].real, -z[0].imag], [z[0].imag, z[0].real]]) / abs(z[0])
        known = np.diag([along_mm / 2.0, abs(z[0]) * math.radians(across_deg)]) ** 2
        covariance[:2, :2] = axes @ known @ axes.T
    dof = pooled.get("dof")
    return OrderVectors(z, covariance, math.inf if dof is None else float(dof))


def _consecutive(result: Mapping[str, Any]) -> list[Mapping[str, Any]]:
    """Return orders 1, 2, ... as far as none is missing: waves far above them are compared by nothing."""
    orders = (result.get("pooled") or {}).get("orders") or []
    return [one for n, one in enumerate(orders, start=1) if one["n"] == n]
