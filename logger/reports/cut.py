"""What a cut on each mounting would leave, and the cut card, as text and as JSON; the keys are a promise."""

from collections.abc import Sequence
from typing import Any

from analysis.correction import NOT_INCLUDED, CutPlan, depth_at
from analysis.setup import Surface
from analysis.units import format_arc, format_both, format_length
from logger.inputs import AnalysedSweep
from logger.reports import late_gauge
from logger.reports.budget import against_the_limit, decision_as_json, lines_as_json, parts_as_json
from logger.reports.phrases import (
    QUANTITY_WORDS,
    Report,
    Section,
    Trust,
    between,
    ends_deg,
    first_order,
    limit_words,
    trust_in_sweeps,
)
from logger.reports.to_json import to_json
from logger.studies import CutStudy, MountingsStudy, PassCheck

ADVICE_WORDS = {
    "mounting-good": "mounting good enough",
    "mount-again": "mount it again",
    "undecided": "not decided",
}
CUT_CAUTION = (
    "Caution: eye protection, guards on, work secured; brush for chips, never hands or air; not above the "
    "maker's speed. This plan is arithmetic: a qualified person decides whether the part may be machined at "
    "all. No cut is planned on grinding wheels, cracked or burst-prone rotors, or parts marked against "
    "machining."
)


def as_json(study: MountingsStudy) -> dict[str, Any]:
    """Return the object of ``plan-cut``."""
    card, check = study.card, study.between
    return to_json(
        {
            "mountings": [_mounting(one) for one in study.mountings],
            "best": study.best.sweep.name,
            "scatter_mm": study.scatter_mm,
            "card": {
                "least_stock_mm": card.least_stock_mm,
                "depth_mm": card.depth_mm,
                "passes": card.passes_mm,
                "first_touch_part_deg": card.first_touch_deg,
                "uncut_after_pass": card.uncut_after_pass_deg,
                "depth_by_angle": [{"part_deg": deg, "depth_mm": mm} for deg, mm in depth_at(card, 36)],
                "still_uncut_deg": check.uncut_deg if check else None,
                "left_to_cut_mm": check.left_mm if check else None,
                "stock_left_mm": card.stock_left_mm,
                "axial_shift_mm": card.axial_shift_mm,
                "stops": card.stops,
                "notes": card.notes,
                "guard_mm": card.guard_mm,
                "first_touch_part_95_deg": card.first_touch_95_deg,
            },
        }
    )


def _mounting(one: CutStudy) -> dict[str, Any]:
    found = one.prediction
    unseen = {line.source for line in one.unseen}
    own = {name: part for name, part in one.decision.number.parts.items() if name not in unseen}
    return {
        "file": one.sweep.name,
        "mount_first_mm": found.mount_first.tir_first.value,
        "mount_first_part_deg": found.mount_first.high_side.value,
        "predicted_tir_mm": found.tir.value,
        "u_predicted_tir_mm": found.tir.u,
        "predicted_tir_95_mm": found.tir.interval(),
        "predicted_first_mm": found.predicted.tir_first_mm,
        "predicted_high_side_deg": found.predicted.high_side_deg,
        "orders_predicted": found.orders_predicted,
        "advice": one.advice,
        "why": one.decision.why,
        "mount_first_part_95_deg": one.mount_high_side.interval(),
        "predicted_high_side_95_deg": one.predicted_high_side.interval(),
        "decision": decision_as_json(one.decision),
        "budget": [*parts_as_json(own), *lines_as_json(one.unseen)],
        "late_gauge": late_gauge.as_json(one.late, _delay(one, "mm")),
        "notes": [*one.notes, *one.taken_as],
    }


def as_text(study: MountingsStudy, unit: str) -> Report:
    """Return the text of ``plan-cut``."""
    by_radius = cut_by_radius(study.bearings)
    now, card = study.now, card_section(study.card, unit, by_radius=by_radius)
    passed = () if study.between is None else (_between_passes(study.between, unit),)
    beneath = (
        against_the_limit(now.decision, unit),
        *(f"Note: {note}." for note in said_of(now, unit)),
        f"Limit at the track: {format_length(now.limit_mm, unit)}. Predicted first order: "
        f"{first_order(now.prediction.predicted, unit)} on the part ({ends_deg(now.predicted_high_side)}).",
        f"Not included: {NOT_INCLUDED}.",
        CUT_CAUTION,
    )
    return Report(
        prediction_sentence(now, unit),
        _trust(study),
        sections=(
            Section(
                card.title,
                (*passed, *card.rows, *_depth_rows(study.card, unit, by_radius=by_radius)),
            ),
            Section(rows=_mounting_rows(study, unit)),
            Section(notes=beneath),
        ),
    )


def said_of(study: CutStudy, unit: str) -> tuple[str, ...]:
    """Return what has to be said of a prediction and its gauge, without the closing full stops."""
    delay = _delay(study, unit)
    return (*study.notes, *([delay] if delay else []), *study.taken_as)


def _delay(study: CutStudy, unit: str) -> str:
    return late_gauge.sentence(study.late, study.late.of(study.limit.quantity), unit)


