"""The moves of the screws, from one sweep."""

from analysis.correction import adjust
from analysis.errors import BadInput
from analysis.units import parse_angle, parse_length
from logger.commands.emitting import emit
from logger.commands.options import OutputOptions, SweepOptions
from logger.reports import adjustment


def run(
    file: str, screws: str, screw_radius: str | None, sweep_options: SweepOptions, output: OutputOptions
) -> int:
    """Print the move of each screw."""
    unit = output.unit
    angles = [parse_angle(word, "--screws: angle") for word in screws.replace(",", " ").split()]
    radius = None if screw_radius is None else parse_length(screw_radius, "--screw-radius").mm
    if radius is not None and radius <= 0:
        raise BadInput(f"--screw-radius {screw_radius!r} is not above zero")
    (sweep,) = sweep_options.analysed([file])
    setup = sweep.result.setup
    found = adjust(
        sweep.on_part(),
        angles,
        surface=setup.surface,
        screw_radius_mm=radius,
        track_radius_mm=setup.track_radius_mm,
    )
    emit(output, lambda: adjustment.as_json(found), lambda: adjustment.as_text(found, sweep, unit), [sweep])
    return 0
