"""Part and spindle told apart, as text and as JSON; the keys are a promise.

Re-indexed, with the arbor alone, after a cut, or reversed.
"""

import cmath
import math
from collections.abc import Sequence
from typing import Any

from analysis.numerics import UncertainNumber
from analysis.separation import Reversal, SeparatedOrder, first_of, tir_of
from analysis.setup import Surface
from analysis.uncertainty import FirstOrderEstimate
from analysis.units import format_both, format_length
from logger.reports import late_gauge
from logger.reports.phrases import (
    ALONE,
    Report,
    Section,
    Trust,
    between,
    ends_deg,
    first_order,
    listed,
    trust_in_sweeps,
)
from logger.reports.to_json import to_json
from logger.studies import RemountCheck, SeparationStudy

CLEAR_OF_NOISE = 3.5
"""An order stands out where its amplitude exceeds so many standard uncertainties of a component."""
SEAT = (
    "The part's own seat (its bore or cone against its bearings) is in the part's share: the part alone "
    "needs a sweep in its own bearings."
)
REMOUNT_CAUTION = (
    "Caution: lock the drive out and support the part before the arbor's nut is loosened: it drops when the "
    "nut comes off."
)


def as_json(study: SeparationStudy) -> dict[str, Any]:
    """Return the object of ``separate``."""
    found = study.separation
    known = found.first_separable or study.reversal is not None
    part, spindle = study.part_first, study.spindle_first
    half_turn = study.half_turn
    return to_json(
        {
            "orders": [_order(one) for one in found.orders],
            "part_tir_mm": tir_of(found.part).value if found.first_separable else None,
            "spindle_tir_mm": tir_of(found.spindle).value if known else None,
            "part_first_95_mm": part.tir_first.interval() if found.first_separable else None,
            "spindle_first_95_mm": spindle.tir_first.interval() if known else None,
            "one_degree_mm": study.one_degree_mm,
            "not_separable": found.not_separable,
            "best_next_deg": found.best_next_deg,
            "half_turn": [_remount_as_json(one) for one in study.remounts],
            "after_cut_half_turn_first_mm": half_turn.tir_first_mm if half_turn else None,
            "after_cut_half_turn_arbor_deg": half_turn.high_side_deg if half_turn else None,
            "bumps": study.bumps,
            "notes": study.notes,
            "part_high_side_deg": part.high_side.value if found.first_separable else None,
            "part_high_side_95_deg": part.high_side.interval() if found.first_separable else None,
            "spindle_high_side_deg": spindle.high_side.value if known else None,
            "spindle_high_side_95_deg": spindle.high_side.interval() if known else None,
            "late_gauge": late_gauge.as_json(study.late_part, delay_note(study, "mm") if known else ""),
        }
    )


def _order(one: SeparatedOrder) -> dict[str, Any]:
    return {
        "n": one.n,
        "part_cos_mm": None if one.part_mm is None else one.part_mm.real,
        "part_sin_mm": None if one.part_mm is None else one.part_mm.imag,
        "u_part_mm": one.u_part_mm,
        "spindle_cos_mm": None if one.spindle_mm is None else one.spindle_mm.real,
        "spindle_sin_mm": None if one.spindle_mm is None else one.spindle_mm.imag,
        "u_spindle_mm": one.u_spindle_mm,
        "separable": one.separable,
        "noise_factor": one.noise_factor,
    }


def _remount_as_json(one: RemountCheck) -> dict[str, Any]:
    """Return what a sweep after the cut shows; nulls where it shows nothing of order 1."""
    found = one.reading
    spindle = None if 1 in found.blind_orders else first_of(found.spindle)
    return {
        "file": one.sweep.name,
        "step_deg": found.step_deg,
        "reads_first_mm": found.reads.tir_first_mm,
        "reads_first_arbor_deg": found.reads.high_side_deg,
        "times": found.times,
        "spindle_first_mm": spindle.tir_first.value if spindle else None,
        "spindle_first_95_mm": spindle.tir_first.interval() if spindle else None,
        "spindle_first_arbor_deg": spindle.high_side.value if spindle else None,
        "blind_orders": found.blind_orders,
    }


def as_text(study: SeparationStudy, unit: str) -> Report:
    """Return the text of ``separate``."""
    if study.reversal is not None:
        return _reversal(study, study.reversal, unit)
    found = study.separation
    trust = _trust(study)
    if not found.first_separable:
        trust += (
            Trust(
                do=f"re-index the part so that its mark sits at {found.best_next_deg:g} deg on the arbor, "
                "sweep it there, and give all sweeps"
            ),
        )
    seen = [_remount(one, unit) for one in study.remounts]
    if study.half_turn is not None:
        seen.append(
            "See for yourself: after a cut here, half a turn on, the lathe would read "
            f"{first_order(study.half_turn, unit)} on the arbor."
        )
    beneath = []
    if found.not_separable and found.first_separable:
        beneath.append(
            f"Cannot be separated with these positions: order {listed(found.not_separable)}. Adding a sweep "
            f"with the part's mark at {found.best_next_deg:g} deg on the arbor tells most."
        )
    if study.one_degree_mm is not None:
        beneath.append(
            f"An index angle wrong by one degree would move these shares by "
            f"{format_length(study.one_degree_mm, unit)} of TIR: it is taken as exact."
        )
    delay = delay_note(study, unit) if found.first_separable else ""
    notes = (*study.notes, *([delay] if delay else []))
    return Report(
        _answer(study, unit),
        trust,
        notes=(*seen, *study.bumps),
        sections=(
            Section(rows=_rows(found.orders, unit), notes=tuple(beneath)),
            Section(notes=(SEAT, *(f"Note: {note}." for note in notes), ALONE, REMOUNT_CAUTION)),
        ),
    )


