"""``fullturn thickness``: two opposed tips in one recording, or a micrometer typed round the disc."""

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import click

from analysis.errors import BadInput
from analysis.setup import Quantity
from logger.commands.options import (
    OutputOptions,
    SetupOptions,
    result_options,
    setup_options,
    status_of,
)

if TYPE_CHECKING:
    from analysis.measurands import Thickness
    from analysis.results import Check
    from analysis.setup import Limit


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
    asked: SetupOptions,
    output: OutputOptions,
) -> int:
    """Tell how the thickness varies round a disc, independent of its wobble.

    Ends 0 (within a given limit, or none given), 1 over, 3 not decided.
    """
    if bool(file) == bool(typed):
        raise BadInput("give either FILE with two channels, or --typed micrometer readings")
    unit = output.unit
    if asked.quantity not in (None, "thickness"):
        raise BadInput(
            f"--quantity {asked.quantity}: a thickness is held against a limit on thickness alone; "
            "leave it out"
        )
    override = (asked if asked.limit is None else replace(asked, quantity="thickness")).text()
    from analysis.decision import decide, estimate_with_u  # noqa: PLC0415
    from logger.commands.emitting import emit  # noqa: PLC0415
    from logger.reports import thickness as report  # noqa: PLC0415

    seen = _of_places(typed, override) if typed else _of_tips(file or "", override, second, seed)
    found, entered = seen.thickness, seen.limit
    decision = None
    if entered is not None and entered.quantity == Quantity.THICKNESS:
        estimate = estimate_with_u("thickness", found.variation_mm, found.u_variation_mm, seen.dof)
        decision = decide(
            estimate,
            entered.length.mm,
            limit_as_written=entered.length.as_written,
            refused=[check.text for check in seen.checks if check.state == "refused"],
            upper_mm=seen.upper_mm,
        )
    emit(
        output,
        lambda: report.as_json(found, decision, seen.checks),
        lambda: report.as_text(found, decision, seen.checks, unit, two_tips=not typed),
    )
    return status_of(decision.state if decision else None)


@dataclass(frozen=True)
class _Seen:
    """Thickness, how sure, the limit it is held against, and the checks behind it."""

    thickness: "Thickness"
    dof: float
    limit: "Limit | None"
    checks: "tuple[Check, ...]"
    upper_mm: float | None
    """Upper end where more may lie unseen between few places; None where nothing does."""


def _of_places(typed: str, override: dict[str, str]) -> _Seen:
    from analysis.measurands import thickness_of_places  # noqa: PLC0415
    from analysis.sweep import analyse  # noqa: PLC0415
    from logger.inputs import typed_capture  # noqa: PLC0415

    capture = typed_capture(typed, override)
    bare = replace(capture, setup=replace(capture.setup, limit=None))
    result = analyse(bare)
    found = thickness_of_places(result, bare)
    return _Seen(found, math.inf, capture.setup.limit, result.checks, found.interval_mm[1])


def _of_tips(file: str, override: dict[str, str], second: int, seed: int) -> _Seen:
    from analysis.measurands import summed, thickness_of_sweep  # noqa: PLC0415
    from analysis.separation import worst_of_tips  # noqa: PLC0415
    from analysis.sweep import analyse  # noqa: PLC0415
    from logger.inputs import load_sweep  # noqa: PLC0415

    tips = [
        load_sweep(file, given, seed=seed).capture
        for given in (override, {**override, "channel": str(second)})
    ]
    limit = tips[0].setup.limit
    bare = [replace(tip, setup=replace(tip.setup, limit=None)) for tip in tips]
    result = analyse(summed(*bare))
    checks = worst_of_tips(result.checks, analyse(bare[0]), analyse(bare[1]))
    return _Seen(thickness_of_sweep(result), result.pooled.dof, limit, checks, None)
