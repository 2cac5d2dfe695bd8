"""The history by recording, by group and in time, as text and as JSON; the keys are a promise."""

from collections.abc import Sequence
from typing import Any

from analysis.store import StoredNumber, StoredSweep, stored_number
from analysis.units import format_count, format_length
from logger.reports.history import conclusion
from logger.reports.phrases import QUANTITY_WORDS, Report, Section, between, limit_words
from logger.reports.to_json import to_json
from logger.studies import HistoryGroup, Trend, TrendPoint

COLUMNS = 36
"""Width of the picture of a trend, characters."""
ALL_LINES = (
    "Intervals are 95 %, with all lines of the budget where the quantity was held against a limit, else of "
    "that sweep alone."
)


RECORDING_KEYS = (
    "recording_id", "edition", "measured", "part", "serial", "job", "stage", "quantity", "value_mm", "low_mm",
    "high_mm", "limit_mm", "high_point_deg", "state", "ended", "gauge", "operator", "numerics", "file",
    "sha256",
)  # fmt: skip
"""What is told of a recording, in this order."""


# --- recordings ------------------------------------------------------------------------------------------


def recordings_as_json(sweeps: Sequence[StoredSweep]) -> dict[str, Any]:
    """Return the object of ``history --by recording``."""
    return to_json({"recordings": [_recording(one) for one in sweeps]})


def _recording(one: StoredSweep) -> dict[str, Any]:
    number = stored_number(one)
    pooled = (one.result or {}).get("pooled") or {}
    found = {"measured": one.started, "high_point_deg": pooled.get("high_point_deg")} | {
        key: getattr(number, key, None) for key in ("quantity", "value_mm", "low_mm", "high_mm", "limit_mm")
    }
    return {key: found[key] if key in found else getattr(one, key) for key in RECORDING_KEYS}


def recordings_as_text(sweeps: Sequence[StoredSweep], where: str, unit: str) -> Report:
    """Return the text of ``history --by recording``; there is at least one."""
    return Report(
        f"{format_count(len(sweeps), 'recording')} in {where}, oldest first",
        rows=tuple(_row(one, unit) for one in sweeps),
        notes=(ALL_LINES, "store:rec/IDENTITY stands wherever a file does."),
    )


def _row(one: StoredSweep, unit: str) -> str:
    found = stored_number(one)
    number = "-" if found is None else _with_interval(found, unit)
    pooled = (one.result or {}).get("pooled") or {}
    high = pooled.get("high_point_deg")
    at = "" if high is None else f" @ {high:5.1f} deg"
    name = " ".join(filter(None, (one.part or "(no part named)", one.serial)))
    by = " ".join(filter(None, (one.gauge, one.operator)))
    said = conclusion(one.state, one.ended, bool(one.setup.get("limit")))
    named = f"rec/{one.recording_id[:8]}  {one.started}  {name:<24} {one.stage:<12}"
    return f"{named} {number}{at}  {said}  {by}".rstrip()


def _with_interval(number: StoredNumber, unit: str) -> str:
    value = format_length(number.value_mm, unit)
    if number.low_mm is None or number.high_mm is None:
        return value
    return f"{value} ({between((number.low_mm, number.high_mm), unit)})"


# --- groups ----------------------------------------------------------------------------------------------


def groups_as_json(groups: Sequence[HistoryGroup]) -> dict[str, Any]:
    """Return the object of ``history --by part``, ``job`` or ``month``."""
    return to_json(
        {
            "groups": [
                {
                    "of": one.of,
                    "recordings": one.recordings,
                    "turns": one.turns,
                    **{state: one.states[state] for state in ("within", "over", "undecided")},
                    "none": one.states[None],
                    "first": one.first,
                    "last": one.last,
                }
                for one in groups
            ]
        }
    )


