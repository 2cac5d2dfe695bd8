"""Order 1 turn by turn: how far the axis wanders from one turn to the next, and how surely that is told.

Few turns tell it badly, and a wander that is not significant widens intervals as much as one that is. So
order 1 is widened long before chance is ruled out: by simulation 93 % of the intervals of one component
hold at three turns where the wander equals the noise; 85 % where one chance in a hundred is asked for.
"""

import math
from dataclasses import dataclass

import numpy as np

from analysis.harmonics import TurnFits
from analysis.numerics import f_upper_tail

WIDENED_AT = 0.2
"""Order 1 is widened where noise alone makes turns differ as much less often than this."""
WIDENED_AT_TWO_TURNS = 0.4
CLEAR_P = 0.01
"""Below this neighbouring turns may be alike, and the mean of the turns be less sure for it."""
MOST_ALIKE = 0.8
ORDERS_OF_A_WANDER = 5
"""A turn is asked in so many orders."""
_NOT_SEEN_IN_SO_FEW = 2.5
"""Put on to the correlation of neighbours, over the number of turns: 1 is its bias, the rest is what so few
turns cannot see. Own trial."""


@dataclass(frozen=True, slots=True)
class Wander:
    """How the vector of order 1 scatters over the turns. mm."""

    mm: float
    """Standard deviation of each component from turn to turn, the noise's part taken off."""
    dof: float
    """Degrees of freedom it is known with; 0 where it could not be had."""
    lag1: float | None
    """Correlation of neighbouring turns; None below three turns."""
    factor: float
    """What the variance of order 1 is multiplied by; 1 where the turns agree."""
    p_value: float
    """Chance that noise alone makes turns differ as much; 1 where it could not be tested."""
    mean_mm: float = 0.0
    """Standard uncertainty of each component of the mean over the turns, by their scatter."""

    @property
    def widens(self) -> bool:
        """Whether turns differ by enough to widen order 1."""
        return self.factor > 1.0


NOT_TESTED = Wander(0.0, 0.0, None, 1.0, 1.0)


def order_one_wander(turns: TurnFits, *, lines: int, noise_mm: float) -> Wander:
    """Compare the vectors of order 1 of the turns with each other.

    Parameters: what each turn makes of orders 1 to 5 (``ORDERS_OF_A_WANDER``) out of what the fit over all
    has left; how many ``lines`` near order 1 were taken off, which cost two degrees of freedom each;
    ``noise_mm`` the noise that the covariance to be widened was made with. Mean of repeated turns: JCGM 100,
    4.2 and G.3; of turns that are alike: Bayley and Hammersley 1946 (from memory).
    """
    counted, unknowns = turns.own_mm.shape
    dof = 2 * (counted - 1) - 2 * lines
    within_dof = int(turns.number.sum()) - counted * unknowns
    if counted < 2 or dof < 1 or within_dof < 1 or noise_mm <= 0.0:
        return NOT_TESTED
    within = float(np.sum(turns.square_mm2) - np.sum(turns.explained_mm2))
    if within <= 0.0:
        return NOT_TESTED
    vectors = turns.own_mm[:, 1] + 1j * turns.own_mm[:, 2]
    spread = float(np.mean(np.trace(turns.pair_covariances[:, 0], axis1=1, axis2=2))) / 2.0
    off = vectors - np.mean(vectors)
    between = float(np.sum(np.abs(off) ** 2)) / dof
    explained = spread * within / within_dof
    chance = f_upper_tail(between / explained, dof, within_dof)
    lag1 = float(np.sum((off[1:] * off[:-1].conj()).real) / np.sum(np.abs(off) ** 2)) if counted > 2 else None
    factor, alike = 1.0, 1.0
    if chance < (WIDENED_AT if counted > 2 else WIDENED_AT_TWO_TURNS):
        factor = max(1.0, between / (spread * noise_mm**2))
        if lag1 is not None and chance < CLEAR_P:
            alike = _for_turns_alike(lag1, counted)
    mean_mm = math.sqrt(between * alike / counted)
    return Wander(math.sqrt(max(0.0, between - explained)), float(dof), lag1, factor * alike, chance, mean_mm)


def _for_turns_alike(lag1: float, turns: int) -> float:
    """Return by how much more the mean of turns scatters where neighbours are alike."""
    alike = min(MOST_ALIKE, max(0.0, lag1 + _NOT_SEEN_IN_SO_FEW / turns))
    counted = 1.0 + 2.0 * sum((1.0 - i / turns) * alike**i for i in range(1, turns))
    return counted * (turns - 1) / (turns - counted)
