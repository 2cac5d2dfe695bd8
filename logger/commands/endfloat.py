"""``fullturn endfloat``: a shaft pushed home and pulled out, and whether a face sweep can be believed."""

import click

from analysis.errors import BadInput
from analysis.setup import Quantity
from logger.commands.options import OutputOptions, SetupOptions, result_options, setup_options

OVER_THE_GATE = 1
NO_RUNOUT = (Quantity.THICKNESS, Quantity.TILT)
"""Quantities no share of which end float could be."""


@click.command()
@click.argument("file", metavar="FILE")
@click.option("--seed", type=int, default=1, help="Seed of a practice:NAME (default 1).")
@setup_options
@result_options
def command(
    file: str,
    seed: int,
    asked: SetupOptions,
    output: OutputOptions,
) -> int:
    """Tell the end float of a push-pull capture and hold it against a share of the limit.

    Ends 1 over the gate: half of the runout's limit, or the whole of a limit on end_float.
    """
    unit = output.unit
    from analysis.decision import limit_at_track  # noqa: PLC0415
    from analysis.measurands import end_float  # noqa: PLC0415
    from logger.commands.emitting import emit  # noqa: PLC0415
    from logger.inputs import load_sweep  # noqa: PLC0415
    from logger.reports import end_float as report  # noqa: PLC0415
    from logger.reports.phrases import limit_words  # noqa: PLC0415

    capture = load_sweep(file, asked.text(), seed=seed).capture
    entered = capture.setup.limit
    if entered is not None and entered.quantity in NO_RUNOUT:
        raise BadInput(
            f"a limit on {entered.quantity} says nothing of end float: give the runout's (--quantity tir) or "
            "the end float's own (--quantity end_float)"
        )
    limit_mm = None if entered is None else limit_at_track(entered, capture.setup)[0]
    own = entered is not None and entered.quantity == Quantity.END_FLOAT
    found = end_float(capture, limit_mm, own_limit=own)
    words = limit_words(entered.length.mm, entered.length.as_written) if entered else ""
    emit(
        output,
        lambda: report.as_json(found),
        lambda: report.as_text(found, words, unit, own_limit=own),
    )
    return OVER_THE_GATE if found.state == "refused" else 0
