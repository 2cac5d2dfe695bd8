"""How late a gauge is, learnt from sweeps both ways round and at two speeds."""

from logger.commands.emitting import emit
from logger.commands.options import OutputOptions, SweepOptions
from logger.reports import learnt_lag
from logger.studies import study_lag


def run(
    forward: str, backward: str, slow: tuple[str, ...], sweep_options: SweepOptions, output: OutputOptions
) -> int:
    """Print lag and play, and how to use them."""
    unit = output.unit
    study = study_lag(sweep_options.analysed((forward, backward, *slow)))
    emit(
        output,
        lambda: learnt_lag.as_json(study),
        lambda: learnt_lag.as_text(study, unit),
        list(study.sweeps),
    )
    return 0
