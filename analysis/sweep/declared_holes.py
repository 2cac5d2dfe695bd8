"""Holes declared by their place alone: looked for in the readings, and left out as wide as they are found."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from analysis.capture import Capture, Window, holes_in_sweep
from analysis.diagnosis import BumpSearch, found_holes, windows_of_found_holes, with_margin
from analysis.sweep.fitting import search_bumps
from analysis.sweep.pooling import PooledTurns, pool_turns

_PASSES = 3
"""Slanting edges show only when the middle is taken out: so often the windows are widened."""


@dataclass(frozen=True)
class PoolBesideHoles:
    """Turns put together beside the holes that were found."""

    pool: PooledTurns
    windows: tuple[Window, ...]
    """All that is left out, found holes included."""
    search: BumpSearch | None = None
    """Bumps beside all windows; None where they were not looked for."""
    remarks: tuple[str, ...] = ()


def pool_beside_holes(
    capture: Capture, pool: PooledTurns, windows: Sequence[Window], orders: int | None
) -> PoolBesideHoles:
    """Put a pool's turns together anew, holes without a width left out where they are found."""
    holes = holes_in_sweep(capture.setup)
    bare = [hole for hole in holes if hole.width_deg == 0.0]
    if not bare or pool.plan.few_places:
        return PoolBesideHoles(pool, tuple(windows))
    step_mm, lag_s = pool.passed.gauge.step_mm(), pool.passed.settings.lag_s
    spacing_deg = 360.0 / pool.values_per_turn
    found, known, out = bare, bare, list[Window]()
    beside, search = pool, None
    for _ in range(_PASSES):
        search = search_bumps(capture, beside, beside.plain_fit, step_mm, [*holes, *known])
        wider = found_holes(known, search.bumps)
        if not wider:
            break
        found = [replace(hole, width_deg=wider[0].width_deg) for hole in (found if out else wider)]
        known = [with_margin(hole, spacing_deg) for hole in found]
        out = windows_of_found_holes(found, spacing_deg)
        beside, search = pool_turns(capture, [*windows, *out], orders, lag_s), None
    remarks = () if out else ("no low place was found at the declared holes: nothing is left out there",)
    return PoolBesideHoles(beside, (*windows, *out), search, remarks)
