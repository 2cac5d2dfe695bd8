"""The numbers of a page: before, after, and what changed, with U where the interval is even."""

import math
from dataclasses import dataclass

from analysis.measurands import Comparison
from analysis.numerics import UncertainNumber
from analysis.results import SweepResult
from analysis.setup import Quantity
from analysis.units import format_length
from logger.page.part_on_page import MeasuredPart
from logger.page.shown import no_bare_zero
from logger.reports.budget import EVEN
from logger.reports.phrases import QUANTITY_WORDS, between, ends_deg

NONE = "-"


@dataclass(frozen=True, slots=True)
class TextTable:
    """Rows under a head; the first column names them."""

    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    widths_mm: tuple[float, ...] = ()
    """Of the columns; empty = even, but for the first."""


def numbers_table(part: MeasuredPart, change: Comparison | None, unit: str) -> TextTable:
    """Return the table of numbers, a column a sweep and one for the change."""
    results = [one.result for one in part.sweeps]
    of_change = change is not None
    rows: list[tuple[str, ...]] = []

    def row(name: str, values: list[str], changed: str = NONE) -> None:
        rows.append((name, *values, *([changed] if of_change else [])))

    quantity, few = _decided(results), all(result.few_places for result in results)
    row(
        f"{QUANTITY_WORDS[quantity]}, every line of the budget in it"
        if quantity != Quantity.TIR
        else "TIR of the readings"
        if few
        else "TIR of the fitted curve",
        [_whole(result, quantity, unit) for result in results],
    )
    if not few:
        row("TIR a dial shows", [format_length(result.pooled.tir_raw_mm, unit) for result in results])
    row(
        "TIR of order 1 @ high side",
        [
            f"{format_length(result.pooled.tir_first.value, unit)} @ {_deg(result.pooled.high_side.value)}"
            for result in results
        ],
        _changed(change, unit),
    )
    row("highest reading" if few else "high point", [_place(result.pooled.high_point) for result in results])
    row("lowest reading" if few else "low point", [_deg(result.pooled.low_point_deg) for result in results])
    row(
        "form (without order 1)",
        [in_words(result.pooled.form, unit) for result in results],
    )
    row(
        "turns; orders fitted",
        [f"{result.pooled.turns}; 1 to {result.pooled.highest_order}" for result in results],
    )
    last = ("change, after less before, as vectors",) if of_change else ()
    return TextTable(("", *(title.lower() for title in part.titles), *last), tuple(rows))


def with_u(number: UncertainNumber, unit: str) -> str:
    """Return a length with U and k where its interval is even about it, else with its ends at 95 %."""
    low, high = number.interval()
    wide, factor = number.expanded()
    even = abs((high - number.value) - (number.value - low)) <= EVEN * wide and math.isfinite(factor)
    value = format_length(number.value, unit)
    if even:
        return f"{value} +- {format_length(wide, unit)} (U, k = {factor:.2f})"
    return f"{value}, 95 %: {between((low, high), unit)}"


def whole_number(result: SweepResult, quantity: Quantity) -> UncertainNumber:
    """Return what is held, or would be held, against a limit: every line of the budget in it.

    At a stage that decides nothing there is only what the sweep itself tells.
    """
    if quantity in result.decidable:
        return result.decidable[quantity].number
    return result.pooled.tir_fit


def _whole(result: SweepResult, quantity: Quantity, unit: str) -> str:
    number = whole_number(result, quantity)
    return with_u(number, unit) if result.few_places else in_words(number, unit)


def in_words(number: UncertainNumber, unit: str) -> str:
    """Return a length, or what it is at most where nothing stands out of the noise."""
    low, high = number.interval()
    return with_u(number, unit) if low > 0.0 else f"at most {format_length(high, unit)} (95 %)"


def _decided(results: list[SweepResult]) -> Quantity:
    decision = results[-1].decision
    return Quantity(decision.quantity) if decision else Quantity.TIR


def _changed(change: Comparison | None, unit: str) -> str:
    if change is None or change.first is None:
        return NONE
    tir, side = change.first.tir_first, change.first.high_side
    by = no_bare_zero(format_length(tir.value, unit))
    return f"{by} @ {_deg(side.value)}, 95 %: {between(tir.interval(), unit)}"


def _place(number: UncertainNumber) -> str:
    low, high = number.interval()
    return f"{_deg(number.value)}, {ends_deg(number)}" if high - low < 360.0 else _deg(number.value)


def _deg(deg: float) -> str:
    return f"{round(deg, 1) % 360.0:.1f} deg"
