"""The TIR of a sweep as one uncertain number: random limits joined by coarse steps and the other lines."""

import math
from collections.abc import Mapping
from dataclasses import dataclass

from analysis.numerics import Component, Limits, UncertainNumber, normal_quantile, t_quantile


@dataclass(frozen=True, slots=True)
class HalfWidths:
    """How far limits lie below and above a value, mm."""

    two_sided: tuple[float, float]
    one_sided: tuple[float, float]


def t975(dof: float) -> float:
    """Return Student's t for a two-sided 95 % interval; below one degree of freedom the normal one."""
    return t_quantile(0.975, dof if dof >= 1 else math.inf)


def random_part(random: HalfWidths, dof: float) -> Component:
    """Return the line of the budget that noise and scatter make."""
    return Component(sum(random.two_sided) / (2.0 * t975(dof)), dof)


def with_other_lines(
    value: float,
    random: HalfWidths,
    dof: float,
    parts: Mapping[str, Component],
    steps_mm: float,
    other_u_mm: float,
) -> UncertainNumber:
    """Return the TIR: its random limits joined by coarse steps and the budget lines that are not random."""
    two_sided, one_sided = (
        (max(0.0, value - math.hypot(below, fixed)), value + math.hypot(above, fixed))
        for (below, above), fixed in (
            (random.two_sided, math.hypot(steps_mm, normal_quantile(0.975) * other_u_mm)),
            (random.one_sided, math.hypot(steps_mm, normal_quantile(0.95) * other_u_mm)),
        )
    )
    u = (two_sided[1] - two_sided[0]) / (2.0 * t975(dof))
    return UncertainNumber(value, parts, limits=Limits(two_sided, one_sided, u), least=0.0)
