"""In which order bolts are tightened: criss-cross, in steps. Torques and thread hand are the maker's."""

import re
from collections.abc import Sequence
from dataclasses import dataclass

from analysis.errors import BadInput
from analysis.units import parse_number

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
        raise BadInput(f"{bolts} bolts: expected 2 to {MOST_BOLTS}; give how many there are")

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
    """Return the rounds, one a step.

    Raises BadInput for no step at all, and for a step that is no torque above zero or none above the step
    before it.
    """
    torques = [step.strip() for step in steps if step.strip()]
    if not torques:
        raise BadInput('no steps: give them as the manual has them, --steps "20,40,60 Nm" or "30%,70%,100%"')
    _check_rising(torques)
    order = criss_cross(bolts)
    return tuple(TorqueStep(step, order) for step in torques)


def _check_rising(torques: Sequence[str]) -> None:
    """Refuse a step without a number above zero, of another unit than the rest, or no higher than before."""
    before, units = 0.0, set()
    for step in torques:
        match = re.fullmatch(r"([+-]?[\d.,]+)\s*(\S.*)?", step)
        if match is None:
            raise BadInput(f"step {step!r} is not a number and a unit: write the steps like 20,40,60 Nm")
        value = parse_number(match.group(1), "step")
        units.add(match.group(2) or "")
        if value <= 0.0:
            raise BadInput(f"step {step!r} is not above zero: a torque is; write the steps like 20,40,60 Nm")
        if value <= before:
            raise BadInput(
                f"step {step!r} is not above the {before:g} before it: steps rise; put them in order, as "
                "20,40,60 Nm"
            )
        before = value
    if len(units) > 1:
        raise BadInput(
            f"steps in different units ({', '.join(sorted(unit or 'none' for unit in units))}): write one "
            "unit, once, at the end, as 20,40,60 Nm"
        )
