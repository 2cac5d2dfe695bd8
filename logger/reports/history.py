"""The turns in the store, oldest first, as text and as JSON; the keys are a promise."""

from collections.abc import Sequence
from typing import Any

from analysis.store import HistoryRow
from analysis.units import format_length
from logger.reports.phrases import STATE_WORDS, Report, Section
from logger.reports.to_json import to_json

ENDED_WORDS = {"running": "not finished", "interrupted": "interrupted"}
MARKS_AND_NUMERICS = (
    "Turns of one mark number count their angles from the same mark; digits of two numerics may differ."
)
ADD = (
    "Not finished: still being recorded, or its program was ended. `fullturn store add FILE` adds what its "
    "file holds."
)
REPAIR = (
    "No recording is lost: put the store's file aside, begin a new one and add the recordings to it "
    "(fullturn store add FILE...)."
)


def as_json(rows: Sequence[HistoryRow], damaged: Sequence[int] = ()) -> dict[str, Any]:
    """Return the object of ``history``; ``damaged`` are the numbers of turns that cannot be read."""
    return to_json(
        {
            "turns": [
                {
                    "id": row.id,
                    "part": row.part,
                    "stage": row.stage,
                    "recorded": row.recorded,
                    "tir_fit_mm": row.tir_fit_mm,
                    "high_point_deg": row.high_point_deg,
                    "state": row.state,
                    "recording_id": row.recording_id,
                    "sha256": row.sha256,
                    "ended": row.ended,
                    "numerics": row.numerics,
                    "mark": row.mark,
                }
                for row in rows
            ],
            "damaged": list(damaged),
        }
    )


def as_text(
    rows: Sequence[HistoryRow],
    where: str,
    unit: str,
    damaged: Sequence[int] = (),
    *,
    most: int | None = None,
) -> Report:
    """Return the text of ``history`` of the store ``where``; there is at least one turn, damaged or not.

    ``most``: so many of the newest are shown; None = all.
    """
    of = len(rows)
    rows = rows if most is None else rows[-most:]
    marks = {
        mark: number for number, mark in enumerate(dict.fromkeys(row.mark for row in rows if row.mark), 1)
    }
    numbers = ", ".join(map(str, damaged))
    notes = (
        *([f"The newest {len(rows)} of {of} turns; --last N shows more or fewer."] if len(rows) < of else []),
        *([f"Damaged in the store, not listed: turn {numbers}. {REPAIR}"] if damaged else []),
        MARKS_AND_NUMERICS,
        *([ADD] if any(row.ended == "running" for row in rows) else []),
    )
    return Report(
        f"{of} turns in {where}; lengths are fitted TIR, angles the high point",
        rows=tuple(_row(row, unit, marks) for row in rows),
        sections=(Section(notes=notes),),
    )


def _row(row: HistoryRow, unit: str, marks: dict[str, int]) -> str:
    tir = format_length(row.tir_fit_mm, unit) if row.tir_fit_mm is not None else "-"
    high = f"{row.high_point_deg:5.1f} deg" if row.high_point_deg is not None else "    -    "
    name = row.part or "(no part named)"
    mark = f"mark {marks[row.mark]}" if row.mark else "mark -"
    numerics = f"numerics {row.numerics or '-'}"
    return (
        f"{row.id:>4}  {row.recorded}  {name:<24} {row.stage:<12} {tir:>11} @ {high}  {mark}  {numerics}  "
        f"{conclusion(row.state, row.ended, bool(row.setup.get('limit')))}"
    )


def conclusion(state: str | None, ended: str | None, limit_entered: bool) -> str:
    """Return what was concluded of a recording, or why nothing was."""
    if state is not None:
        return STATE_WORDS[state]
    if ended in ENDED_WORDS:
        return ENDED_WORDS[ended]
    return "no decision" if limit_entered else "no limit entered"
