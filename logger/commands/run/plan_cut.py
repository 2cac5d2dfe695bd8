"""What a cut on each mounting would leave, and the card of the cut on the one that is on the lathe now."""

from analysis.errors import BadInput
from analysis.setup import Limit, Surface, make_limit
from analysis.units import Length, parse_length
from logger.commands.emitting import emit
from logger.commands.exit_status import worst_status
from logger.commands.options import OutputOptions, SweepOptions, check_quantity
from logger.inputs import AnalysedSweep, one_part, one_surface
from logger.reports import cut
from logger.studies import study_mountings

STATUS_OF_ADVICE = {"mounting-good": 0, "mount-again": 1, "undecided": 3}


def run(
    bearings: tuple[str, ...],
    mountings: tuple[str, ...],
    tracks: tuple[str, ...],
    between: str | None,
    comes_off: bool,
    limit: str | None,
    quantity: str | None,
    minimum: str | None,
    stock: str | None,
    allowance: str,
    pass_depth: str | None,
    sweep_options: SweepOptions,
    output: OutputOptions,
) -> int:
    """Print a prediction for each mounting, and the cut card."""
    if not bearings or not mountings:
        raise BadInput("give --bearings FILE and --mounting FILE: the mount vector is lathe less bearings")
    if len(bearings) > 2:
        raise BadInput(f"--bearings {len(bearings)} times: give one sweep, or two at two planes")
    if comes_off and len(mountings) < 2:
        raise BadInput(
            "--comes-off needs two or more --mounting: how far mountings scatter is told from repeated ones"
        )
    unit = output.unit
    lengths_mm = {
        name: None if text is None else parse_length(text, "--" + name.replace("_", "-")).mm
        for name, text in (
            ("minimum", minimum),
            ("stock", stock),
            ("allowance", allowance),
            ("pass_depth", pass_depth),
        )
    }
    typed_limit = None if limit is None else parse_length(limit, "--limit")
    own, *second = sweep_options.analysed(bearings)
    lathe = sweep_options.analysed(mountings)
    further = sweep_options.analysed(tracks)
    passed = sweep_options.analysed(() if between is None else (between,))
    named = [own, *second, *lathe, *further, *passed]
    one_part(named)
    surface = one_surface(named)
    if second and surface == Surface.FACE:
        raise BadInput("--bearings twice is for an outside or bore at two planes: a face has one plane")
    plan = study_mountings(
        [own, *second],
        lathe,
        _limit(own, typed_limit, quantity, surface),
        surface,
        lengths_mm=lengths_mm,
        comes_off=comes_off,
        tracks=further,
        between=passed[0] if passed else None,
    )
    emit(output, lambda: cut.as_json(plan), lambda: cut.as_text(plan, unit), named)
    return worst_status([STATUS_OF_ADVICE[plan.now.advice], 1 if plan.card.stops else 0])


def _limit(own: AnalysedSweep, typed: Length | None, quantity: str | None, surface: str) -> Limit:
    """Return the limit to decide by: the one typed now, or that of the bearings' sweep; BadInput for none."""
    entered = own.capture.setup.limit
    if typed is not None:
        kind = quantity or (entered.quantity if entered else "tir")
        return make_limit(typed, kind, surface=surface, radius_mm=entered.radius_mm if entered else None)
    check_quantity(own.result.setup.text, quantity)
    if entered is None:
        raise BadInput('no limit to decide by: give --limit as the manual writes it, "0.05 mm"')
    return entered
