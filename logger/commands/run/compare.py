"""Two sweeps compared: the change, and whether it may be told at all."""

from dataclasses import replace

from analysis.measurands import ComparedSweep, compare
from analysis.setup import Setup
from logger.commands.emitting import emit_of
from logger.commands.options import OutputOptions, SweepOptions
from logger.commands.run.chosen_store import present_store
from logger.commands.sweep_names import STORE
from logger.inputs import AnalysedSweep, StoredResult, stored_result
from logger.reports import comparison

NOT_COMPARABLE = 3


def run(before: str, after: str, sweep_options: SweepOptions, output: OutputOptions) -> int:
    """Print the change from before to after."""
    unit = output.unit
    left, right = (_one(name, sweep_options, output) for name in (before, after))
    found = compare(_compared(left), _compared(right))
    emit_of(
        output,
        lambda: comparison.as_json(left, right, found),
        lambda: comparison.as_text(left, right, found, unit),
        [left.origin, right.origin],
        [_setup(left), _setup(right)],
    )
    return 0 if found.comparable else NOT_COMPARABLE


def _one(name: str, sweep_options: SweepOptions, output: OutputOptions) -> AnalysedSweep | StoredResult:
    if name.startswith(STORE):  # its file is gone, or it would stand here
        with present_store(output.settings()) as opened:
            return stored_result(name, sweep_options.setup, opened)
    (one,) = sweep_options.analysed((name,))
    # Where the part sat is told by marks and @DEG too, not by the set-up alone.
    setup = replace(one.result.setup, index_angle_deg=one.index_deg)
    return replace(one, result=replace(one.result, setup=setup))


def _compared(one: AnalysedSweep | StoredResult) -> ComparedSweep:
    return one.compared() if isinstance(one, StoredResult) else ComparedSweep.of(one.result)


def _setup(one: AnalysedSweep | StoredResult) -> Setup:
    return one.setup if isinstance(one, StoredResult) else one.result.setup
