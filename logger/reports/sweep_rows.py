"""The tables under a sweep's answer: its numbers and its turns; and which look at the part it is."""

from analysis.decision import Z_OF_PLAN
from analysis.results import SweepResult
from analysis.units import format_length
from logger.reports.budget import against_the_limit
from logger.reports.phrases import between, ends_deg

MOST_TURNS = 40
"""So many turns are listed one by one."""


def number_rows(result: SweepResult, unit: str) -> tuple[str, ...]:
    """Return a row a number: name, value, how it is meant."""
    p, setup = result.pooled, result.setup

    def length(mm: float) -> str:
        return format_length(mm, unit)

    first = ("TIR of order 1", length(p.tir_first.value), f"95 %: {between(p.tir_first.interval(), unit)}")
    ends = ends_deg(p.high_side)
    side = ("high side", _deg(p.high_side.value), f"{ends}, direction of order 1")
    if result.few_places:
        # No curve is believed between so few places: only what was read there, and the plainest wobble.
        rows = [
            ("TIR of the readings", length(p.tir_raw_mm), "max - min of what was read at the places"),
            ("highest reading", _deg(p.high_point.value), ""),
            ("lowest reading", _deg(p.low_point_deg), ""),
            # Three readings are always one wobble: that says nothing.
            *((first, side) if sum(turn.values for turn in result.turns) > 3 else ()),
        ]
    else:
        rows = [
            (
                "TIR of the fitted curve",
                length(p.tir_fit.value),
                f"95 %: {between(p.tir_fit.interval(), unit)}",
            ),
            (
                "TIR a dial shows",
                length(p.tir_raw_mm),
                "max - min of the readings, median of the turns, noise and all",
            ),
            first,
            (
                "high point",
                _deg(p.high_point.value),
                f"{ends_deg(p.high_point)}, top of the curve",
            ),
            side,
            ("low point", _deg(p.low_point_deg), ""),
            ("form", length(p.form.value), f"95 %: {between(p.form.interval(), unit)}, without order 1"),
        ]
    if p.eccentricity_mm is not None:
        rows.append(("eccentricity", length(p.eccentricity_mm), f"centre toward {_deg(p.centre_deg or 0.0)}"))
    if p.tilt_mrad is not None:
        rows.append(("tilt", f"{p.tilt_mrad:.4f} mrad", f"at track radius {setup.track_radius_mm:g} mm"))
    if not result.few_places:
        clock = ", ".join(f"{places}: {length(value)}" for places, value in p.clock.items())
        rows.append(("places of a clock", clock, "what so many places would have shown"))
    if p.turns > 1:
        rows.append(
            (
                "synchronous",
                length(p.synchronous_mm),
                "max - min of the mean turn; "
                f"{_beside_noise(p.synchronous_of_noise_mm, p.synchronous_95_mm, unit)}",
            )
        )
        rows.append(
            (
                "asynchronous",
                length(p.asynchronous_mm),
                f"widest at one angle over {p.turns} turns; "
                f"{_beside_noise(p.asynchronous_of_noise_mm, p.asynchronous_95_mm, unit)}",
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
    return tuple(f"{name:<24} {value:<22} {remark}".rstrip() for name, value, remark in rows)


def _beside_noise(noise_mm: float, ends_mm: tuple[float, float] | None, unit: str) -> str:
    """Return what noise alone would show, and the interval without it; of few places there is none."""
    without = "not told of so few places" if ends_mm is None else f"95 %: {between(ends_mm, unit)}"
    return f"noise alone {format_length(noise_mm, unit)}; without noise {without}"


def _deg(deg: float) -> str:
    return f"{round(deg, 1) % 360.0:.1f} deg"  # a hair under a turn is 0, not 360


def turn_rows(result: SweepResult, unit: str) -> tuple[str, ...]:
    """Return a row a turn; of places read in one turn their number alone."""
    if result.few_places and len(result.turns) == 1:
        return (f"{result.turns[0].values} places, widest gap {result.turns[0].largest_gap_deg:.1f} deg",)
    rows = ["turn  values  gap deg    rpm   TIR dial      TIR fit       high point"]
    for turn in result.turns[:MOST_TURNS]:
        backward = "" if turn.direction > 0 else "  (against growing angle)"
        rows.append(
            f"{turn.turn + 1:>4}  {turn.values:>6}  {turn.largest_gap_deg:>7.1f}  {turn.rpm:>5.1f}   "
            f"{format_length(turn.tir_raw_mm, unit):<12}  {format_length(turn.tir_fit_mm, unit):<12}  "
            f"{round(turn.high_point_deg, 1) % 360.0:>5.1f}{backward}"
        )
    if len(result.turns) > MOST_TURNS:
        rows.append(f"and {len(result.turns) - MOST_TURNS} more turns")
    return tuple(rows)


def look_sentences(result: SweepResult, unit: str) -> tuple[str, ...]:
    """Return what is held against the limit, which look it is, and what planning the turns would save."""
    decision = result.decision
    if decision is None:
        return ()
    if result.few_places:
        return (against_the_limit(decision, unit),)
    looks = decision.looks
    against = against_the_limit(decision, unit)
    chance = f"{100 * looks.alpha:.1f} % on either side"
    if looks.planned is not None:
        number = f"look {looks.look} of {looks.planned} planned" if looks.look else "no look yet"
        return against, f"This is {number}; each may be wrong by {chance}."
    spared = 100.0 * (1.0 - Z_OF_PLAN / looks.z)
    return (
        against,
        f"This is look {looks.look}: nobody planned the turns, so each of them counts as one, and it may be "
        f"wrong by {chance}. Plan the number of turns beforehand (`record --turns`, or turns_planned) and "
        f"the guard band for scatter is {spared:.0f} % less.",
    )
