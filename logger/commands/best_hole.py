"""``fullturn best-hole``: every position of a bolted-on part predicted, and the best one."""

from typing import TYPE_CHECKING

import click

from analysis.errors import BadInput
from analysis.setup import Surface
from logger.commands.options import OutputOptions, result_options
from logger.commands.sweeps_option import SweepOptions, sweep_options

if TYPE_CHECKING:
    from analysis.correction import HolePositions
    from analysis.numerics import OrderVectors
    from logger.inputs import AnalysedSweep

NOT_SEPARATED = 3


@click.command()
@click.argument("files", nargs=-1, metavar="[FLANGE PART]")
@click.option("--assembled", multiple=True, metavar="FILE@DEG",
              help="Sweep with the part bolted on at this position; two or more.")  # fmt: skip
@click.option("--holes", metavar="N", help="Number of equal holes, or allowed angles: 0,55,120.")
@sweep_options
@result_options
def command(
    files: tuple[str, ...],
    assembled: tuple[str, ...],
    holes: str | None,
    every: SweepOptions,
    output: OutputOptions,
) -> int:
    """Predict the runout of every position from a sweep of the flange and one of the part.

    Or from two sweeps taken assembled at known positions. Degrees everywhere; hole 1 is at the flange's mark.
    """
    if bool(files) == bool(assembled):
        raise BadInput("give either FLANGE and PART, or --assembled FILE@DEG twice or more")
    if files and len(files) != 2:
        raise BadInput(f"{len(files)} sweep(s): give one of the FLANGE and one of the PART")
    unit = output.unit
    from analysis.correction import hole_positions, positions_from_assembled  # noqa: PLC0415
    from logger.commands.emitting import emit  # noqa: PLC0415
    from logger.inputs import analysed_sweeps, one_surface  # noqa: PLC0415
    from logger.reports import hole_positions as report  # noqa: PLC0415

    chosen = parse_positions(holes) if holes is not None else None
    override = every.override()
    sweeps = analysed_sweeps(files or assembled, override, seed=every.seed)
    surface = one_surface(sweeps)
    wanted = chosen if chosen is not None else _holes_of_setup(sweeps[0])
    other = max(one.result.other_u_mm for one in sweeps)
    notes: list[str] = []
    found: HolePositions
    if files:
        flange, part, scaled = _same_radius(sweeps[0], sweeps[1], surface)
        notes += scaled
        found = hole_positions(flange, part, wanted, other_u_mm=other)
    else:
        read = [one.on_arbor(sweeps[0]) for one in sweeps]
        found = positions_from_assembled(
            [vectors for vectors, _ in read], [alpha for _, alpha in read], wanted, other_u_mm=other
        )
    emit(output, lambda: report.as_json(found), lambda: report.as_text(found, sweeps, notes, unit))
    return 0 if found.best.first_mm is not None else NOT_SEPARATED


def parse_positions(text: str) -> int | list[float]:
    """Read a number of equal holes, or a list of allowed angles in degrees."""
    from analysis.units import parse_number  # noqa: PLC0415

    words = text.replace(",", " ").split()
    if len(words) == 1 and words[0].isdecimal():
        return int(words[0])
    return [parse_number(word, "--holes: angle") for word in words]


def _holes_of_setup(sweep: "AnalysedSweep") -> int | list[float]:
    places = sweep.result.setup.holes
    if len(places) < 2:
        raise BadInput("how many holes? give --holes N, or a list of allowed angles")
    return [hole.deg for hole in places]


def _same_radius(
    flange: "AnalysedSweep", part: "AnalysedSweep", surface: str
) -> "tuple[OrderVectors, OrderVectors, list[str]]":
    h, r = flange.on_part(), part.on_part(flange)
    radii = flange.result.setup.track_radius_mm, part.result.setup.track_radius_mm
    if surface != Surface.FACE or radii == (None, None):
        notes = ["no track_radius entered: taken as the same radius"] if surface == Surface.FACE else []
        return h, r, notes
    if radii[0] is None or radii[1] is None:
        missing = flange.name if radii[0] is None else part.name
        raise BadInput(f"{missing} has no track_radius and the other has: a face scales with it; set both")
    if abs(radii[1] / radii[0] - 1.0) < 1e-9:
        return h, r, []
    note = (
        f"the flange at {radii[0]:g} mm is taken as plane and scaled to the part's {radii[1]:g} mm: its "
        "order 1 alone"
    )
    return h.only([1]).scaled(radii[1] / radii[0]), r, [note]
