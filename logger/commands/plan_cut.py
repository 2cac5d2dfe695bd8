"""``fullturn plan-cut``: what a cut on this mounting would leave in the bearings, and the cut card."""

import click

from analysis.errors import BadInput
from analysis.setup import Surface
from logger.commands.options import OutputOptions, check_quantity, result_options, worst_status
from logger.commands.sweeps_option import SweepOptions, sweep_options

STATUS_OF_ADVICE = {"mounting-good": 0, "mount-again": 1, "undecided": 3}


@click.command()
@click.option("--bearings", multiple=True, metavar="FILE",
              help="Sweep in the part's own bearings; two at two planes of an outside or bore.")  # fmt: skip
@click.option("--mounting", "mountings", multiple=True, metavar="FILE[@DEG]",
              help="Sweep on the lathe; the LAST one is on the lathe now.")  # fmt: skip
@click.option("--track", "tracks", multiple=True, metavar="FILE[@DEG]",
              help="Further track of the mounting on the lathe now, zero not touched.")  # fmt: skip
@click.option("--between", metavar="FILE[@DEG]", help="Sweep taken between passes: what is still uncut.")
@click.option("--comes-off", is_flag=True,
              help="The part comes off before the cut: scatter of the mountings joins.")  # fmt: skip
@click.option("--limit", help='Limit in the bearings, with its unit (default: the set-up\'s): "0.05 mm".')
@click.option("--quantity", help="Quantity of the limit: tir, tir_first, eccentricity.")
@click.option("--minimum", help="Least stock the maker allows to be left.")
@click.option("--stock", help="Stock there is now.")
@click.option("--allowance", default="0 mm", help="To take below the lowest place (default 0).")
@click.option("--pass-depth", help="Deepest single pass.")
@sweep_options
@result_options
def command(
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
    every: SweepOptions,
    output: OutputOptions,
) -> int:
    """Predict the runout that a perfect cut would leave, for each mounting, and plan the cut.

    Ends 0 mounting good enough, 1 mount it again or a stop on the card, 3 not decided, 2 bad input.
    """
    if not bearings or not mountings:
        raise BadInput("give --bearings FILE and --mounting FILE: the mount vector is lathe less bearings")
    if len(bearings) > 2:
        raise BadInput(f"--bearings {len(bearings)} times: give one sweep, or two at two planes")
    if comes_off and len(mountings) < 2:
        raise BadInput(
            "--comes-off needs two or more --mounting: how far mountings scatter is told from repeated ones"
        )
    unit = output.unit
    from analysis.setup import make_limit  # noqa: PLC0415
    from analysis.units import parse_length  # noqa: PLC0415
    from logger.commands.emitting import emit  # noqa: PLC0415
    from logger.inputs import analysed_sweep, analysed_sweeps, one_part, one_surface  # noqa: PLC0415
    from logger.reports import cut  # noqa: PLC0415
    from logger.studies import study_mountings  # noqa: PLC0415

    lengths = {
        name: None if text is None else parse_length(text, "--" + name.replace("_", "-")).mm
        for name, text in (
            ("minimum", minimum),
            ("stock", stock),
            ("allowance", allowance),
            ("pass_depth", pass_depth),
        )
    }
    written = None if limit is None else parse_length(limit, "--limit")
    override = every.override()
    own, *second = analysed_sweeps(bearings, override, seed=every.seed)
    lathe = analysed_sweeps(mountings, override, seed=every.seed)
    further = analysed_sweeps(tracks, override, seed=every.seed)
    passed = None if between is None else analysed_sweep(between, override, seed=every.seed)
    named = [own, *second, *lathe, *further, *([passed] if passed else [])]
    one_part(named)
    surface = one_surface(named)
    if second and surface == Surface.FACE:
        raise BadInput("--bearings twice is for an outside or bore at two planes: a face has one plane")
    setup = own.result.setup
    entered = own.capture.setup.limit
    if written is not None:
        kind = quantity or (entered.quantity if entered else "tir")
        entered = make_limit(
            written, kind, surface=surface, radius_mm=entered.radius_mm if entered else None
        )  # fmt: skip
    elif quantity is not None:
        check_quantity(setup.text, quantity)
    if entered is None:
        raise BadInput('no limit to decide by: give --limit as the manual writes it, "0.05 mm"')
    study = study_mountings(
        [own, *second],
        lathe,
        entered,
        surface,
        lengths_mm=lengths,
        comes_off=comes_off,
        tracks=further,
        between=passed,
    )
    emit(output, lambda: cut.as_json(study), lambda: cut.as_text(study, unit))
    return worst_status([STATUS_OF_ADVICE[study.now.advice], 1 if study.card.stops else 0])
