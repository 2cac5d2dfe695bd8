"""Which turns of a capture are put together, which of their values count, and each turn by itself.

A turn that was not seen all round is refused, not the sweep: it is left out where others remain.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from analysis.capture import (
    MOST_PLACES,
    Capture,
    Floats,
    Samples,
    Turn,
    Window,
    corrected_by_certificate,
    coverage,
    cut_turns,
    kept,
    largest_gap_deg,
    reason_broken,
    reason_left_out,
    windows_of_setup,
)
from analysis.diagnosis import FILLED_DEG, cosine_of_gauge, mark_held_values
from analysis.errors import BadInput, NotDecidable
from analysis.harmonics import (
    FitPlan,
    HarmonicFit,
    default_highest_order,
    fit_harmonics,
    highest_order_together,
)
from analysis.results import TurnResult
from analysis.setup import Stage
from analysis.sweep.lateness import turned_back
from analysis.sweep.quantities import distinct_places

REFUSED_GAP_DEG = 30.0
"""A turn with a wider gap is not counted in while others remain."""
FEWEST_PLACES = 3


@dataclass(frozen=True)
class PooledTurns:
    """The turns put together, flat: arrays are of the new values that count, shape (n,)."""

    turns: tuple[Turn, ...]
    values: Samples
    turn: NDArray[np.int64]
    """Position among ``turns`` of each value."""
    plan: FitPlan
    """What is fitted to them, of as many orders as they ought to carry."""
    orders_asked: bool
    """True where a person chose the highest order."""
    orders_carried: int
    """Highest order, at most 15, that the places of all turns together carry."""
    orders_of_a_turn: int
    """Highest order fitted to each turn by itself."""
    other_direction: int
    """Full turns against the main direction, not counted in."""
    refused: tuple[str, ...]
    """What is to be said of turns that were left out."""
    gap_deg: float
    """Widest gap of all turns together."""

    @property
    def places(self) -> int:
        """Different places of the turn at which there are values."""
        return distinct_places(self.values.angle_rad)


def corrected_for_gauge(capture: Capture) -> Capture:
    """Return the capture with readings brought from the gauge's own direction to the surface's (cosine)."""
    cosine = cosine_of_gauge(capture.setup.gauge_angle_deg)
    if cosine == 1.0:
        return capture
    samples = replace(capture.samples, reading_mm=capture.samples.reading_mm * cosine)
    return replace(capture, samples=samples, resolution_mm=capture.resolution_mm * cosine)


def pool_turns(capture: Capture, windows: Sequence[Window], orders: int | None) -> PooledTurns:
    """Choose the turns to put together: those at the newest zero, the way most were turned, seen all round.

    ``orders`` is the highest order a person asks for, None to choose it by the gauge. Raises BadInput where
    there is no full turn, or where the samples do not carry the orders asked for.
    """
    s = capture.samples
    found = cut_turns(s if capture.counted_rad is None else replace(s, angle_rad=capture.counted_rad))
    found = found or _one_turn_of_places(capture)
    if not found:
        raise BadInput(_no_full_turn(capture))
    left_out = [(turn, why) for turn in found if (why := reason_left_out(turn, capture.events)) is not None]
    found = [turn for turn in found if all(turn is not gone for gone, _ in left_out)]
    if not found:
        raise BadInput("every full turn was left out by a person's word: turn once more, or take one back")
    newest = max(turn.segment for turn in found)
    at_newest = [turn for turn in found if turn.segment == newest]
    forward = sum(turn.direction > 0 for turn in at_newest)
    direction = 1 if 2 * forward >= len(at_newest) else -1
    counting = [turn for turn in at_newest if turn.direction == direction]
    counted = [counted_values(capture, turn, windows) for turn in counting]
    gaps = [largest_gap_deg(capture.samples.angle_rad[where]) for where in counted]
    seen = [k for k, gap in enumerate(gaps) if gap <= REFUSED_GAP_DEG]
    refused = [
        f"turn {k + 1} is left out: a gap of {gap:.0f} deg" for k, gap in enumerate(gaps) if k not in seen
    ]
    if not seen:
        seen, refused = list(range(len(counting))), []
    for gone, why in left_out:
        who = "a person" if reason_broken(gone, capture.events) is None else "the program"
        refused.append(f"turn {gone.number + 1} is left out by {who}: {why}")
    if len(found) > len(at_newest):
        refused.append(f"{len(found) - len(at_newest)} turn(s) before the newest mark are left out")
    where = np.concatenate([counted[k] for k in seen])
    values = capture.samples.take(where)
    turn = np.concatenate([np.full(len(counted[k]), i, np.int64) for i, k in enumerate(seen)])
    places = distinct_places(values.angle_rad)
    per_turn = float(np.median([len(counted[k]) for k in seen]))
    together_deg = largest_gap_deg(values.angle_rad)
    of_all_turns, alone = _orders(per_turn, values, places, together_deg)
    if orders is not None:
        even = abs(largest_gap_deg(values.angle_rad) - 360.0 / max(places, 1)) < 1e-6
        most = places // 2 if even else (places - 1) // 2
        if not 1 <= orders <= most:
            raise BadInput(
                f"--orders {orders}: {places} different places carry orders 1 to {most}; ask for fewer"
            )
    return PooledTurns(
        turns=tuple(counting[k] for k in seen),
        values=values,
        turn=turn,
        plan=FitPlan(
            of_all_turns if orders is None else orders,
            len(seen),
            few_places=places <= MOST_PLACES,
            even_angles=not capture.angle_source.is_by_time,
        ),
        orders_asked=orders is not None,
        orders_carried=of_all_turns if places > MOST_PLACES else min(15, (places - 1) // 2),
        orders_of_a_turn=alone if orders is None else orders,
        other_direction=len(at_newest) - len(counting),
        refused=tuple(refused),
        gap_deg=together_deg,
    )


def _orders(per_turn: float, values: Samples, places: int, gap_deg: float) -> tuple[int, int]:
    """Return the highest order of all turns together, and that of one turn alone.

    Turns too fast for their gauge, but filled together, carry at least orders 1 and 2.
    """
    alone = default_highest_order(per_turn, places)
    if places <= MOST_PLACES:
        return alone, alone
    if gap_deg <= FILLED_DEG:
        alone = max(alone, 2)
    # Readings of a gauge that keeps step with the turning crowd at few places, however they tremble there.
    degrees = len(np.unique(np.floor(np.degrees(np.mod(values.angle_rad, 2.0 * math.pi)))))
    return highest_order_together(len(values), min(places, degrees), gap_deg, alone), alone


def _one_turn_of_places(capture: Capture) -> list[Turn]:
    """Return readings at places as one turn: they go round without ever passing the mark."""
    if not capture.angle_source.is_by_places:
        return []
    where = np.arange(len(capture.samples))
    return [Turn(0, 1, 0, where, 0.0, 0.0)] if len(where) >= FEWEST_PLACES else []


def _no_full_turn(capture: Capture) -> str:
    n = len(capture.samples)
    if n == 0:
        return "no samples with an angle in this sweep: nothing to fit; check board, channel and mark"
    turned = math.degrees(float(np.ptp(capture.samples.angle_rad)))
    what = (
        "this is an end-float capture (stage end float): " if capture.setup.stage == Stage.END_FLOAT else ""
    )
    return (
        f"{what}no full turn from mark to mark in {n} samples ({turned:.0f} deg turned): turn at least once "
        "right round past the mark, better three times"
    )


def counted_values(capture: Capture, turn: Turn, windows: Sequence[Window]) -> NDArray[np.intp]:
    """Return the indices of a turn's new values, in range and outside all windows."""
    s = capture.samples
    where = turn.where
    return where[s.new[where] & ~s.out_of_range[where] & kept(s.angle_rad[where], windows)]


