"""``fullturn compare``: how much and which way it changed, and whether the two may be compared."""

import click

from logger.commands.options import OutputOptions, result_options
from logger.commands.sweeps_option import SweepOptions, sweep_options

NOT_COMPARABLE = 3


@click.command()
@click.argument("before")
@click.argument("after")
@sweep_options
@result_options
def command(
    before: str,
    after: str,
    every: SweepOptions,
    output: OutputOptions,
) -> int:
    """Compare BEFORE and AFTER: the change as a vector, and what makes them comparable or not.

    Ends 3 where something blocks the comparison: another part, surface, quantity, axis, preload.
    """
    unit = output.unit
    from dataclasses import replace  # noqa: PLC0415

    from analysis.measurands import compare  # noqa: PLC0415
    from logger.commands.emitting import emit  # noqa: PLC0415
    from logger.inputs import analysed_sweeps  # noqa: PLC0415
    from logger.reports import comparison  # noqa: PLC0415

    sweeps = [
        # Where the part sat is told by marks and @DEG too, not by the set-up alone.
        replace(
            one,
            result=replace(one.result, setup=replace(one.result.setup, index_angle_deg=one.index_deg)),
        )
        for one in analysed_sweeps((before, after), every.override(), seed=every.seed)
    ]
    found = compare(sweeps[0].result, sweeps[1].result)
    emit(
        output,
        lambda: comparison.as_json(sweeps[0], sweeps[1], found),
        lambda: comparison.as_text(sweeps[0], sweeps[1], found, unit),
    )
    return 0 if found.comparable else NOT_COMPARABLE
