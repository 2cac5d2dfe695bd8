"""The end float of one push-pull capture, and its gate."""

from datetime import date

from analysis.capture import overdue
from analysis.decision import limit_at_track
from analysis.errors import BadInput, NotDecidable
from analysis.measurands import end_float
from analysis.results import CheckState
from analysis.setup import Quantity
from logger.commands.emitting import emit_of
from logger.commands.exit_status import status_of
from logger.commands.options import OutputOptions, SetupOptions
from logger.inputs import load_sweep
from logger.reports import end_float as report
from logger.reports.phrases import limit_words

OVER_THE_GATE = 1
NO_RUNOUT = (Quantity.THICKNESS, Quantity.TILT)
"""Quantities no share of which end float could be."""


def run(file: str, seed: int, setup_options: SetupOptions, output: OutputOptions) -> int:
    """Print how far the shaft comes, and whether that is too far."""
    unit = output.unit
    loaded = load_sweep(file, setup_options.text(), seed=seed)
    capture = loaded.capture
    entered = capture.setup.limit
    if entered is not None and entered.quantity in NO_RUNOUT:
        raise BadInput(
            f"a limit on {entered.quantity} says nothing of end float: give the runout's (--quantity tir) or "
            "the end float's own (--quantity end_float)"
        )
    limit_mm = None if entered is None else limit_at_track(entered, capture.setup)[0]
    own = entered is not None and entered.quantity == Quantity.END_FLOAT
    found = end_float(capture, limit_mm, own_limit=own)
    due = overdue(capture.setup, loaded.origin.measured_on(date.today()))
    words = limit_words(entered.length.mm, entered.length.as_written) if entered else ""
    emit_of(
        output,
        lambda: report.as_json(found),
        lambda: report.as_text(found, words, unit, past_due=due),
        [loaded.origin],
    )
    if found.end_float is None and entered is not None:
        return NotDecidable.exit_status
    if found.decision is not None:
        return status_of(found.decision.state)
    return OVER_THE_GATE if found.state is CheckState.REFUSED else 0
