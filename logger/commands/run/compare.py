"""Two sweeps compared: the change, and whether it may be told at all."""

from dataclasses import replace

from analysis.measurands import compare
from logger.commands.emitting import emit
from logger.commands.options import OutputOptions, SweepOptions
from logger.reports import comparison

NOT_COMPARABLE = 3


def run(before: str, after: str, sweep_options: SweepOptions, output: OutputOptions) -> int:
    """Print the change from before to after."""
    unit = output.unit
    left, right = (
        # Where the part sat is told by marks and @DEG too, not by the set-up alone.
        replace(
            one,
            result=replace(one.result, setup=replace(one.result.setup, index_angle_deg=one.index_deg)),
        )
        for one in sweep_options.analysed((before, after))
    )
    found = compare(left.result, right.result)
    emit(
        output,
        lambda: comparison.as_json(left, right, found),
        lambda: comparison.as_text(left, right, found, unit),
        [left, right],
    )
    return 0 if found.comparable else NOT_COMPARABLE