def delay_note(study: SeparationStudy, unit: str) -> str:
    """Return what is said of a delay that nothing tells; of the two shares, of the one it moves more."""
    part, spindle = study.late_part, study.late_spindle
    more = max((part, spindle), key=lambda late: sum(abs(line.part.shift) for line in late.lines_of_first))
    return late_gauge.sentence(more, more.lines_of_first, unit)


def _trust(study: SeparationStudy) -> tuple[Trust, ...]:
    return trust_in_sweeps([*study.sweeps, *study.arbors])


def _answer(study: SeparationStudy, unit: str) -> str:
    found = study.separation
    if not found.first_separable:
        return "Order 1 cannot be separated with these positions: no number is given."
    bore = "; a bore reads high opposite to where the centre lies" if study.surface == Surface.BORE else ""
    return (
        f"Once round, the part with its seat has {_known(study.part_first, unit)} on the part; spindle, "
        f"arbor and cones have {_known(study.spindle_first, unit)} on the arbor (TIR of order 1 @ high "
        f"side{bore})."
    )


def _known(known: FirstOrderEstimate, unit: str) -> str:
    """Return order 1 with its intervals."""
    return (
        f"{format_both(known.tir_first.value, unit)} @ {known.high_side.value:.1f} deg "
        f"(95 %: {between(known.tir_first.interval(), unit)}; {_ends(known.high_side)})"
    )


def _ends(high_side: UncertainNumber) -> str:
    return ends_deg(high_side).removeprefix("95 %: ")


def _remount(one: RemountCheck, unit: str) -> str:
    found = one.reading
    if 1 in found.blind_orders:
        return (
            f"{one.sweep.name}: re-indexed by {found.step_deg:g} deg after the cut it stands where it was "
            "cut: it shows nothing of the spindle."
        )
    unseen = f", and orders {listed(found.blind_orders[:4])} ... are not seen" if found.blind_orders else ""
    return (
        f"{one.sweep.name}: re-indexed by {found.step_deg:g} deg after the cut it reads "
        f"{first_order(found.reads, unit)} on the arbor. That is {found.times:.2f} times the share of "
        f"spindle, arbor and cones: they have {first_order(found.spindle, unit)}. It is blind to the part's "
        f"own seat{unseen}: no verdict on the part."
    )


def _rows(orders: Sequence[SeparatedOrder], unit: str) -> tuple[str, ...]:
    """Return a row for every order that stands out, and one line for all that do not."""
    head = "order  part TIR @ high place on the part   spindle TIR @ high place on the arbor  noise"
    shown = [one for one in orders if one.n == 1 or _stands_out(one)]
    rows = [_row(one, unit) for one in shown]
    quiet = [one for one in orders if one not in shown and _has_numbers(one)]
    if quiet:
        most = format_length(max(2.0 * CLEAR_OF_NOISE * (one.u_spindle_mm or 0.0) for one in quiet), unit)
        numbers = listed([one.n for one in quiet])
        rows.append(f"order {numbers}: nothing clear of noise (under {most}).")
    return head, *rows


def _has_numbers(one: SeparatedOrder) -> bool:
    return one.part_mm is not None or one.spindle_mm is not None


def _stands_out(one: SeparatedOrder) -> bool:
    pairs = ((one.part_mm, one.u_part_mm), (one.spindle_mm, one.u_spindle_mm))
    return any(z is not None and u is not None and abs(z) > max(CLEAR_OF_NOISE * u, 1e-12) for z, u in pairs)


def _row(one: SeparatedOrder, unit: str) -> str:
    if not _has_numbers(one):
        return f"{one.n:>5}  cannot be separated"
    noise = "" if one.noise_factor is None else f"x {one.noise_factor:.2f}"
    return (
        f"{one.n:>5}  {_place(one.part_mm, one.u_part_mm, one.n, unit):<34}  "
        f"{_place(one.spindle_mm, one.u_spindle_mm, one.n, unit):<37}  {noise}"
    )


def _place(z: complex | None, u_mm: float | None, n: int, unit: str) -> str:
    if z is None:
        return "cannot be separated"
    if abs(z) <= CLEAR_OF_NOISE * (u_mm or 0.0):
        return "not clear of noise"
    deg = math.degrees(cmath.phase(z)) % 360.0 / n
    return f"{format_length(2 * abs(z), unit)} @ {deg:.1f} deg"


def _reversal(study: SeparationStudy, reversal: Reversal, unit: str) -> Report:
    found = study.separation
    spindle = _known(study.spindle_first, unit)
    trust = _trust(study)
    if reversal.part_alone:
        answer = (
            "Reversal, part and tip moved to the other side: the part has "
            f"{_known(study.part_first, unit)} on the part; the spindle's own motion is {spindle} on the "
            "arbor (TIR of order 1 @ high side)."
        )
    else:
        answer = (
            f"Reversal on a face, part and tip moved to the other side: the spindle's tilt is {spindle} on "
            "the arbor (TIR of order 1 @ high side)."
        )
        combined = (
            "The face's form and the axial motion do not come apart: together they have "
            f"{first_order(reversal.part, unit)} on the part."
        )
        trust = (Trust((combined,)), *trust)
    delay = delay_note(study, unit)
    notes = (*([f"Note: {delay}."] if delay else []), ALONE, REMOUNT_CAUTION)
    table = Section(rows=_rows(found.orders, unit), notes=notes)
    return Report(answer, trust, sections=(table,))
