"""What several sweeps say together, as sentences: owners, predictions, positions, moves, comparisons.

The answer first, then whether to believe it and the one thing to do, then the rest.
"""

from collections.abc import Sequence

from analysis.adjust import Adjustment
from analysis.compare import BLOCKS, Comparison
from analysis.cut_card import CutCard
from analysis.form import Form
from analysis.holes import HolePositions
from analysis.reversal import Reversal
from analysis.separation import Separation
from analysis.truing import NOT_INCLUDED
from analysis.units import format_both, format_length
from analysis.vectors import Vectors
from logger.predicted import Advised
from logger.swept import Swept
from logger.words import STATE_WORDS, printable

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
REMOUNT_CAUTION = (
    "Caution: lock the drive out and support the part before the arbor's nut is loosened: it drops when the "
    "nut comes off."
)
TORQUE_CAUTION = (
    "The maker's manual gives bolts, thread hand, torque and preload; local rules may require licensed work."
)


def _first(vectors: Vectors, unit: str) -> str:
    return f"{format_length(vectors.tir_first_mm, unit)} @ {vectors.high_side_deg:.1f} deg"


def _doubts(sweeps: Sequence[Swept]) -> list[str]:
    refused = [text for one in sweeps for text in one.refused]
    labelled = [f"Note: {printable(one.label)}." for one in sweeps if one.label != one.name]
    if refused:
        return [f"Do not rely on it: {printable(refused[0])}.", *labelled]
    doubtful = [
        f"{one.name}: {check.text}"
        for one in sweeps
        for check in one.result.checks
        if check.state == "doubtful"
    ]
    if doubtful:
        return [f"Doubtful: {printable('; '.join(doubtful))}.", *labelled]
    return ["All checks are clear.", *labelled]


def separation_text(found: Separation, sweeps: Sequence[Swept], surface: str, unit: str) -> str:
    """Return the text of ``separate``."""
    bore = " (a bore reads high opposite to where the centre lies)" if surface == "bore" else ""
    if found.first_separable:
        lines = [
            f"The part with its seat has {_first(found.part, unit)} on the part, the spindle with arbor and "
            f"cones {_first(found.spindle, unit)} on the arbor (TIR of order 1, high side){bore}."
        ]
    else:
        lines = ["Order 1 cannot be separated with these positions: no number is given."]
    lines += _doubts(sweeps)
    if found.not_separable:
        lines.append(
            f"Cannot be separated with these positions: order {_listed(found.not_separable)}. Add a sweep "
            f"with the part's mark at {found.best_next_deg:g} deg on the arbor."
        )
    lines += ["", "  order  part TIR @ high place on the part   spindle TIR @ high place on the arbor  noise"]
    for one in found.orders:
        if one.part_mm is None or one.spindle_mm is None or one.noise_factor is None:
            lines.append(f"  {one.n:>5}  cannot be separated")
            continue
        lines.append(
            f"  {one.n:>5}  {_place(one.part_mm, one.n, unit):<34}  {_place(one.spindle_mm, one.n, unit):<37}"
            f"  x {one.noise_factor:.2f}"
        )
    lines += [
        "",
        "The part's own seat (its bore or cone against its bearings) is in the part's share here: the part "
        "alone needs a sweep in its own bearings.",
        REMOUNT_CAUTION,
    ]
    return "\n".join(lines)


def _place(z: complex, n: int, unit: str) -> str:
    import cmath  # noqa: PLC0415
    import math  # noqa: PLC0415

    deg = math.degrees(cmath.phase(z)) % 360.0 / n
    return f"{format_length(2 * abs(z), unit)} @ {deg:.1f} deg"


def _listed(orders: Sequence[int]) -> str:
    return ", ".join(map(str, orders))


def reversal_text(found: Reversal, sweeps: Sequence[Swept], unit: str) -> str:
    """Return the text of ``separate`` for a reversal with the indicator moved opposite."""
    if found.part_alone:
        first = (
            f"Reversal: the part has {_first(found.part, unit)} on the part; the spindle moves by "
            f"{format_length(found.motion.extremes.tir_mm, unit)} in all orders."
        )
    else:
        first = (
            f"Reversal on a face: the tilt motion is {_first(found.motion, unit)}; the face's form and the "
            f"axial motion do not come apart, together {_first(found.part, unit)}."
        )
    return "\n".join([first, *_doubts(sweeps)])


