"""``fullturn backlash``: readings at a few places, typed; mean, range, once-round part."""

import click

from logger.commands.options import OutputOptions, result_options
from logger.commands.sweeps_option import SweepOptions, sweep_options


@click.command()
@click.argument("readings", metavar='"0:0.13 45:0.15 ... mm"')
@click.option("--sweep", "sweep_file", metavar="FILE", help="Sweep of the face, to hold the phase against.")
@click.option("--factor", metavar="X", help="Change of backlash per axial movement.")
@sweep_options
@result_options
def command(
    readings: str,
    sweep_file: str | None,
    factor: str | None,
    every: SweepOptions,
    output: OutputOptions,
) -> int:
    """Judge backlash read at several places round the gear."""
    unit = output.unit
    from analysis.capture import parse_typed  # noqa: PLC0415
    from analysis.measurands import backlash  # noqa: PLC0415
    from analysis.units import parse_number  # noqa: PLC0415
    from logger.commands.emitting import emit  # noqa: PLC0415
    from logger.reports import backlash as report  # noqa: PLC0415

    typed = parse_typed(readings)
    times = None if factor is None else parse_number(factor, "--factor")
    swept, sweep, tir = None, None, None
    if sweep_file is not None:
        from logger.inputs import analysed_sweep  # noqa: PLC0415

        swept = analysed_sweep(sweep_file, every.override(), seed=every.seed)
        sweep, tir = swept.on_part(), swept.result.pooled.tir_fit_mm
    found = backlash(typed.deg, typed.reading_mm, sweep=sweep, sweep_tir_mm=tir, factor=times)
    emit(output, lambda: report.as_json(found), lambda: report.as_text(found, swept, unit))
    return 0
