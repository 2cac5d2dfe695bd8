"""``fullturn thickness``: two opposed tips in one recording, or a micrometer typed round the disc."""

from typing import TYPE_CHECKING

import click

from analysis.errors import BadInput
from logger.commands.common import print_json, result_options, setup_from, setup_options, status_of
from logger.settings import load_settings

if TYPE_CHECKING:
    from analysis.samples import Capture
    from analysis.thickness import Thickness


@click.command()
@click.argument("file", required=False, metavar="[FILE]")
@click.option("--typed", metavar='"0:9.98 90:9.97 ... mm"', help="Micrometer readings instead of a file.")
@click.option(
    "--second", type=click.IntRange(0, 15), default=1, help="Channel of the opposed tip (default 1)."
)
@click.option("--seed", type=int, default=1, help="Seed of a practice:NAME (default 1).")
@setup_options
@result_options
def command(
    file: str | None,
    typed: str | None,
    second: int,
    seed: int,
    setup_file: str | None,
    settings: tuple[str, ...],
    limit: str | None,
    quantity: str | None,
    channel: int | None,
    as_json: bool,
    units: str | None,
    store: str | None,
) -> int:
    """Tell how the thickness varies round a disc, independent of its wobble.

    Ends 0 (within a given limit, or none given), 1 over, 3 not decided.
    """
    if bool(file) == bool(typed):
        raise BadInput("give either FILE with two channels, or --typed micrometer readings")
    unit = load_settings(store=store, units=units).units.value
    if limit is not None and quantity is None:
        quantity = "thickness"
    override = setup_from(setup_file, settings, limit, quantity, channel)
    from dataclasses import replace  # noqa: PLC0415

    from analysis.decision import decide, estimate_with_u  # noqa: PLC0415
    from logger.results_owners import orders_object  # noqa: PLC0415
    from logger.words_bench import thickness_text  # noqa: PLC0415

    capture = _capture(file, typed, override, second, seed)
    entered = capture.setup.limit
    capture = replace(capture, setup=replace(capture.setup, limit=None))
    found, dof = _found(capture)
    decision = None
    if entered is not None and entered.quantity == "thickness":
        estimate = estimate_with_u("thickness", found.variation_mm, found.u_variation_mm, dof)
        decision = decide(estimate, entered.length.mm, limit_as_written=entered.length.as_written)
    if as_json:
        print_json(
            {
                "variation_mm": found.variation_mm,
                "u_variation_mm": found.u_variation_mm,
                "thinnest_deg": found.thinnest_deg,
                "thinnest_mm": found.thinnest_mm,
                "orders": orders_object(found.vectors),
            }
        )
    else:
        click.echo(thickness_text(found, decision, unit))
    return status_of(decision.state if decision else None)


def _capture(
    file: str | None, typed: str | None, override: dict[str, str], second: int, seed: int
) -> "Capture":
    if typed is not None:
        from logger.tables import typed_capture  # noqa: PLC0415

        return typed_capture(typed, override)
    from analysis.thickness import summed  # noqa: PLC0415
    from logger.inputs import load  # noqa: PLC0415

    assert file is not None
    first = load(file, override, seed=seed).capture
    opposed = load(file, {**override, "channel": str(second)}, seed=seed).capture
    return summed(first, opposed)


def _found(capture: "Capture") -> "tuple[Thickness, float]":
    import math  # noqa: PLC0415

    from analysis.sweep import analyse  # noqa: PLC0415
    from analysis.thickness import thickness_of_places, thickness_of_sweep  # noqa: PLC0415

    result = analyse(capture)
    if capture.angle_source == "typed":
        return thickness_of_places(result, capture), math.inf
    return thickness_of_sweep(result), result.pooled.dof
