"""What a cut on one mounting would leave, and its card, for ``plan-cut`` and the screen alike."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from analysis.cut_card import CutCard, Track, cut_card
from analysis.decision import Decision, limit_at_track
from analysis.errors import BadInput
from analysis.setup import Limit
from analysis.truing import Prediction, advise, predict_cut
from analysis.vectors import Vectors
from logger.swept import Swept, clock_apart_deg

CARD_LENGTHS = ("allowance", "pass_depth", "stock", "minimum")


@dataclass(frozen=True)
class Advised:
    """One mounting with what a cut on it would leave."""

    sweep: Swept
    prediction: Prediction
    advice: str
    """``mounting-good``, ``mount-again`` or ``undecided``."""
    decision: Decision
    limit: Limit
    limit_mm: float
    """At the track of the bearings' sweep."""
    notes: tuple[str, ...]


def advise_on(
    own: Swept,
    one: Swept,
    limit: Limit,
    surface: str,
    *,
    mounts: Sequence[Vectors] = (),
    comes_off: bool = False,
) -> Advised:
    """Predict a cut on mounting ``one`` from the bearings' sweep ``own`` and hold it against a limit.

    ``mounts`` are the mount vectors so far, whose scatter joins where the part ``comes_off`` before the cut.
    """
    limit_mm, scaled = limit_at_track(limit, own.result.setup)
    prediction = predict(own, one, surface, mounts=mounts, comes_off=comes_off)
    advice, decision = advise(
        prediction,
        limit_mm,
        quantity=limit.quantity,
        limit_as_written=limit.length.as_written,
        refused=[*own.refused, *one.refused],
    )
    notes = ([scaled] if scaled else []) + list(prediction.remarks)
    if not clock_apart_deg(one)[1]:
        notes.append("tip_clock and tool_clock not both entered: taken as the same place")
    return Advised(one, prediction, advice, decision, limit, limit_mm, tuple(notes))


def predict(
    own: Swept, one: Swept, surface: str, *, mounts: Sequence[Vectors] = (), comes_off: bool = False
) -> Prediction:
    """Return what a perfect cut on mounting ``one`` would leave in the part's own bearings."""
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
        mountings=mounts,
        comes_off=comes_off,
    )


def card_of(own: Swept, now: Advised, lengths_mm: Mapping[str, float | None], surface: str) -> CutCard:
    """Return the cut card of the mounting that is on the lathe now; lengths by the names of CARD_LENGTHS."""
    stops = [f"mount it again: {now.decision.why}"] if now.advice == "mount-again" else []
    return cut_card(
        [Track(now.sweep.on_part(own))],
        allowance_mm=lengths_mm.get("allowance") or 0.0,
        pass_depth_mm=lengths_mm.get("pass_depth"),
        stock_mm=lengths_mm.get("stock"),
        minimum_mm=lengths_mm.get("minimum"),
        surface=surface,
        stops=stops,
    )
