"""``fullturn separate``: part and spindle told apart, by order, from sweeps at different index angles."""

import math
from typing import TYPE_CHECKING

import click

from analysis.errors import BadInput
from logger.commands.common import print_json, result_options
from logger.commands.several import override_of, sweep_options
from logger.settings import load_settings

if TYPE_CHECKING:
    from logger.swept import Swept

NOT_SEPARATED = 3


@click.command()
@click.argument("files", nargs=-1, metavar="FILE[@DEG]...")
@sweep_options
@result_options
def command(
    files: tuple[str, ...],
    seed: int,
    setup_file: str | None,
    settings: tuple[str, ...],
    as_json: bool,
    units: str | None,
    store: str | None,
) -> int:
    """Tell part and spindle apart: sweeps of one part, re-indexed on the arbor by known angles.

    FILE@DEG says where the part's mark sat on the arbor. Two sweeps with part and tip moved to the opposite
    side (tip_clock) are taken as a reversal. Ends 3 where not even order 1 can be separated.
    """
    if len(files) < 2:
        raise BadInput(f"{len(files)} sweep(s): give two or more, the part re-indexed between them")
    unit = load_settings(store=store, units=units).units.value
    from analysis.combined import tir_of  # noqa: PLC0415
    from analysis.separation import separate  # noqa: PLC0415
    from logger.results_owners import separation_object  # noqa: PLC0415
    from logger.swept import one_part, one_surface, sweeps_of  # noqa: PLC0415
    from logger.words_owners import separation_text  # noqa: PLC0415

    sweeps = sweeps_of(files, override_of(setup_file, settings), seed=seed)
    one_part(sweeps)
    surface = one_surface(sweeps)
    _same_track(sweeps)
    if _tips_moved(sweeps):
        return _reversal(sweeps, surface, unit, as_json)
    read = [one.on_arbor(sweeps[0]) for one in sweeps]
    found = separate([vectors for vectors, _ in read], [alpha for _, alpha in read])
    known = found.first_separable
    part_tir = tir_of(found.part).value_mm if known else None
    spindle_tir = tir_of(found.spindle).value_mm if known else None
    if as_json:
        print_json(separation_object(found, part_tir, spindle_tir))
    else:
        click.echo(separation_text(found, sweeps, surface, unit))
        for line in _bump_owners(sweeps):
            click.echo(line)
    return 0 if found.first_separable else NOT_SEPARATED


def _same_track(sweeps: "list[Swept]") -> None:
    radii = {one.result.setup.track_radius_mm for one in sweeps}
    if len(radii) > 1 and sweeps[0].result.setup.surface == "face":
        told = ", ".join("not entered" if radius is None else f"{radius:g} mm" for radius in radii)
        raise BadInput(f"sweeps at different radii ({told}): separate needs one and the same track")


def _tips_moved(sweeps: "list[Swept]") -> bool:
    """Tell whether the indicator stood at different clock places; refuse what is no reversal."""
    clocks = [one.result.setup.text.get("tip_clock", "") for one in sweeps]
    if len({clock for clock in clocks if clock}) < 2:
        return False
    opposite = len(sweeps) == 2 and (int(clocks[0]) - int(clocks[1])) % 12 == 6
    alpha = [one.known_index() for one in sweeps]
    half = abs((alpha[-1] - alpha[0]) % 360.0 - 180.0) <= 2.0
    if not (opposite and half):
        raise BadInput(
            f"the indicator stood at {', '.join(clock or '?' for clock in clocks)} o'clock: keep it in one "
            "place, or move part and indicator both by half a turn (reversal, two sweeps)"
        )
    return True


def _reversal(sweeps: "list[Swept]", surface: str, unit: str, as_json: bool) -> int:
    from analysis.combined import tir_of  # noqa: PLC0415
    from analysis.reversal import reversal  # noqa: PLC0415
    from analysis.separation import OwnedOrder, Separation  # noqa: PLC0415
    from logger.results_owners import separation_object  # noqa: PLC0415
    from logger.words_owners import reversal_text  # noqa: PLC0415

    first, second = (one.on_part(sweeps[0]) for one in sweeps)
    found = reversal(first, second, surface)
    motion = found.motion.turned(math.radians(sweeps[0].known_index()))
    if as_json:
        # On a face only the tilt motion comes apart: the part's components stay null.
        orders = tuple(
            OwnedOrder(
                n + 1,
                complex(found.part.z_mm[n]) if found.part_alone else None,
                float(found.part.u_mm[n]) if found.part_alone else None,
                complex(motion.z_mm[n]),
                float(motion.u_mm[n]),
                math.sqrt(0.5),
            )
            for n in range(found.part.highest_order)
        )
        missing = () if found.part_alone else tuple(one.n for one in orders)
        told = Separation(orders, found.part, motion, missing, 0.0)
        part_tir = tir_of(found.part).value_mm if found.part_alone else None
        print_json(separation_object(told, part_tir, tir_of(motion).value_mm))
    else:
        click.echo(reversal_text(found, sweeps, unit))
    return 0


def _bump_owners(sweeps: "list[Swept]") -> list[str]:
    from analysis.across import owners_of_bumps  # noqa: PLC0415

    seen = [(one.result.bumps, one.known_index(), one.result.setup.mark_on) for one in sweeps]
    return owners_of_bumps(seen)
