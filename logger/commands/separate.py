"""``fullturn separate``: part and spindle told apart, by order, from sweeps at different index angles."""

import click

from logger.commands.options import OutputOptions, result_options
from logger.commands.sweeps_option import SweepOptions, sweep_options

NOT_SEPARATED = 3


@click.command()
@click.argument("files", nargs=-1, metavar="FILE[@DEG]...")
@click.option("--arbor", "arbors", multiple=True, metavar="FILE",
              help="Sweep of the arbor alone, from the arbor's mark.")  # fmt: skip
@click.option("--cut-at", metavar="DEG",
              help="Taken after a cut that was made with the part's mark here on the arbor.")  # fmt: skip
@sweep_options
@result_options
def command(
    files: tuple[str, ...],
    arbors: tuple[str, ...],
    cut_at: str | None,
    every: SweepOptions,
    output: OutputOptions,
) -> int:
    """Tell part and spindle apart: sweeps of one part, re-indexed on the arbor by known angles.

    FILE@DEG says where the part's mark sat on the arbor. One sweep is enough beside one of the arbor alone
    (--arbor), or taken after a cut (--cut-at). Two sweeps with part and tip moved to the opposite side
    (tip_clock) are taken as a reversal. Ends 3 where not even order 1 can be separated.
    """
    unit = output.unit
    from analysis.units import parse_number  # noqa: PLC0415
    from logger.commands.emitting import emit  # noqa: PLC0415
    from logger.inputs import analysed_sweeps  # noqa: PLC0415
    from logger.reports import separation  # noqa: PLC0415
    from logger.studies import study_separation  # noqa: PLC0415

    cut_deg = None if cut_at is None else parse_number(cut_at.removesuffix("deg"), "--cut-at")
    override = every.override()
    study = study_separation(
        analysed_sweeps(files, override, seed=every.seed),
        analysed_sweeps(arbors, override, seed=every.seed),
        cut_at_deg=cut_deg,
    )
    emit(output, lambda: separation.as_json(study), lambda: separation.as_text(study, unit))
    return 0 if study.separation.first_separable or study.reversal is not None else NOT_SEPARATED
