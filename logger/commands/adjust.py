"""``fullturn adjust``: moves of screws, jaws or shims that take order 1 out."""

import click

from analysis.errors import BadInput
from logger.commands.options import OutputOptions, result_options
from logger.commands.sweeps_option import SweepOptions, sweep_options


@click.command()
@click.argument("file", metavar="FILE")
@click.option("--screws", required=True, metavar="0,120,240", help="Angles of the screws, jaws or shims.")
@click.option("--screw-radius", metavar="LENGTH", help="Radius the shims sit at (a face).")
@sweep_options
@result_options
def command(
    file: str,
    screws: str,
    screw_radius: str | None,
    every: SweepOptions,
    output: OutputOptions,
) -> int:
    """Print the move of each screw: + = away from the axis; shims under a face are only added."""
    unit = output.unit
    from analysis.correction import adjust  # noqa: PLC0415
    from analysis.units import parse_length, parse_number  # noqa: PLC0415
    from logger.commands.emitting import emit  # noqa: PLC0415
    from logger.inputs import analysed_sweep  # noqa: PLC0415
    from logger.reports import adjustment  # noqa: PLC0415

    angles = [parse_number(word, "--screws: angle") for word in screws.replace(",", " ").split()]
    radius = None if screw_radius is None else parse_length(screw_radius, "--screw-radius").mm
    if radius is not None and radius <= 0:
        raise BadInput(f"--screw-radius {screw_radius!r} is not above zero")
    sweep = analysed_sweep(file, every.override(), seed=every.seed)
    setup = sweep.result.setup
    found = adjust(
        sweep.on_part(),
        angles,
        surface=setup.surface,
        screw_radius_mm=radius,
        track_radius_mm=setup.track_radius_mm,
    )
    emit(output, lambda: adjustment.as_json(found), lambda: adjustment.as_text(found, sweep, unit))
    return 0
