"""In which order bolts are tightened: criss-cross, in steps. Torques and thread hand are the maker's."""

from collections.abc import Sequence
from dataclasses import dataclass

from analysis.errors import BadInput

MOST_BOLTS = 120


@dataclass(frozen=True)
class TorqueStep:
    """One round over all bolts."""

    torque: str
    """As typed."""
    order: tuple[int, ...]
    """Bolt numbers from 1, bolt 1 at the mark."""


def criss_cross(bolts: int) -> tuple[int, ...]:
    """Return an order in which each bolt stands as far as can be from those before it.

    Each next bolt is the one farthest from the last among those farthest from all tightened so far; the
    lowest number on ties. Raises BadInput for fewer than 2 or more than 120 bolts.
    """
    if not 2 <= bolts <= MOST_BOLTS:
        raise BadInput(f"{bolts} bolts: expected 2 to {MOST_BOLTS}")

    def apart(a: int, b: int) -> int:
        return min((a - b) % bolts, (b - a) % bolts)

    order = [0]
    left = set(range(1, bolts))
    while left:
        if len(order) % 2 == 1 and bolts % 2 == 0:
            chosen = (order[-1] + bolts // 2) % bolts
        else:
            chosen = min(left, key=lambda b: (-min(apart(b, a) for a in order), -apart(b, order[-1]), b))
        order.append(chosen)
        left.discard(chosen)
    return tuple(number + 1 for number in order)


def torque_steps(bolts: int, steps: Sequence[str]) -> tuple[TorqueStep, ...]:
    """Return the rounds, one a step. Raises BadInput for no step at all."""
    torques = [step.strip() for step in steps if step.strip()]
    if not torques:
        raise BadInput('no steps: give them as the manual has them, --steps "20,40,60 Nm" or "30%,70%,100%"')
    order = criss_cross(bolts)
    return tuple(TorqueStep(step, order) for step in torques)
