"""Backlash of typed readings, held against the sweep of a face where one is named."""

from analysis.capture import parse_typed
from analysis.measurands import backlash
from analysis.units import parse_number
from logger.commands.emitting import emit
from logger.commands.options import OutputOptions, SweepOptions
from logger.reports import backlash as report


def run(
    readings: str,
    sweep_file: str | None,
    factor: str | None,
    sweep_options: SweepOptions,
    output: OutputOptions,
) -> int:
    """Print mean, range, once-round part, and the phase against the sweep."""
    unit = output.unit
    typed = parse_typed(readings)
    times = None if factor is None else parse_number(factor, "--factor")
    sweep = None if sweep_file is None else sweep_options.analysed([sweep_file])[0]
    found = backlash(
        typed.deg,
        typed.reading_mm,
        sweep=sweep.on_part() if sweep else None,
        sweep_tir_mm=sweep.result.pooled.tir_fit.value if sweep else None,
        factor=times,
    )
    emit(
        output,
        lambda: report.as_json(found),
        lambda: report.as_text(found, sweep, unit),
        [sweep] if sweep else (),
    )
    return 0
