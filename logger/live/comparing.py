"""Two stored turns against one another: curves, difference, how much, which way, and whether they may be."""

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from analysis.extremes import on_grid
from analysis.samples import Floats
from analysis.setup import Setup, parse_setup
from analysis.store.rows import StoredTurn
from logger.live.trace import BINS

BLOCKS = ("part", "surface", "axis", "track_radius_mm", "declared_end", "mark_on", "preload")
NOTED = ("stage", "gauge_id", "gauge_angle_deg", "operator", "torque")
ON_LATHE = ("on the lathe", "after cut", "half turn")


@dataclass(frozen=True)
class Difference:
    """One field in which the two differ."""

    field: str
    before: str
    after: str
    effect: str
    """``blocks`` or ``noted``."""


@dataclass(frozen=True)
class Comparison:
    """Two turns and what changed between them."""

    before: StoredTurn
    after: StoredTurn
    before_mm: Floats
    """Curve on 720 bins of the turn."""
    after_mm: Floats
    change_mm: Floats
    change_tir_mm: float
    change_first_mm: float
    """TIR of order 1 of the change: how much."""
    change_first_deg: float
    """Its high side: which way."""
    differences: tuple[Difference, ...]

    @property
    def comparable(self) -> bool:
        """Tell whether nothing blocks the comparison."""
        return all(one.effect != "blocks" for one in self.differences)


def compare(before: StoredTurn, after: StoredTurn) -> Comparison | None:
    """Compare two stored turns; None where one of them has no curve."""
    n = min(len(before.cos_mm), len(after.cos_mm))
    if n == 0:
        return None
    old, new = curve(before), curve(after)
    change = np.array(
        [complex(after.cos_mm[k] - before.cos_mm[k], after.sin_mm[k] - before.sin_mm[k]) for k in range(n)]
    )
    moved = on_grid(change.real, change.imag, BINS)
    return Comparison(
        before,
        after,
        old,
        new,
        moved,
        float(np.ptp(moved)),
        2.0 * abs(complex(change[0])),
        math.degrees(math.atan2(change[0].imag, change[0].real)) % 360.0,
        tuple(differences(before.setup, after.setup)),
    )


def curve(turn: StoredTurn) -> Floats:
    """Return a turn's curve on 720 bins."""
    return on_grid(np.array(turn.cos_mm), np.array(turn.sin_mm), BINS)


def differences(before: Mapping[str, str], after: Mapping[str, str]) -> list[Difference]:
    """Return the fields in which two set-ups differ, those that block first."""
    old, new = parse_setup(before), parse_setup(after)
    found = []
    for key in (*BLOCKS, *NOTED):
        a, b = _value(old, key), _value(new, key)
        if a != b:
            found.append(Difference(key, a or "-", b or "-", "blocks" if key in BLOCKS else "noted"))
    return found


def _value(setup: Setup, key: str) -> str:
    if key == "axis":
        return "lathe" if setup.stage in ON_LATHE else "own bearings"
    value = getattr(setup, key, None) or setup.text.get(key, "")
    return f"{value:g}" if isinstance(value, float) else str(value)
