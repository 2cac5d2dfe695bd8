"""``fullturn plan-cut``: what a cut on this mounting would leave in the bearings, and the cut card."""

import math
from typing import TYPE_CHECKING

import click

from analysis.errors import BadInput
from logger.commands.common import print_json, result_options, worst
from logger.commands.several import override_of, sweep_options
from logger.settings import load_settings

if TYPE_CHECKING:
    from analysis.truing import Prediction
    from logger.swept import Swept

STATUS_OF_ADVICE = {"mounting-good": 0, "mount-again": 1, "undecided": 3}


@click.command()
@click.option("--bearings", metavar="FILE", help="Sweep in the part's own bearings.")
@click.option("--mounting", "mountings", multiple=True, metavar="FILE[@DEG]",
              help="Sweep on the lathe; the LAST one is on the lathe now.")  # fmt: skip
@click.option("--limit", help='Limit in the bearings, with its unit (default: the set-up\'s): "0.05 mm".')
@click.option("--quantity", help="Quantity of the limit: tir, tir_first, eccentricity.")
@click.option("--minimum", help="Least stock the maker allows to be left.")
@click.option("--stock", help="Stock there is now.")
@click.option("--allowance", default="0 mm", help="To take below the lowest place (default 0).")
@click.option("--pass-depth", help="Deepest single pass.")
@sweep_options
@result_options
def command(
    bearings: str | None,
    mountings: tuple[str, ...],
    limit: str | None,
    quantity: str | None,
    minimum: str | None,
    stock: str | None,
    allowance: str,
    pass_depth: str | None,
    seed: int,
    setup_file: str | None,
    settings: tuple[str, ...],
    as_json: bool,
    units: str | None,
    store: str | None,
) -> int:
    """Predict the runout that a perfect cut would leave, for each mounting, and plan the cut.

    Ends 0 mounting good enough, 1 mount it again or a stop on the card, 3 not decided, 2 bad input.
    """
    if not bearings or not mountings:
        raise BadInput("give --bearings FILE and --mounting FILE: the mount vector is lathe less bearings")
    unit = load_settings(store=store, units=units).units.value
    from analysis.cut_card import Track, cut_card  # noqa: PLC0415
    from analysis.decision import limit_at_track  # noqa: PLC0415
    from analysis.setup import make_limit  # noqa: PLC0415
    from analysis.truing import advise, mounting_scatter  # noqa: PLC0415
    from analysis.units import parse_length  # noqa: PLC0415
    from logger.commands.common import check_quantity  # noqa: PLC0415
    from logger.results_owners import card_object, mounting_object  # noqa: PLC0415
    from logger.swept import clock_apart_deg, one_part, one_surface, sweep_of, sweeps_of  # noqa: PLC0415
    from logger.words_owners import plan_text  # noqa: PLC0415

    lengths = {
        name: None if text is None else parse_length(text, name).mm
        for name, text in (
            ("--minimum", minimum),
            ("--stock", stock),
            ("--allowance", allowance),
            ("--pass-depth", pass_depth),
        )
    }
    written = None if limit is None else parse_length(limit, "--limit")
    override = override_of(setup_file, settings)
    own = sweep_of(bearings, override, seed=seed)
    lathe = sweeps_of(mountings, override, seed=seed)
    one_part([own, *lathe])
    surface = one_surface([own, *lathe])
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
    limit_mm, scaled = limit_at_track(entered, setup)
    notes = [scaled] if scaled else []
    told = []
    for one in lathe:
        prediction = _predict(own, one, surface)
        refused = [*own.refused, *one.refused]
        advice, decision = advise(
            prediction,
            limit_mm,
            quantity=entered.quantity,
            limit_as_written=entered.length.as_written,
            refused=refused,
        )
        told.append((one, prediction, advice, decision))
    now, prediction, advice, decision = told[-1]
    notes += prediction.remarks
    if not clock_apart_deg(now)[1]:
        notes.append("tip_clock and tool_clock not both entered: taken as the same place")
    stops = []
    if advice == "mount-again":
        stops.append(f"mount it again: {decision.why}")
    card = cut_card(
        [Track(now.on_part(own))],
        allowance_mm=lengths["--allowance"] or 0.0,
        pass_depth_mm=lengths["--pass-depth"],
        stock_mm=lengths["--stock"],
        minimum_mm=lengths["--minimum"],
        surface=surface,
        stops=stops,
    )
    best = min(told, key=lambda each: each[1].tir.value_mm)[0].name
    scatter = mounting_scatter([each[1].mount for each in told])
    if as_json:
        print_json(
            {
                "mountings": [mounting_object(one.name, each, word, why) for one, each, word, why in told],
                "best": best,
                "card": card_object(card),
            }
        )
    else:
        click.echo(
            plan_text(
                [(one, each, word) for one, each, word, _ in told],
                card,
                best=best,
                limit=entered,
                limit_mm=limit_mm,
                scatter_mm=scatter,
                notes=notes,
                unit=unit,
            )
        )
    return worst([STATUS_OF_ADVICE[advice], 1 if card.stops else 0])


def _predict(own: "Swept", one: "Swept", surface: str) -> "Prediction":
    from analysis.truing import predict_cut  # noqa: PLC0415
    from logger.swept import clock_apart_deg  # noqa: PLC0415

    planes = [each.result.setup.text.get("track_plane") for each in (own, one)]
    if surface != "face" and planes[0] != planes[1]:
        raise BadInput(
            f"{own.name} lies at track_plane {planes[0] or 'not entered'} and {one.name} at "
            f"{planes[1] or 'not entered'}: an outside or bore is predicted in the same plane; sweep that one"
        )
    return predict_cut(
        own.on_part(),
        one.on_part(own),
        bearings_radius_mm=own.result.setup.track_radius_mm,
        lathe_radius_mm=one.result.setup.track_radius_mm,
        surface=surface,
        clock_apart_deg=clock_apart_deg(one)[0],
        other_u_mm=math.hypot(own.result.other_u_mm, one.result.other_u_mm),
    )
