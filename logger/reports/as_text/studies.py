"""What several sweeps say together, as sentences: owners, predictions, positions, moves, comparisons.

The answer first, then whether to believe it and the one thing to do, then the rest.
"""

from collections.abc import Sequence

from analysis.correction import NOT_INCLUDED, Adjustment, CutPlan, HolePositions, depth_at
from analysis.measurands import BLOCKS, Comparison, Form, comparability_check
from analysis.numerics import OrderVectors
from analysis.setup import Surface
from analysis.units import Length, format_both, format_length
from logger.inputs import AnalysedSweep
from logger.reports.as_text.sweep import STATE_WORDS, printable
from logger.studies import CutStudy, PassCheck

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


def first_words(vectors: OrderVectors, unit: str) -> str:
    """Return order 1 as TIR and high side."""
    return f"{format_length(vectors.tir_first_mm, unit)} @ {vectors.high_side_deg:.1f} deg"


def doubts(sweeps: Sequence[AnalysedSweep]) -> list[str]:
    """Return whether to believe what these sweeps say, what to do, and what has to be said of each."""
    told = list({one.name: one for one in sweeps}.values())
    labelled = [f"Note: {printable(one.label)}." for one in told if one.label != one.name]
    refused = [(one, check) for one in told for check in one.result.checks if check.state == "refused"]
    doubtful = [(one, check) for one in told for check in one.result.checks if check.state == "doubtful"]
    if refused:
        one, check = refused[0]
        lines = [f"Do not rely on it: {one.name}: {check.text}."]
    elif doubtful:
        lines = [f"Doubtful: {'; '.join(f'{one.name}: {check.text}' for one, check in doubtful)}."]
    else:
        return ["All checks are clear.", *labelled]
    _, first = (*refused, *doubtful)[0]
    if first.do:
        lines.append(f"Do this: {first.do}.")
    return [*map(printable, lines), *labelled]


def limit_words(length: Length) -> str:
    """Return a limit as it was written, and in the other system."""
    metric = length.as_written.rstrip().endswith(("mm", "um", "µm", "μm", "cm"))
    other = format_length(length.mm, "thou", 2) if metric else format_length(length.mm, "mm", 4)
    return f"{printable(length.as_written)} ({other})"


def _ends(interval_mm: tuple[float, float], unit: str) -> str:
    low, high = (format_length(end, unit) for end in interval_mm)
    return f"{low} to {high}"


def listed(orders: Sequence[int]) -> str:
    """Return numbers with commas between them, runs of them as from ... to."""
    words: list[str] = []
    k = 0
    while k < len(orders):
        end = k
        while end + 1 < len(orders) and orders[end + 1] == orders[end] + 1:
            end += 1
        run = orders[k : end + 1]
        words += [f"{run[0]} to {run[-1]}"] if len(run) > 2 else map(str, run)
        k = end + 1
    return ", ".join(words)


def prediction_sentence(told: CutStudy, unit: str) -> str:
    """Return in one sentence what a perfect cut on this mounting would leave, and the advice."""
    tir = told.prediction.tir
    low, high = (format_length(end, unit) for end in tir.interval_mm)
    return (
        "A perfect cut on the mounting that is on the lathe now would leave "
        f"{format_both(tir.value_mm, unit)} TIR in the part's own bearings (95 %: {low} to {high}) against "
        f"the entered limit {limit_words(told.limit.length)}: {ADVICE_WORDS[told.advice]}."
    )


def plan_text(
    told: Sequence[CutStudy],
    card: CutPlan,
    *,
    best: str,
    bearings: Sequence[AnalysedSweep] = (),
    tracks: Sequence[AnalysedSweep] = (),
    scatter_mm: float | None = None,
    between: PassCheck | None = None,
    unit: str,
) -> str:
    """Return the text of ``plan-cut``; the last mounting is the one on the lathe now."""
    now = told[-1]
    lines = [prediction_sentence(now, unit), *doubts([*bearings, now.sweep, *tracks])]
    sound = not any(one.refused for one in [*bearings, now.sweep, *tracks])
    if now.advice == "undecided" and sound:
        lines.append(f"Not decided because: {printable(now.decision.why)}.")
        lines.append("Do this: sweep both again with more turns; if that does not decide it, mount it again.")
    if now.advice == "mount-again":
        lines.append(
            "Do this: take it off, clean cone, seat and bore, feel for burrs, mount it again and sweep it."
        )
    if between is not None:
        lines.append(_between(between, unit))
    lines += ["", *card_lines(card, unit), *_depth_lines(card, unit), ""]
    lines += ["  mounting                          mount vector            predicted    advice"]
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
                f"{first_words(one.prediction.mount - off, unit)}."
            )
    if scatter_mm is not None:
        lines.append(
            f"  Scatter of the mountings: {format_length(scatter_mm, unit)} a component (dirt and seat)."
        )
    lines.append("")
    lines += [f"Note: {note}." for note in now.notes]
    lines += [
        f"Limit at the track: {format_length(now.limit_mm, unit)}. Predicted first order: "
        f"{first_words(now.prediction.predicted, unit)} on the part.",
        f"Not included: {NOT_INCLUDED}.",
        CUT_CAUTION,
    ]
    return "\n".join(lines)