def prediction_sentence(study: CutStudy, unit: str) -> str:
    """Return in one sentence what a perfect cut on this mounting would leave, and the advice."""
    held, limit = study.decision.number, study.limit.length
    return (
        "A perfect cut on the mounting that is on the lathe now would leave "
        f"{format_both(held.value, unit)} {QUANTITY_WORDS[study.decision.quantity]} in the part's own "
        f"bearings (95 %: {between(held.interval(), unit)}) against the entered limit "
        f"{limit_words(limit.mm, limit.as_written)}: {ADVICE_WORDS[study.advice]}."
    )


def _trust(study: MountingsStudy) -> tuple[Trust, ...]:
    now = study.now
    counted = [*study.bearings, now.sweep, *study.tracks]
    trust = trust_in_sweeps(counted)
    if now.advice == "undecided" and not any(one.refused for one in counted):
        why = f"Not decided because: {now.decision.why}."
        do = "sweep both again with more turns; if that does not decide it, mount it again"
        trust += (Trust((why,), do),)
    if now.advice == "mount-again":
        do = "take it off, clean cone, seat and bore, feel for burrs, mount it again and sweep it"
        trust += (Trust(do=do),)
    return trust


def cut_by_radius(bearings: Sequence[AnalysedSweep]) -> bool:
    """Tell whether a cut goes by the radius, of which a lathe hand may set the diameter: outside or bore."""
    return bearings[0].result.setup.surface != Surface.FACE


def card_section(card: CutPlan, unit: str, *, by_radius: bool) -> Section:
    """Return the cut card; ``on_diameter`` for an outside or bore, where every depth is said both ways."""

    def depth(mm: float) -> str:
        once, twice = format_length(mm, unit), format_length(2.0 * mm, unit)
        return f"{once} on the radius ({twice} on the diameter)" if by_radius else once

    title = f"Cut card. Least stock to clean up: {depth(card.least_stock_mm)}."
    if card.stops:
        return Section(title, (*(f"STOP: {stop}." for stop in card.stops), "No depth is given."))
    assert card.first_touch_deg is not None
    low, high = card.first_touch_95_deg or (0.0, 360.0)
    sure = f" (95 %: {format_arc(low, high)})" if high - low < 360.0 else ""
    rows = [f"First touch at {card.first_touch_deg:.0f} deg past the part's mark{sure}."]
    passes = zip(card.passes_mm, card.uncut_after_pass_deg, strict=True)
    rows += [
        f"Pass {number}: {depth(deep)}; then {uncut:.0f} deg of the turn still uncut."
        for number, (deep, uncut) in enumerate(passes, 1)
    ]
    if card.axial_shift_mm is not None:
        rows.append(f"Mean plane moves by {format_length(card.axial_shift_mm, unit)}: re-shim by that.")
    if card.stock_left_mm is not None:
        rows.append(f"Stock left: {depth(card.stock_left_mm)}.")
    return Section(title, (*rows, *(f"{note[0].upper()}{note[1:]}." for note in card.notes)))


def _depth_rows(card: CutPlan, unit: str, *, by_radius: bool) -> tuple[str, ...]:
    """Return the metal to take at twelve places, four a row; nothing with a stop."""
    places = [f"{deg:>3.0f}: {format_length(mm, unit)}" for deg, mm in depth_at(card, 12)]
    rows = ["    ".join(places[k : k + 4]) for k in range(0, len(places), 4)]
    radial = " on the radius" if by_radius else ""
    return (f"Metal to take{radial}, by degrees past the part's mark:", *rows) if rows else ()


def _mounting_rows(study: MountingsStudy, unit: str) -> tuple[str, ...]:
    rows = ["mounting                          mount vector            predicted    advice"]
    for one in study.mountings:
        first = one.prediction.mount_first
        mount = f"{format_length(first.tir_first.value, unit)} @ {first.high_side.value:.1f}"
        rows.append(
            f"{one.sweep.label[-32:]:<32}  {mount:<22}  "
            f"{format_length(one.prediction.tir.value, unit):<11}  {ADVICE_WORDS[one.advice]}"
        )
    rows.append("(mount vector: TIR of order 1 @ high side on the part; a perfect cut leaves minus this)")
    if len(study.mountings) > 1:
        rows.append(f"Best of them: {study.best.sweep.name}.")
        for one in study.mountings[:-1]:
            apart = one.prediction.mount - study.now.prediction.mount
            rows.append(f"{one.sweep.name} differs from the last by {first_order(apart, unit)}.")
    if study.scatter_mm is not None:
        scatter = format_length(study.scatter_mm, unit)
        rows.append(f"Scatter of the mountings: {scatter} a component (dirt and seat).")
    return tuple(rows)


def _between_passes(check: PassCheck, unit: str) -> str:
    start = f"Between passes ({check.sweep.name})"
    radial = "" if check.sweep.result.setup.surface == Surface.FACE else " on the radius"
    if check.uncut_deg >= 360.0:
        return f"{start}: no place has changed, nothing is cut yet."
    if check.uncut_deg == 0.0:
        return f"{start}: cut all round."
    return (
        f"{start}: about {check.uncut_deg:.0f} deg of the turn is not touched yet; "
        f"{format_length(check.left_mm, unit)} more has to go{radial}."
    )