def prediction_sentence(told: Advised, unit: str) -> str:
    """Return in one sentence what a perfect cut on this mounting would leave, and the advice."""
    tir = told.prediction.tir
    low, high = (format_length(end, unit) for end in tir.interval_mm)
    return (
        "A perfect cut on the mounting that is on the lathe now would leave "
        f"{format_both(tir.value_mm, unit)} TIR in the part's own bearings (95 %: {low} to {high}) against "
        f"the entered limit {printable(told.limit.length.as_written)}: {ADVICE_WORDS[told.advice]}."
    )


def plan_text(told: Sequence[Advised], card: CutCard, *, best: str, scatter_mm: float, unit: str) -> str:
    """Return the text of ``plan-cut``; the last mounting is the one on the lathe now."""
    now = told[-1]
    lines = [prediction_sentence(now, unit), *_doubts([now.sweep])]
    lines += ["", "  mounting                          mount vector            predicted    advice"]
    for one in told:
        first = one.prediction.mount_first
        mount = f"{format_length(first.tir_first_mm, unit)} @ {first.high_side_deg:.1f}"
        lines.append(
            f"  {printable(one.sweep.label)[-32:]:<32}  {mount:<22}  "
            f"{format_length(one.prediction.tir.value_mm, unit):<11}  {ADVICE_WORDS[one.advice]}"
        )
    lines += ["  (mount vector: TIR of order 1 @ high side on the part; a perfect cut leaves minus this)"]
    if len(told) > 1:
        lines.append(f"  Best of them: {printable(best)}.")
        off = now.prediction.mount
        for one in told[:-1]:
            lines.append(
                f"  {printable(one.sweep.name)} differs from the last by "
                f"{_first(one.prediction.mount - off, unit)}."
            )
        lines.append(
            f"  Scatter of the mountings: {format_length(scatter_mm, unit)} a component (dirt and seat)."
        )
    lines += ["", *card_lines(card, unit)]
    lines += [f"Note: {note}." for note in now.notes]
    lines += [
        f"Limit at the track: {format_length(now.limit_mm, unit)}. Predicted first order: "
        f"{_first(now.prediction.predicted, unit)} on the part.",
        f"Not included: {NOT_INCLUDED}.",
        CUT_CAUTION,
    ]
    return "\n".join(lines)


def card_lines(card: CutCard, unit: str) -> list[str]:
    """Return the cut card."""
    lines = [f"Cut card. Least stock to clean up: {format_length(card.least_stock_mm, unit)}."]
    if card.stops:
        return [*lines, *(f"  STOP: {stop}." for stop in card.stops), "  No depth is given."]
    assert card.first_touch_deg is not None
    lines.append(f"  First touch at {card.first_touch_deg:.0f} deg past the part's mark.")
    for number, (depth, uncut) in enumerate(
        zip(card.passes_mm, card.uncut_after_pass_deg, strict=True), 1
    ):  # fmt: skip
        lines.append(
            f"  Pass {number}: {format_length(depth, unit)}; then {uncut:.0f} deg of the turn still uncut."
        )
    if card.axial_shift_mm is not None:
        lines.append(f"  Mean plane moves by {format_length(card.axial_shift_mm, unit)}: re-shim by that.")
    if card.stock_left_mm is not None:
        lines.append(f"  Stock left: {format_length(card.stock_left_mm, unit)}.")
    return [*lines, *(f"  {note[0].upper()}{note[1:]}." for note in card.notes)]


