"""A sweep's result as sentences: the answer first, then whether to believe it and the one thing to do.

The only place where numbers of results become text for a terminal.
"""

import math
from collections.abc import Sequence

from analysis.checks import describe_bump
from analysis.results import Check, SweepResult
from analysis.setup import Quantity, Setup, Stage
from analysis.units import format_both, format_length

STATE_WORDS = {
    "within": "within the entered limit",
    "over": "over the entered limit",
    "undecided": "not decided",
}
SURFACE_WORDS = {"face": "Face runout", "outside": "Runout", "bore": "Bore runout"}
QUANTITY_WORDS = {
    "tir": "TIR",
    "tir_first": "TIR of order 1",
    "eccentricity": "eccentricity",
    "form": "form",
}
CAUTION = (
    "Caution: call out before turning; turn by hand or at creep speed with the drive locked out; no gloves, "
    "loose sleeves or hair near it; set, touch or mark only what stands still. The maker's manual and local "
    "rules come first; this is a measurement record, not a certificate of fitness."
)
NOT_SEEN = (
    "Not seen in a sweep: a wrong scale, a tilted gauge (cosine), an encoder off centre. The shim test sees "
    "scale."
)


def printable(text: str) -> str:
    """Return text from a device or a file with everything that could steer a terminal replaced."""
    return "".join(character if character.isprintable() else "?" for character in text)


