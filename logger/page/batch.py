"""Many parts on few sheets: how many are within, over and not decided, and a row a part.

Every part keeps its own decision; nothing is made of the batch but counts and pictures.
"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, fields
from typing import Any

from analysis.decision import DecisionState
from analysis.results import CheckState
from analysis.setup import Quantity
from analysis.units import format_length
from logger.batch import checks_as_json, repeats_as_json
from logger.inputs import AnalysedSweep
from logger.page.batch_beside import NOTHING_BESIDE, Beside, sentences
from logger.page.batch_figures import run_chart, tally
from logger.page.batch_row import REFUSED, BatchRow
from logger.page.content import NO_CERTIFICATE, ONLY_THESE, Chapter
from logger.page.fields import time_words
from logger.page.numbers_table import TextTable, whole_number
from logger.page.paragraphs import RISK, RULE_IN_WORDS
from logger.page.shown import known, shown
from logger.reports.csv_table import csv_table
from logger.reports.phrases import STATE_WORDS, place_in_words

ROWS_A_SHEET = 25
TITLE = "RUNOUT MEASUREMENT RECORD OF A BATCH"
NO_LIMIT = "no decision"
AT_THE_LIMIT = (
    "Of parts that all lie exactly at the limit about one in twenty would be said to be within: the rule "
    "holds for each part by itself."
)
SAMPLING = "Every part listed was measured."
_WIDTHS = (8.0, 29.0, 22.0, 17.0, 28.0, 13.0, 24.0, 31.0, 14.0)


@dataclass(frozen=True)
class Batch:
    """The rows, and the sweeps that they are of."""

    rows: tuple[BatchRow, ...]
    sweeps: tuple[AnalysedSweep, ...]
    left_out: tuple[str, ...] = ()
    """What of the job is no row, a line each."""
    beside: Beside = NOTHING_BESIDE
    """Checks, parts put on again and parts left out."""

    @property
    def practice(self) -> bool:
        """True where any part of it came from the virtual bench."""
        return any(one.origin.practice for one in self.sweeps)

    def count(self, state: str) -> int:
        """Return how many parts are in this state."""
        return Counter(row.state for row in self.rows)[state]

    @property
    def status_state(self) -> str | None:
        """State that stands for all, over before not decided; None where nothing was decided."""
        if self.count(DecisionState.OVER):
            return DecisionState.OVER
        if self.count(DecisionState.UNDECIDED) or self.count(REFUSED) or self.beside.suspects:
            return DecisionState.UNDECIDED
        return DecisionState.WITHIN if self.count(DecisionState.WITHIN) else None


def batch_of(
    sweeps: Sequence[AnalysedSweep], left_out: Sequence[str] = (), beside: Beside = NOTHING_BESIDE
) -> Batch:
    """Return a batch in the order measured in, as given."""
    rows = tuple(_row(number, one, beside) for number, one in enumerate(sweeps, 1))
    return Batch(rows, tuple(sweeps), tuple(left_out), beside)


def _row(number: int, one: AnalysedSweep, beside: Beside) -> BatchRow:
    result, text = one.result, one.result.setup.text
    decision, pooled = result.decision, result.pooled
    quantity = Quantity(decision.quantity) if decision else Quantity.TIR
    whole = whole_number(result, quantity)
    low, high = whole.interval()
    not_clear = [check for check in result.checks if check.state is not CheckState.CLEAR]
    refused = any(check.state is CheckState.REFUSED for check in not_clear)
    repeat = beside.repeats.get(text.get("serial", ""))
    identity = one.origin.recording_id or one.origin.sha256 or ""
    return BatchRow(
        number,
        shown(text.get("part", "")),
        time_words(one.origin.measured) or "",
        whole.value,
        low,
        high,
        pooled.high_point.value % 360.0,
        pooled.tir_first.value,
        pooled.high_side.value % 360.0,
        decision.limit_mm if decision else None,
        REFUSED if refused else str(decision.state) if decision else NO_LIMIT,
        ", ".join(f"{check.name} {check.state}" for check in not_clear) or "clear",
        shown(text.get("operator", "")),
        identity[:8],
        shown(text.get("serial", "")),
        beside.suspects.get(text.get("serial", ""), ""),
        None if repeat is None else repeat.second.tir_mm,
        None if repeat is None else repeat.change_tir_mm,
        None if repeat is None else repeat.change_deg,
        next((left.reason for left in beside.skipped if left.serial == text.get("serial")), ""),
    )


def chapters(batch: Batch, unit: str, sampling: str = "") -> list[Chapter]:
    """Return the summary, then a sheet for every so many rows."""
    total = len(batch.rows)
    counts = ", ".join(
        f"{batch.count(state)} {words}"
        for state, words in (*STATE_WORDS.items(), (REFUSED, "refused by a check"), (NO_LIMIT, NO_LIMIT))
        if batch.count(state)
    )
    limits = sorted({row.limit_mm for row in batch.rows if row.limit_mm is not None})
    kinds = sorted({row.part for row in batch.rows if row.part})
    jobs = sorted({one.result.setup.text.get("job", "") for one in batch.sweeps} - {""})
    against = ", ".join(format_length(limit, unit) for limit in limits) or known("")
    summary = Chapter(
        f"{total} parts: {counts}",
        (
            f"Part: {_listed(kinds)}. Job: {_listed(jobs)}.",
            f"Limit at the track: {against}. {shown(sampling) if sampling else SAMPLING}",
            f"Rule for each part: {RULE_IN_WORDS}. {RISK} {AT_THE_LIMIT}",
            *sentences(batch.beside, unit),
            *_without(batch.left_out),
            f"{ONLY_THESE} {NO_CERTIFICATE}",
        ),
        drawings=(run_chart(batch.rows, unit), tally(batch.rows, unit)),
    )
    sheets = [
        Chapter(
            f"Parts {first + 1} to {min(first + ROWS_A_SHEET, total)} of {total}",
            table=_table(batch.rows[first : first + ROWS_A_SHEET], unit),
            new_sheet=True,
        )
        for first in range(0, total, ROWS_A_SHEET)
    ]
    return [summary, *sheets]


MOST_LISTED = 3
"""So many parts, jobs or lines are named on the summary; of more how many there are."""


def _listed(names: Sequence[str]) -> str:
    if not names:
        return known("")
    more = f" and {len(names) - MOST_LISTED} more" if len(names) > MOST_LISTED else ""
    return ", ".join(shown(name, 40) for name in names[:MOST_LISTED]) + more


def _without(left_out: Sequence[str]) -> list[str]:
    """Return what is said of what is no row: the first few, and how many there are."""
    if not left_out:
        return []
    more = f"; and {len(left_out) - MOST_LISTED} more" if len(left_out) > MOST_LISTED else ""
    return ["Not counted: " + "; ".join(shown(one, 120) for one in left_out[:MOST_LISTED]) + f"{more}."]


def _table(rows: Sequence[BatchRow], unit: str) -> TextTable:
    named = "serial" if any(row.serial for row in rows) else "part"
    head = ("no.", named, "measured, UTC", "TIR", "95 %", "high deg", "order 1 @ deg", "state", "by")
    return TextTable(
        head,
        tuple(
            (
                str(row.number),
                f"{known(row.name, 40)} {row.recording}",
                known(row.measured.removesuffix(" UTC")),
                *(_numbers(row, unit) if not row.refused else ("-",) * 4),
                row.words if row.in_doubt == "clear" else f"{row.words}; {shown(row.in_doubt, 60)}",
                known(row.operator, 12) if row.operator else "-",
            )
            for row in rows
        ),
        _WIDTHS,
    )


def _numbers(row: BatchRow, unit: str) -> tuple[str, ...]:
    return (
        format_length(row.tir_mm, unit),
        f"{format_length(row.tir_low_mm, unit).removesuffix(unit)}to {format_length(row.tir_high_mm, unit)}",
        f"{row.high_point_deg:.0f}",
        f"{format_length(row.tir_first_mm, unit)} @ {row.high_side_deg:.0f}",
    )


def csv_of(batch: Batch) -> str:
    """Return the rows as CSV."""
    names = [one.name for one in fields(BatchRow)]
    left = [
        dict.fromkeys(names)
        | {"serial": shown(one.serial), "state": "left out", "reason": shown(one.reason, 200)}
        for one in batch.beside.skipped
        if one.serial not in {row.serial for row in batch.rows}
    ]
    return csv_table(names, [*_rows_as_json(batch), *left])


def _rows_as_json(batch: Batch) -> list[dict[str, Any]]:
    return [{one.name: getattr(row, one.name) for one in fields(BatchRow)} for row in batch.rows]


def batch_as_json(batch: Batch) -> dict[str, Any]:
    """Return the object of ``report --batch``."""
    return {
        "parts": len(batch.rows),
        "within": batch.count(DecisionState.WITHIN),
        "over": batch.count(DecisionState.OVER),
        "undecided": batch.count(DecisionState.UNDECIDED),
        "refused": batch.count(REFUSED),
        "rows": _rows_as_json(batch),
        "standard_checks": checks_as_json(batch.beside.checks),
        "repeats": repeats_as_json(batch.beside.repeats.values()),
        "skipped": [{"serial": one.serial, "reason": one.reason} for one in batch.beside.skipped],
    }


def label_lines(row: BatchRow, one: AnalysedSweep, unit: str) -> tuple[str, ...]:
    """Return what stands on the label of one part."""
    tir, interval = _numbers(row, unit)[:2]
    # A label is narrow, and nothing else on it has an angle.
    place = place_in_words(row.high_point_deg, one.result.setup).replace(" past the part's mark", "")
    numbers = (
        (row.words,)
        if row.refused
        else (
            f"TIR {tir}, 95 % {interval.removesuffix(f' {unit}')}",
            row.words,
            f"high {place}",
        )
    )
    return (
        known(row.name, 34),
        *((shown(row.part, 40),) if row.serial and row.part else ()),
        *numbers,
        f"{row.measured or 'date not recorded'}  {row.recording}",
    )
