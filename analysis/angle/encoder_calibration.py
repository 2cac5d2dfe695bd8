"""An encoder learnt by turning by the mark: counts per turn, fractional too, sense, and slip.

The person turns clockwise as seen from the declared end and presses each time the mark stands under the tip.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from analysis.errors import BadInput
from analysis.numerics import Component, UncertainNumber


@dataclass(frozen=True)
class EncoderCalibration:
    """What the marks say of an encoder."""

    turns: int
    counts_per_turn: UncertainNumber
    sense: int
    """+1 where counts rise while turning clockwise seen from the declared end."""
    slip_deg: float
    """Standard deviation of one turn's counts, as degrees of the part."""


def calibrate_encoder(
    mark_counts: Sequence[float], turns_between: Sequence[int] | None = None
) -> EncoderCalibration:
    """Return what unwrapped counts at successive passings of one mark say.

    Parameters: counts, one per passing; ``turns_between`` how many turns lie between them where it is not
    one each. Raises BadInput for fewer than three passings, for no counts at all between them, and where
    turns disagree by more than a tenth.
    """
    counts = np.asarray(mark_counts, np.float64)
    if len(counts) < 3:
        raise BadInput(f"{len(counts)} passings of the mark: at least 3 are needed, better 6")
    turns = np.ones(len(counts) - 1) if turns_between is None else np.asarray(turns_between, np.float64)
    per_turn = np.diff(counts) / turns
    middle = float(np.median(per_turn))
    if not per_turn.any():
        raise BadInput(
            "no counts between the marks: is the encoder connected, and does it turn with the part?"
        )
    if float(np.max(np.abs(per_turn - middle))) >= 0.1 * max(abs(middle), 1.0):
        each = ", ".join(f"{value:.0f}" for value in per_turn)
        raise BadInput(f"the turns do not agree ({each} counts): turn one way only and press once a turn")
    whole = float(turns.sum())
    mean = float(counts[-1] - counts[0]) / whole
    scatter = float(np.std(per_turn, ddof=1)) if len(per_turn) > 1 else 0.0
    # A person stops at the mark within a degree or so, whatever the encoder does (common practice).
    u = max(scatter / math.sqrt(len(per_turn)), 1.0 / math.sqrt(6.0) / whole)
    scatter_part = Component(u, max(1, len(per_turn) - 1))
    return EncoderCalibration(
        turns=round(whole),
        counts_per_turn=UncertainNumber(abs(mean), {"turn to turn": scatter_part}, unit="counts"),
        sense=1 if mean > 0 else -1,
        slip_deg=360.0 * scatter / abs(mean),
    )
