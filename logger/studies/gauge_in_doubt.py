"""Which stored results hang on a gauge that was past due, was found worse or failed its check."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from analysis.store import GaugeEntry, StoredSweep
from logger.studies.checks_in_time import CheckChart

_U_OF: Mapping[str, float] = {"limits": math.sqrt(1.0 / 3.0), "U95": 0.5, "u": 1.0}
"""A certificate's figure as standard uncertainty: limits as a rectangle (JCGM 100:2008, 4.3.7), U k 2."""


@dataclass(frozen=True, slots=True)
class Suspect:
    """One recording, and why it hangs on its gauge."""

    sweep: StoredSweep
    why: tuple[str, ...]


def suspects(
    sweeps: Sequence[StoredSweep],
    calibrations: Mapping[int, GaugeEntry],
    charts: Sequence[CheckChart],
) -> list[Suspect]:
    """Return what hangs on a gauge, oldest first, each with its grounds.

    Parameters: recordings; every calibration by its row; charts of the check standards of the store.
    """
    found = []
    for one in sweeps:
        held = calibrations.get(one.gauge_id) if one.gauge_id is not None else None
        why = (
            *([] if held is None else _past_due(one, held)),
            *([] if held is None else _found_worse(held, calibrations)),
            *(ground for chart in charts for ground in _check_failed(one, chart)),
        )
        if why:
            found.append(Suspect(one, why))
    return found


def _past_due(one: StoredSweep, held: GaugeEntry) -> list[str]:
    if held.due is None or one.started[:10] <= held.due:
        return []
    return [f"measured after its certificate was due ({held.due})"]


def _found_worse(held: GaugeEntry, calibrations: Mapping[int, GaugeEntry]) -> list[str]:
    """Return what the calibration after the one that held has found, where that is more."""
    later = [
        one
        for one in calibrations.values()
        if (one.id, one.kind, one.source) == (held.id, held.kind, "register") and _added(one) > _added(held)
    ]
    after = min(later, key=_added, default=None)
    if after is None or after.error_mm is None or held.error_mm is None:
        return []
    taken_u_mm = held.error_mm * _U_OF[held.error_means or "limits"]
    if after.error_mm * _U_OF[after.error_means or "limits"] <= taken_u_mm:
        return []
    by = f"certificate {after.certificate}" if after.certificate else f"the calibration of {after.added[:10]}"
    return [f"{by} found {after.error_mm:g} mm where {held.error_mm:g} mm was reckoned with"]


def _added(one: GaugeEntry) -> tuple[str, int]:
    return one.added, one.gauge_id or 0


def _check_failed(one: StoredSweep, chart: CheckChart) -> list[str]:
    """Return the failed checks that a recording lies beside, with no good one of the same gauge between."""
    mine = [
        point for point in chart.points if point.sweep.gauge is not None and point.sweep.gauge == one.gauge
    ]
    grounds = []
    for k, point in enumerate(mine):
        if not point.out:
            continue
        good_before = next((other for other in reversed(mine[:k]) if not other.out), None)
        good_after = next((other for other in mine[k:] if not other.out), None)
        since = good_before.sweep.started if good_before else ""
        until = good_after.sweep.started if good_after else "~"
        if since < one.started < until and one.recording_id != point.sweep.recording_id:
            after = f"after the last good check ({since})" if since else "before any good check"
            grounds.append(f"{after} of {point.sweep.part!r}, which was out on {point.sweep.started}")
    return grounds
