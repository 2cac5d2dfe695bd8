"""How the thickness varies round a disc, from two opposed tips or from a micrometer."""

from dataclasses import dataclass, replace

from analysis.capture import Capture
from analysis.decision import decide
from analysis.errors import BadInput
from analysis.measurands import Thickness, summed, thickness_of_places, thickness_of_sweep
from analysis.results import Check, CheckState
from analysis.separation import checks_of_both_tips
from analysis.setup import Limit, Quantity
from analysis.sweep import analyse
from logger.commands.emitting import emit
from logger.commands.exit_status import status_of
from logger.commands.options import OutputOptions, SetupOptions
from logger.inputs import load_opposed, load_sweep, typed_capture
from logger.reports import thickness as report


def run(
    file: str | None,
    typed: str | None,
    second: int,
    seed: int,
    setup_options: SetupOptions,
    output: OutputOptions,
) -> int:
    """Print the variation, where the disc is thinnest, and the decision."""
    if bool(file) == bool(typed):
        raise BadInput("give either FILE with two channels, or --typed micrometer readings")
    unit = output.unit
    if setup_options.quantity not in (None, "thickness"):
        raise BadInput(
            f"--quantity {setup_options.quantity}: a thickness is held against a limit on thickness alone; "
            "leave it out"
        )
    if setup_options.limit is not None:
        setup_options = replace(setup_options, quantity="thickness")
    override = setup_options.text()
    seen = _of_places(typed, override) if typed else _of_tips(file or "", override, second, seed)
    found, entered = seen.thickness, seen.limit
    decision = None
    if entered is not None and entered.quantity == Quantity.THICKNESS:
        decision = decide(
            found.variation,
            entered.length.mm,
            quantity=Quantity.THICKNESS,
            limit_as_written=entered.length.as_written,
            refused=[check.text for check in seen.checks if check.state is CheckState.REFUSED],
        )
    emit(
        output,
        lambda: report.as_json(found, decision, seen.checks),
        lambda: report.as_text(found, decision, seen.checks, unit, two_tips=not typed),
    )
    return status_of(decision.state if decision else None)


@dataclass(frozen=True)
class _Seen:
    """Thickness, the limit it is held against, and the checks behind it."""

    thickness: Thickness
    limit: Limit | None
    checks: tuple[Check, ...]


def _of_places(typed: str, override: dict[str, str]) -> _Seen:
    capture = typed_capture(typed, override)
    bare = _without_limit(capture)
    result = analyse(bare)
    return _Seen(thickness_of_places(result, bare), capture.setup.limit, result.checks)


def _of_tips(file: str, override: dict[str, str], second: int, seed: int) -> _Seen:
    near = load_sweep(file, override, seed=seed).capture
    far = load_opposed(file, override, second, seed=seed).capture
    tips = _without_limit(near), _without_limit(far)
    result = analyse(summed(*tips))
    checks = checks_of_both_tips(result.checks, *map(analyse, tips))
    return _Seen(thickness_of_sweep(result), near.setup.limit, checks)


def _without_limit(capture: Capture) -> Capture:
    return replace(capture, setup=replace(capture.setup, limit=None))