def place_in_words(deg: float, setup: Setup, hole_count: int | None = None) -> str:
    """Return an angle with its frame, and by hole where equally spaced holes are known."""
    whose = setup.mark_on
    around = round(deg) % 360  # whole degrees first: a hair under a turn is 0, not 360
    text = f"{around} deg past the {whose}'s mark"
    holes = hole_count if hole_count is not None else _equal_holes(setup)
    if holes and whose == "part":
        step = 360.0 / holes
        number = int(around // step)
        text += f" (hole {number + 1} plus {around - number * step:.0f})"
    return text


def _equal_holes(setup: Setup) -> int:
    count = len(setup.holes)
    even = (
        all(abs(hole.deg - 360.0 * k / count) < 1e-6 for k, hole in enumerate(setup.holes))
        if count
        else False
    )
    return count if even and count > 1 else 0


def answer_sentence(result: SweepResult, unit: str = "mm") -> str:
    """Return the answer in one sentence."""
    pooled, decision, setup = result.pooled, result.decision, result.setup
    surface = SURFACE_WORDS[setup.surface]
    if decision is None or decision.quantity == Quantity.TIR:
        place = f"high point {place_in_words(pooled.high_point_deg, setup)}"
        text = f"{surface} {format_both(result.answer_tir_mm, unit)} TIR, {place}"
    elif decision.quantity == Quantity.ECCENTRICITY:
        centre = pooled.centre_deg or 0.0
        toward = place_in_words(centre, setup)
        text = f"Eccentricity {format_both(decision.value_mm, unit)}, centre toward {toward}"
    else:
        text = f"{surface} {format_both(decision.value_mm, unit)} {QUANTITY_WORDS[decision.quantity]}"
    if setup.stage == Stage.AFTER_CUT:
        text += " (on the cutting mount: not evidence of the result)"
    if decision is None:
        return text + "; no limit was entered."
    return f"{text}: {STATE_WORDS[decision.state]} {_limit_words(result)}."


def _limit_words(result: SweepResult) -> str:
    decision = result.decision
    assert decision is not None
    against = "against the entered limit " if decision.state == "undecided" else ""
    other = _other_system(decision.limit_mm, decision.limit_as_written)
    return f"{against}{decision.limit_as_written} ({other})"


def _other_system(mm: float, written: str) -> str:
    metric = written.rstrip().endswith(("mm", "um", "µm", "μm", "cm"))
    return format_length(mm, "thou", 2) if metric else format_length(mm, "mm", 4)


def trust_lines(result: SweepResult) -> list[str]:
    """Return whether to believe the answer, and the one thing to do."""
    refused = [check for check in result.checks if check.state == "refused"]
    doubtful = [check for check in result.checks if check.state == "doubtful"]
    decision = result.decision
    lines = []
    if refused:
        lines.append(f"Do not rely on it: {refused[0].text}.")
    elif doubtful:
        lines.append(f"Doubtful: {'; '.join(check.text for check in doubtful)}.")
    else:
        lines.append(f"All {len(result.checks)} checks are clear.")
    if decision is not None and decision.state == "undecided" and not refused:
        lines.append(f"Not decided because: {decision.why}.")
        if decision.more_turns:
            lines.append(
                f"{decision.more_turns} more turn(s) would decide, if only scatter stands in the way."
            )
    for check in [*refused, *doubtful][:1]:
        if check.do:
            lines.append(f"Do this: {check.do}.")
    return [printable(line) for line in lines]


def sweep_text(result: SweepResult, unit: str = "mm", *, stages: bool = False) -> str:
    """Return the whole printed result of one sweep."""
    lines = [answer_sentence(result, unit), *trust_lines(result), "", *_numbers(result, unit)]
    if result.bumps:
        lines += ["", "Narrow bumps (kept unless left out by name and reason):"]
        lines += [f"  {describe_bump(bump)}" for bump in result.bumps]
    if result.left_out:
        lines += ["", "Left out:"]
        lines += [
            f"  {window.start_deg:.1f} to {window.end_deg:.1f} deg: {printable(window.reason)}"
            for window in result.left_out
        ]
    lines += ["", *_turns(result, unit), "", *_checks(result.checks), "", *_budget(result, unit)]
    lines += [f"Note: {remark}." for remark in result.remarks]
    if result.setup.unknown:
        lines.append(
            f"Note: set-up keys kept but not understood: {printable(', '.join(result.setup.unknown))}."
        )
    if stages:
        lines += ["", "Stages:", *(f"  {stage}" for stage in result.stages)]
    return "\n".join(lines)


def _numbers(result: SweepResult, unit: str) -> list[str]:
    p, setup = result.pooled, result.setup

    def length(mm: float) -> str:
        return format_length(mm, unit)

    def both_ends(ends: tuple[float, float]) -> str:
        return f"{length(ends[0])} to {length(ends[1])}"

    first = ("TIR of order 1", length(p.tir_first_mm), f"95 %: {both_ends(p.tir_first_95_mm)}")
    ends = _ends_deg(p.high_side_95_deg)
    side = ("high side", _deg(p.high_side_deg), f"{ends}, direction of order 1")
    if result.few_places:
        # No curve is believed between so few places: only what was read there, and the plainest wobble.
        rows = [
            ("TIR of the readings", length(p.tir_raw_mm), "max - min of what was read at the places"),
            ("highest reading", _deg(p.high_point_deg), ""),
            ("lowest reading", _deg(p.low_point_deg), ""),
            # Three readings are always one wobble: that says nothing.
            *((first, side) if sum(turn.values for turn in result.turns) > 3 else ()),
        ]
    else:
        rows = [
            ("TIR of the fitted curve", length(p.tir_fit_mm), f"95 %: {both_ends(p.tir_fit_95_mm)}"),
            (
                "TIR a dial shows",
                length(p.tir_raw_mm),
                "max - min of the readings, median of the turns, noise and all",
            ),
            first,
            (
                "high point",
                _deg(p.high_point_deg),
                f"{_ends_deg(p.high_point_95_deg)}, top of the curve",
            ),
            side,
            ("low point", _deg(p.low_point_deg), ""),
            ("form", length(p.form_mm), "max - min without order 1"),
        ]
    if p.eccentricity_mm is not None:
        rows.append(("eccentricity", length(p.eccentricity_mm), f"centre toward {_deg(p.centre_deg or 0.0)}"))
    if p.tilt_mrad is not None:
        rows.append(("tilt", f"{p.tilt_mrad:.4f} mrad", f"at track radius {setup.track_radius_mm:g} mm"))
    if not result.few_places:
        clock = ", ".join(f"{places}: {length(value)}" for places, value in p.clock.items())
        rows.append(("places of a clock", clock, "what so many places would have shown"))
    if p.turns > 1:
        rows.append(("synchronous", length(p.synchronous_mm), "max - min of the mean turn"))
        rows.append(
            (
                "asynchronous",
                length(p.asynchronous_mm),
                f"widest at one angle over {p.turns} turns; noise alone {length(p.asynchronous_of_noise_mm)}",
            )
        )
    if p.closure_mm is not None:
        rows.append(("back at the start", length(p.closure_mm), "reading at the mark less the first one"))
    if p.drift_mm_per_s is not None:
        rows.append(("drift", f"{length(p.drift_mm_per_s * 60.0)} a minute", "taken out"))
    orders = ", ".join(
        f"{order.n}: {length(2 * order.amplitude_mm)} @ {order.high_deg:.0f}"
        for order in p.orders
        if order.amplitude_mm > 3.5 * order.u_amplitude_mm
    )
    if not result.few_places or p.highest_order > 1:
        rows.append(
            (f"orders 1 to {p.highest_order}", orders or "none clear of noise", "TIR of each @ high place")
        )
    return [f"  {name:<24} {value:<22} {remark}".rstrip() for name, value, remark in rows]


def _deg(deg: float) -> str:
    return f"{round(deg, 1) % 360.0:.1f} deg"  # a hair under a turn is 0, not 360


def _ends_deg(ends: tuple[float, float]) -> str:
    if ends[1] - ends[0] >= 360.0:
        return "95 %: not told"
    return f"95 %: {ends[0]:.1f} to {ends[1]:.1f} deg"


def _turns(result: SweepResult, unit: str) -> list[str]:
    if result.few_places and len(result.turns) == 1:
        return [f"  {result.turns[0].values} places, widest gap {result.turns[0].largest_gap_deg:.1f} deg"]
    lines = ["  turn  values  gap deg    rpm   TIR dial      TIR fit       high point"]
    for turn in result.turns[:40]:
        way = "" if turn.direction > 0 else "  (against growing angle)"
        lines.append(
            f"  {turn.turn + 1:>4}  {turn.values:>6}  {turn.largest_gap_deg:>7.1f}  {turn.rpm:>5.1f}   "
            f"{format_length(turn.tir_raw_mm, unit):<12}  {format_length(turn.tir_fit_mm, unit):<12}  "
            f"{round(turn.high_point_deg, 1) % 360.0:>5.1f}{way}"
        )
    if len(result.turns) > 40:
        lines.append(f"  and {len(result.turns) - 40} more turns")
    return lines


def _checks(checks: Sequence[Check]) -> list[str]:
    return [f"  {check.state:<8}  {check.name:<11} {printable(check.text)}" for check in checks]


def _budget(result: SweepResult, unit: str) -> list[str]:
    told = ", ".join(f"{line.source} {format_length(line.u_mm, unit)}" for line in result.budget)
    dof = result.pooled.dof
    return [
        f"Standard uncertainties of the TIR (k = 1): {told}; intervals above are 95 %"
        + (f", {dof:.0f} degrees of freedom." if math.isfinite(dof) and dof >= 1 else "."),
        NOT_SEEN,
    ]
