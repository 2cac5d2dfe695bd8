"""Every hole position predicted, from two sweeps apart or from two or more assembled."""

from analysis.correction import HolePositions, hole_positions, positions_from_assembled
from analysis.errors import BadInput
from analysis.numerics import OrderVectors
from analysis.setup import Surface
from analysis.units import format_count, parse_angle, parse_number
from logger.commands.emitting import emit
from logger.commands.options import OutputOptions, SweepOptions
from logger.inputs import AnalysedSweep, one_surface
from logger.reports import hole_positions as report

NOT_DECIDED = 3


def run(
    files: tuple[str, ...],
    assembled: tuple[str, ...],
    part_alone: str | None,
    holes: str | None,
    sweep_options: SweepOptions,
    output: OutputOptions,
) -> int:
    """Print the positions, the best one first."""
    if bool(files) == bool(assembled):
        raise BadInput("give either FLANGE and PART, or --assembled FILE@DEG twice or more")
    if files and len(files) != 2:
        raise BadInput(f"{format_count(len(files), 'sweep')}: give one of the FLANGE and one of the PART")
    if part_alone is not None and not assembled:
        raise BadInput("--part goes with --assembled: of FLANGE and PART the part is read alone already")
    unit = output.unit
    typed_places = parse_positions(holes) if holes is not None else None
    sweeps = sweep_options.analysed(files or assembled)
    alone = sweep_options.analysed([part_alone]) if part_alone is not None else []
    surface = one_surface([*sweeps, *alone])
    places = typed_places if typed_places is not None else _holes_of_setup(sweeps[0])
    _refuse_another_radius(sweeps[0], alone, surface)
    other = max(one.result.other_u_mm for one in sweeps)
    notes: list[str] = []
    found: HolePositions
    if files:
        flange, part, notes = _same_radius(sweeps[0], sweeps[1], surface)
        found = hole_positions(flange, part, places, other_u_mm=other)
    else:
        read = [one.on_arbor(sweeps[0]) for one in sweeps]
        found = positions_from_assembled(
            [vectors for vectors, _ in read],
            [alpha for _, alpha in read],
            places,
            part_alone=alone[0].on_part() if alone else None,
            other_u_mm=other,
        )
    emit(
        output,
        lambda: report.as_json(found),
        lambda: report.as_text(found, [*sweeps, *alone], notes, unit),
        [*sweeps, *alone],
    )
    return 0 if found.best is not None else NOT_DECIDED


def _refuse_another_radius(assembled: AnalysedSweep, alone: list[AnalysedSweep], surface: str) -> None:
    """Refuse, with BadInput, a face of the part alone read at another radius than the assembled one."""
    for sweep in alone if surface == Surface.FACE else ():
        radii = [one.result.setup.track_radius_mm for one in (sweep, assembled)]
        if radii[0] != radii[1]:
            written = [f"{radius:g} mm" if radius is not None else "no track_radius" for radius in radii]
            raise BadInput(
                f"{sweep.name} was read at {written[0]}, {assembled.name} at {written[1]}: a face scales "
                "with the radius; sweep the part at the same one"
            )


def parse_positions(text: str) -> int | list[float]:
    """Read a number of equal holes, or a list of allowed angles in degrees."""
    words = text.replace(",", " ").split()
    if len(words) == 1:
        count = parse_number(words[0], "--holes")
        if count != int(count):
            raise BadInput(f"--holes {text!r} is no whole number: give how many holes there are, as 6")
        return int(count)
    return [parse_angle(word, "--holes: angle") for word in words]


def _holes_of_setup(sweep: AnalysedSweep) -> int | list[float]:
    places = sweep.result.setup.holes
    if len(places) < 2:
        raise BadInput("how many holes? give --holes N, or a list of allowed angles")
    return [hole.deg for hole in places]


def _same_radius(
    flange: AnalysedSweep, part: AnalysedSweep, surface: str
) -> tuple[OrderVectors, OrderVectors, list[str]]:
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