def groups_as_text(groups: Sequence[HistoryGroup], by: str, where: str) -> Report:
    """Return the text of ``history --by part``, ``job`` or ``month``; there is at least one."""
    return Report(
        f"By {by}: {len(groups)} in {where}",
        rows=tuple(
            f"{one.of or f'(no {by} named)':<28} "
            f"{format_count(one.recordings, 'recording'):>16}, {format_count(one.turns, 'turn')}: "
            f"{one.states['within']} within, {one.states['over']} over, {one.states['undecided']} not "
            f"decided, {one.states[None]} without a decision; {one.first[:10]} to {one.last[:10]}"
            for one in groups
        ),
    )


# --- in time ---------------------------------------------------------------------------------------------


def trend_as_json(found: Trend) -> dict[str, Any]:
    """Return the object of ``history --trend``."""
    return to_json(
        {
            "trend": {
                "quantity": found.quantity,
                "points": [
                    {
                        "recording_id": one.sweep.recording_id,
                        "measured": one.sweep.started,
                        "value_mm": one.number.value_mm,
                        "low_mm": one.number.low_mm,
                        "high_mm": one.number.high_mm,
                        "limit_mm": one.number.limit_mm,
                        "state": one.sweep.state,
                    }
                    for one in found.points
                ],
                "slope_mm_per_month": found.slope_mm_per_month,
                "slope_95": found.slope_95,
                "dof": found.dof,
                "without": found.without,
            }
        }
    )


def trend_as_text(found: Trend, part: str, unit: str) -> Report:
    """Return the text of ``history --trend``."""
    points, words = found.points, QUANTITY_WORDS[found.quantity]
    if not points:
        return Report(f"None of {format_count(found.without, 'recording')} of {part!r} holds its {words}.")
    numbers = [one.number for one in points]
    ends = [value for each in numbers for value in (each.value_mm, each.low_mm, each.high_mm, each.limit_mm)]
    known = [value for value in ends if value is not None]
    low, high = min(known), max(known)
    limit = next((one for one in reversed(points) if one.number.limit_mm is not None), None)
    notes = [ALL_LINES]
    if limit is not None and limit.number.limit_mm is not None:
        notes.insert(0, f"| is the entered limit: {limit_words(limit.number.limit_mm, _as_written(limit))}.")
    if found.without:
        notes.append(f"{format_count(found.without, 'recording')} without {words}.")
    return Report(
        f"{words} of {part!r} over {format_count(len(points), 'recording')}: {_slope(found, unit)}",
        rows=tuple(
            f"{one.sweep.started}  {_with_interval(one.number, unit)}  [{_drawn(one.number, low, high)}]"
            for one in points
        ),
        sections=(
            Section(
                f"The picture reaches from {format_length(low, unit)} to {format_length(high, unit)}; "
                "o the value, --- its interval.",
                notes=tuple(notes),
            ),
        ),
    )


def _as_written(point: TrendPoint) -> str:
    decision = (point.sweep.result or {}).get("decision") or {}
    return str(decision.get("limit_as_written") or f"{point.number.limit_mm:g} mm")


def _slope(found: Trend, unit: str) -> str:
    if found.slope_mm_per_month is None or found.slope_95 is None:
        return "too few at different times to tell a change"
    low, high = found.slope_95
    a_month = f"{format_length(found.slope_mm_per_month, unit)} a month (95 %: {between((low, high), unit)})"
    if low <= 0.0 <= high:
        return f"no change that these recordings tell, {a_month}"
    return f"it {'grows' if low > 0.0 else 'gets less'}, {a_month}"


def _drawn(number: StoredNumber, low_mm: float, high_mm: float) -> str:
    cells = [" "] * COLUMNS

    def at(value_mm: float) -> int:
        share = (value_mm - low_mm) / (high_mm - low_mm) if high_mm > low_mm else 0.5
        return round(share * (COLUMNS - 1))

    if number.low_mm is not None and number.high_mm is not None:
        for k in range(at(number.low_mm), at(number.high_mm) + 1):
            cells[k] = "-"
    if number.limit_mm is not None:
        cells[at(number.limit_mm)] = "|"
    cells[at(number.value_mm)] = "o"
    return "".join(cells)