def _between(told: PassCheck, unit: str) -> str:
    if told.uncut_deg >= 360.0:
        return f"Between passes ({printable(told.sweep.name)}): no place has changed, nothing is cut yet."
    if told.uncut_deg == 0.0:
        return f"Between passes ({printable(told.sweep.name)}): cut all round."
    return (
        f"Between passes ({printable(told.sweep.name)}): about {told.uncut_deg:.0f} deg of the turn is not "
        f"touched yet; {format_length(told.left_mm, unit)} more has to go."
    )


def card_lines(card: CutPlan, unit: str) -> list[str]:
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


def _depth_lines(card: CutPlan, unit: str) -> list[str]:
    """Return the metal to take at twelve places, four a row; nothing with a stop."""
    told = [f"{deg:>5.0f}: {format_length(mm, unit)}" for deg, mm in depth_at(card, 12)]
    rows = ["  ".join(told[k : k + 4]) for k in range(0, len(told), 4)]
    return ["  Metal to take, by degrees past the part's mark:", *rows] if rows else []


def holes_text(
    found: HolePositions, notes: Sequence[str], unit: str, sweeps: Sequence[AnalysedSweep] = ()
) -> str:
    """Return the text of ``best-hole``."""
    best = found.best
    if best.tir is not None:
        answer = (
            f"Best position: hole {best.hole}, the part's mark at {best.deg:.1f} deg on the flange: "
            f"predicted {format_both(best.tir.value_mm, unit)} TIR (the worst: {_worst_tir(found, unit)})."
        )
    elif best.first_mm is not None:
        answer = (
            f"Best by order 1 alone: hole {best.hole}, {best.deg:.1f} deg on the flange: "
            f"{format_both(best.first_mm, unit)}."
        )
    else:
        answer = "No position can be predicted from these sweeps."
    lines = [answer, *doubts(sweeps)]
    lines += ["Do this: bolt it on there, sweep it, and see whether it reads so.", ""]
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
        lines.append(f"Cannot be separated with these positions: order {listed(found.not_separable)}.")
    return "\n".join([*lines, *(f"Note: {note}." for note in notes)])


def _worst_tir(found: HolePositions, unit: str) -> str:
    known = [one.tir.value_mm for one in found.positions if one.tir is not None]
    return format_length(max(known), unit)


def comparison_text(before: AnalysedSweep, after: AnalysedSweep, found: Comparison, unit: str) -> str:
    """Return the text of ``compare``."""
    a, b = before.result.pooled, after.result.pooled
    blocking = [one.field for one in found.differences if one.effect == BLOCKS]
    unsound = blocking and set(blocking) == {"checks"}
    if found.first is None:
        why = "a check of one of the sweeps is refused" if unsound else ", ".join(blocking)
        lines = [f"Not comparable: {why}. No before and after can be claimed, and no change is given."]
    else:
        lines = [
            f"TIR of the fitted curve from {format_both(a.tir_fit_mm, unit)} to "
            f"{format_both(b.tir_fit_mm, unit)}; order 1 changed by "
            f"{format_length(found.first.tir_first_mm, unit)} @ {found.first.high_side_deg:.0f} deg on the "
            f"part (as vectors, after less before; 95 %: {_ends(found.first.interval_mm, unit)})."
        ]
    check = comparability_check(found.differences)
    if not unsound:
        lines.append(f"{check.text[0].upper()}{printable(check.text[1:])}.")
        lines += [f"Do this: {check.do}."] if check.state == "refused" else []
    lines += doubts([before, after])
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


def adjustment_text(found: Adjustment, sweep: AnalysedSweep, unit: str) -> str:
    """Return the text of ``adjust``."""
    p, surface = sweep.result.pooled, sweep.result.setup.surface
    if surface == Surface.FACE:
        answer = f"Shims that take the wobble of {format_both(p.tir_first_mm, unit)} out: "
        moves = ", ".join(f"{format_length(one.move_mm, unit)} at {one.deg:g} deg" for one in found.moves)
    else:
        answer = f"Moves that take the eccentricity of {format_both(p.eccentricity_mm or 0.0, unit)} out: "
        moves = ", ".join(
            f"{format_length(abs(one.move_mm), unit)} {'away from' if one.move_mm > 0 else 'toward'} the "
            f"axis at {one.deg:g} deg"
            for one in found.moves
        )
    lines = [f"{answer}{moves}.", *doubts([sweep])]
    if found.left_first_mm > 0.0:
        lines.append(
            f"These screws leave {format_length(found.left_first_mm, unit)} TIR of order 1: none points that "
            "way."
        )
    lines += ["", "  screw   deg on the part   move"]
    for number, one in enumerate(found.moves, 1):
        lines.append(f"  {number:>5}   {one.deg:>15.1f}   {'+' if one.move_mm > 0 else ''}"
                     f"{format_length(one.move_mm, unit)}")  # fmt: skip
    if surface == Surface.FACE:
        lines.append("  Thickness to add at each place; the least is zero.")
        lines.append("Put the shims in, tighten as before, sweep again.")
    else:
        lines.append("  + = away from the axis, at the screw's own place on the part.")
        lines.append(
            "Go to each screw, turn it until the indicator there has changed by its move, sweep again."
        )
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
