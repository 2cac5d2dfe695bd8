"""How the thickness varies round a disc, from two opposed tips or from a micrometer."""

from dataclasses import dataclass, replace
from datetime import date

from analysis.capture import Capture, overdue
from analysis.decision import decide
from analysis.errors import BadInput
from analysis.measurands import Thickness, summed, thickness_of_places, thickness_of_sweep
from analysis.results import Check, CheckState
from analysis.separation import checks_of_both_tips
from analysis.setup import Limit, Quantity, Setup
from analysis.sweep import analyse
from logger.commands.emitting import emit_of
from logger.commands.exit_status import status_of
from logger.commands.options import OutputOptions, SetupOptions
from logger.inputs import SweepOrigin, load_opposed, load_sweep, typed_capture
from logger.reports import thickness as report

TYPED = SweepOrigin("typed readings", None, None)


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
            found.against_limits,
            entered.length.mm,
            quantity=Quantity.THICKNESS,
            limit_as_written=entered.length.as_written,
            refused=[check.text for check in seen.checks if check.state is CheckState.REFUSED],
        )
    emit_of(
        output,
        lambda: report.as_json(found, decision, seen.checks),
        lambda: report.as_text(
            found,
            decision,
            seen.checks,
            unit,
            two_tips=not typed,
            past_due=overdue(seen.setup, seen.origin.measured_on(date.today())),
        ),
        [seen.origin],
        [seen.setup],
    )
    return status_of(decision.state if decision else None)


@dataclass(frozen=True)
class _Seen:
    """Thickness, the limit it is held against, and the checks behind it."""

    thickness: Thickness
    limit: Limit | None
    checks: tuple[Check, ...]
    origin: SweepOrigin
    setup: Setup


def _of_places(typed: str, override: dict[str, str]) -> _Seen:
    capture = typed_capture(typed, override)
    bare = _without_limit(capture)
    result = analyse(bare)
    return _Seen(thickness_of_places(result, bare), capture.setup.limit, result.checks, TYPED, capture.setup)


def _of_tips(file: str, override: dict[str, str], second: int, seed: int) -> _Seen:
    loaded = load_sweep(file, override, seed=seed)
    near = loaded.capture
    far = load_opposed(file, override, second, near, seed=seed).capture
    tips = _without_limit(near), _without_limit(far)
    result, alone, other = analyse(summed(*tips)), *map(analyse, tips)
    checks = checks_of_both_tips(result.checks, alone, other)
    return _Seen(thickness_of_sweep(result, alone), near.setup.limit, checks, loaded.origin, near.setup)


def _without_limit(capture: Capture) -> Capture:
    return replace(capture, setup=replace(capture.setup, limit=None))