def holes_text(found: HolePositions, notes: Sequence[str], unit: str) -> str:
    """Return the text of ``best-hole``."""
    best = found.best
    if best.tir is not None:
        answer = (
            f"Best position: hole {best.hole}, the part's mark at {best.deg:.1f} deg on the flange: "
            f"predicted {format_both(best.tir.value_mm, unit)} TIR."
        )
    elif best.first_mm is not None:
        answer = (
            f"Best by order 1 alone: hole {best.hole}, {best.deg:.1f} deg on the flange: "
            f"{format_both(best.first_mm, unit)}."
        )
    else:
        answer = "No position can be predicted from these sweeps."
    lines = [answer, "Predicted, not found: bolt it there, sweep it, compare.", ""]
    lines.append("  hole   deg on flange   TIR (95 %)                          order 1 @ high side")
    for one in found.positions:
        tir = "not known"
        if one.tir is not None:
            low, high = one.tir.interval_mm
            tir = (
                f"{format_length(one.tir.value_mm, unit)} ({format_length(low, unit)} to "
                f"{format_length(high, unit)})"
            )
        first = "not known"
        if one.first_mm is not None and one.high_side_deg is not None:
            first = f"{format_length(one.first_mm, unit)} @ {one.high_side_deg:.0f}"
        lines.append(f"  {one.hole:>4}   {one.deg:>13.1f}   {tir:<34}  {first}")
    if found.not_separable:
        lines.append(f"Cannot be separated with these positions: order {_listed(found.not_separable)}.")
    return "\n".join([*lines, *(f"Note: {note}." for note in notes)])


def comparison_text(before: Swept, after: Swept, found: Comparison, unit: str) -> str:
    """Return the text of ``compare``."""
    a, b = before.result.pooled, after.result.pooled
    if found.first is None:
        blocking = ", ".join(one.field for one in found.differences if one.effect == BLOCKS)
        lines = [f"Not comparable: {blocking}. No change is given."]
    else:
        lines = [
            f"TIR of the fitted curve from {format_both(a.tir_fit_mm, unit)} to "
            f"{format_both(b.tir_fit_mm, unit)}; order 1 changed by "
            f"{format_length(found.first.tir_first_mm, unit)} @ {found.first.high_side_deg:.0f} deg on the "
            "part (as vectors, after less before)."
        ]
    lines += _doubts([before, after])
    for one in found.differences:
        lines.append(
            f"  {one.effect:<8}  {one.field}: {printable(one.before or 'not entered')} before, "
            f"{printable(one.after or 'not entered')} after"
        )
    for one_sweep in (before, after):
        decision = one_sweep.result.decision
        if decision:
            lines.append(f"  {printable(one_sweep.label)}: {STATE_WORDS[decision.state]}.")
    return "\n".join(lines)


def adjustment_text(found: Adjustment, sweep: Swept, unit: str) -> str:
    """Return the text of ``adjust``."""
    p, surface = sweep.result.pooled, sweep.result.setup.surface
    if surface == "face":
        answer = "Shims that take order 1 out of the face: "
        signs = "Thickness to add at each place; the least is zero."
    else:
        answer = f"Moves that take the eccentricity of {format_length(p.eccentricity_mm or 0.0, unit)} out: "
        signs = "+ = away from the axis, at the screw's own place on the part."
    moves = ", ".join(
        f"{format_length(one.move_mm, unit)} at {one.deg:g} deg" for one in found.moves
    )  # fmt: skip
    lines = [f"{answer}{moves}.", *_doubts([sweep]), signs]
    if found.left_first_mm > 0.0:
        lines.append(
            f"These screws leave {format_length(found.left_first_mm, unit)} TIR of order 1: none points that "
            "way."
        )
    lines.append("Go to each screw, turn it until the indicator there has changed by its move, sweep again.")
    return "\n".join(lines)


def form_text(form: Form, unit: str, tracks: int) -> str:
    """Return the lines ``sweep --form`` adds."""
    rows = [
        ("roundness, least squares", form.lsc_mm),
        ("roundness, minimum zone", form.mzc_mm),
        ("roundness, inscribed", form.mic_mm),
        ("roundness, circumscribed", form.mcc_mm),
        ("flatness, minimum zone", form.flatness_mm),
        (f"total over {tracks} track(s)", form.total_mm),
    ]
    lines = ["Form, from the fitted curve:"]
    return "\n".join(
        lines + [f"  {name:<26} {format_length(mm, unit)}" for name, mm in rows if mm is not None]
    )  # fmt: skip
