"""Part and spindle told apart, as sentences: re-indexed, with the arbor alone, after a cut, reversed."""

import cmath
import math
from collections.abc import Sequence

from analysis.numerics import OrderVectors
from analysis.separation import SeparatedOrder, first_of
from analysis.setup import Surface
from analysis.units import format_both, format_length
from logger.reports.as_text.studies import REMOUNT_CAUTION, doubts, first_words, listed
from logger.reports.as_text.sweep import printable
from logger.studies import RemountCheck, SeparationStudy

CLEAR_OF_NOISE = 3.5
"""An order stands out where its amplitude exceeds so many standard uncertainties of a component."""
SEAT = (
    "The part's own seat (its bore or cone against its bearings) is in the part's share: the part alone "
    "needs a sweep in its own bearings."
)


def separation_text(told: SeparationStudy, unit: str) -> str:
    """Return the text of ``separate``."""
    sweeps = [*told.sweeps, *told.arbors]
    if told.moved is not None:
        return "\n".join([*_reversal(told, unit), *doubts(sweeps), "", *_table(told, unit), REMOUNT_CAUTION])
    found = told.found
    lines = [*_answer(told, unit), *doubts(sweeps)]
    if not found.first_separable:
        lines.append(
            f"Do this: re-index the part so that its mark sits at {found.best_next_deg:g} deg on the arbor, "
            "sweep it there, and give all sweeps."
        )
    lines += [_remount(one, unit) for one in told.remounts]
    if told.would_read is not None:
        lines.append(
            "See for yourself: after a cut here, half a turn on, the lathe would read "
            f"{first_words(told.would_read, unit)} on the arbor."
        )
    lines += [*told.bumps, "", *_table(told, unit)]
    if found.not_separable and found.first_separable:
        lines.append(
            f"Cannot be separated with these positions: order {listed(found.not_separable)}. Adding a sweep "
            f"with the part's mark at {found.best_next_deg:g} deg on the arbor tells most."
        )
    if told.one_degree_mm is not None:
        lines.append(
            f"An index angle wrong by one degree would move these shares by "
            f"{format_length(told.one_degree_mm, unit)} of TIR: it is taken as exact."
        )
    lines += ["", SEAT, *(f"Note: {note}." for note in told.notes), REMOUNT_CAUTION]
    return "\n".join(lines)


def _answer(told: SeparationStudy, unit: str) -> list[str]:
    if not told.found.first_separable:
        return ["Order 1 cannot be separated with these positions: no number is given."]
    bore = "; a bore reads high opposite to where the centre lies" if told.surface == Surface.BORE else ""
    return [
        f"Once round, the part with its seat has {_known(told.found.part, told, unit)} on the part; spindle, "
        f"arbor and cones have {_known(told.found.spindle, told, unit)} on the arbor (TIR of order 1 @ high "
        f"side{bore})."
    ]


def _known(vectors: OrderVectors, told: SeparationStudy, unit: str) -> str:
    """Return order 1 with its interval."""
    known = first_of(vectors, told.other_u_mm)
    low, high = (format_length(end, unit) for end in known.interval_mm)
    return f"{format_both(known.tir_first_mm, unit)} @ {known.high_side_deg:.1f} deg (95 %: {low} to {high})"


def _remount(one: RemountCheck, unit: str) -> str:
    told = one.told
    if 1 in told.blind_orders:
        return (
            f"{printable(one.sweep.name)}: re-indexed by {told.step_deg:g} deg after the cut it stands where "
            "it was cut: it shows nothing of the spindle."
        )
    unseen = f", and orders {listed(told.blind_orders[:4])} ... are not seen" if told.blind_orders else ""
    return (
        f"{printable(one.sweep.name)}: re-indexed by {told.step_deg:g} deg after the cut it reads "
        f"{first_words(told.reads, unit)} on the arbor. That is {told.times:.2f} times the share of spindle, "
        f"arbor and cones: they have {first_words(told.spindle, unit)}. It is blind to the part's own seat"
        f"{unseen}: no verdict on the part."
    )


def _table(told: SeparationStudy, unit: str) -> list[str]:
    """Return a row for every order that stands out, and one line for all that do not."""
    head = "  order  part TIR @ high place on the part   spindle TIR @ high place on the arbor  noise"
    shown = [one for one in told.found.orders if one.n == 1 or _stands_out(one)]
    rows = [_row(one, unit) for one in shown]
    quiet = [one for one in told.found.orders if one not in shown and _has_numbers(one)]
    if not quiet:
        return [head, *rows]
    most = format_length(max(2.0 * CLEAR_OF_NOISE * (one.u_spindle_mm or 0.0) for one in quiet), unit)
    numbers = listed([one.n for one in quiet])
    return [head, *rows, f"  order {numbers}: nothing clear of noise (under {most})."]


def _has_numbers(one: SeparatedOrder) -> bool:
    return one.part_mm is not None or one.spindle_mm is not None


def _stands_out(one: SeparatedOrder) -> bool:
    pairs = ((one.part_mm, one.u_part_mm), (one.spindle_mm, one.u_spindle_mm))
    return any(z is not None and u is not None and abs(z) > max(CLEAR_OF_NOISE * u, 1e-12) for z, u in pairs)


def _row(one: SeparatedOrder, unit: str) -> str:
    if not _has_numbers(one):
        return f"  {one.n:>5}  cannot be separated"
    noise = "" if one.noise_factor is None else f"x {one.noise_factor:.2f}"
    return (
        f"  {one.n:>5}  {_place(one.part_mm, one.u_part_mm, one.n, unit):<34}  "
        f"{_place(one.spindle_mm, one.u_spindle_mm, one.n, unit):<37}  {noise}"
    )


def _place(z: complex | None, u_mm: float | None, n: int, unit: str) -> str:
    if z is None:
        return "cannot be separated"
    if abs(z) <= CLEAR_OF_NOISE * (u_mm or 0.0):
        return "not clear of noise"
    deg = math.degrees(cmath.phase(z)) % 360.0 / n
    return f"{format_length(2 * abs(z), unit)} @ {deg:.1f} deg"


def _reversal(told: SeparationStudy, unit: str) -> Sequence[str]:
    moved = told.moved
    assert moved is not None
    if moved.part_alone:
        return [
            "Reversal, part and tip moved to the other side: the part has "
            f"{_known(told.found.part, told, unit)} on the part; the spindle's own motion is "
            f"{_known(told.found.spindle, told, unit)} on the arbor (TIR of order 1 @ high side)."
        ]
    return [
        "Reversal on a face, part and tip moved to the other side: the spindle's tilt is "
        f"{_known(told.found.spindle, told, unit)} on the arbor (TIR of order 1 @ high side).",
        "The face's form and the axial motion do not come apart: together they have "
        f"{first_words(moved.part, unit)} on the part.",
    ]