def turn_result(
    number: int, turn: Turn, capture: Capture, windows: Sequence[Window], highest_order: int | None = None
) -> TurnResult:
    """Return the plain numbers of one turn; raises NotDecidable where it carries not even order 1.

    ``highest_order`` None chooses it by this turn's own values.
    """
    counted = capture.samples.take(counted_values(capture, turn, windows))
    angle, reading = counted.angle_rad, counted.reading_mm
    highest = highest_order or default_highest_order(len(angle), distinct_places(angle))
    fit = fit_as_far_as_it_goes(angle, reading, highest)
    return TurnResult(
        turn=number,
        direction=turn.direction,
        samples=len(turn.where),
        values=len(angle),
        coverage=coverage(angle),
        largest_gap_deg=largest_gap_deg(angle),
        rpm=turn.rpm if capture.timed else 0.0,
        tir_raw_mm=float(np.ptp(reading)),
        tir_fit_mm=fit.tir_mm,
        tir_first_mm=2.0 * float(fit.amplitude_mm[0]),
        high_point_deg=math.degrees(fit.high_point_rad),
        vectors_mm=fit.vectors_mm,
        start_s=turn.start_s,
        end_s=turn.end_s,
    )


def fit_as_far_as_it_goes(
    angle_rad: Floats, reading_mm: Floats, highest_order: int, t_s: Floats | None = None
) -> HarmonicFit:
    """Return the fit of as many orders as the readings carry, up to ``highest_order``; drift with ``t_s``."""
    for highest in range(highest_order, 0, -1):
        try:
            return fit_harmonics(angle_rad, reading_mm, t_s, highest_order=highest, drift=t_s is not None)
        except NotDecidable:
            if highest == 1:
                raise
    raise NotDecidable(f"highest order {highest_order}: ask for at least 1")


def turn_by_itself(number: int, turn: Turn, capture: Capture) -> TurnResult:
    """Return the plain numbers of a turn that has just ended; raises NotDecidable where it carries no fit."""
    corrected = corrected_for_gauge(corrected_by_certificate(mark_held_values(capture)))
    delay = capture.setup.gauge_delay
    if delay is not None:
        corrected = turned_back(corrected, delay.delay_s)
    return turn_result(number, turn, corrected, windows_of_setup(capture.setup))
