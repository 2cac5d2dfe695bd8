"""Part and spindle told apart from several sweeps."""

from analysis.units import parse_angle
from logger.commands.emitting import emit
from logger.commands.options import OutputOptions, SweepOptions
from logger.reports import separation
from logger.studies import study_separation

NOT_SEPARATED = 3


def run(
    files: tuple[str, ...],
    arbors: tuple[str, ...],
    cut_at: str | None,
    sweep_options: SweepOptions,
    output: OutputOptions,
) -> int:
    """Print the part's own runout and the spindle's, order by order."""
    unit = output.unit
    cut_deg = None if cut_at is None else parse_angle(cut_at, "--cut-at")
    found = study_separation(
        sweep_options.analysed(files), sweep_options.analysed(arbors), cut_at_deg=cut_deg
    )
    emit(
        output,
        lambda: separation.as_json(found),
        lambda: separation.as_text(found, unit),
        [*found.sweeps, *found.arbors],
    )
    return 0 if found.separation.first_separable or found.reversal is not None else NOT_SEPARATED
