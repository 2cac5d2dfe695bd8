"""``fullturn compare``: how much and which way it changed, and whether the two may be compared."""

import click

from logger.commands.common import print_json, result_options
from logger.commands.several import override_of, sweep_options
from logger.settings import load_settings

NOT_COMPARABLE = 3


@click.command()
@click.argument("before")
@click.argument("after")
@sweep_options
@result_options
def command(
    before: str,
    after: str,
    seed: int,
    setup_file: str | None,
    settings: tuple[str, ...],
    as_json: bool,
    units: str | None,
    store: str | None,
) -> int:
    """Compare BEFORE and AFTER: the change as a vector, and what makes them comparable or not.

    Ends 3 where something blocks the comparison: another part, surface, quantity, axis, preload.
    """
    unit = load_settings(store=store, units=units).units.value
    from dataclasses import replace  # noqa: PLC0415

    from analysis.compare import compare  # noqa: PLC0415
    from logger.results_owners import comparison_object  # noqa: PLC0415
    from logger.swept import sweeps_of  # noqa: PLC0415
    from logger.words_owners import comparison_text  # noqa: PLC0415

    sweeps = [
        # Where the part sat is told by marks and @DEG too, not by the set-up alone.
        replace(
            one,
            result=replace(one.result, setup=replace(one.result.setup, index_angle_deg=one.index_deg)),
        )
        for one in sweeps_of((before, after), override_of(setup_file, settings), seed=seed)
    ]
    found = compare(sweeps[0].result, sweeps[1].result)
    if as_json:
        print_json(comparison_object(sweeps[0], sweeps[1], found))
    else:
        click.echo(comparison_text(sweeps[0], sweeps[1], found, unit))
    return 0 if found.comparable else NOT_COMPARABLE
