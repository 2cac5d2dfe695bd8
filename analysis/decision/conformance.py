"""How likely what was measured keeps the limit, given its uncertainty."""

import math

from analysis.numerics import UncertainNumber, f_upper_tail, t_quantile


def conformance_probability(number: UncertainNumber, limit_mm: float) -> float:
    """Return the chance that the quantity itself is at or under the limit, 0 to 1 (JCGM 106:2012, 7.2).

    With Student's t for few degrees of freedom, and on the side of the limit as wide as the 95 % interval is
    there; what stands on one side alone moves the middle. Nothing but this number is taken to be known of
    the part.
    """
    value, (low, high), above = number.value, number.interval(), limit_mm >= number.value
    shift = math.fsum(
        part.shift for part in number.parts.values() if (part.upward if above else part.downward)
    )
    half = high - value - shift if above else value + shift - low
    distance = limit_mm - value - shift
    if half <= 0.0:
        return float(distance >= 0.0)
    t = t_quantile(0.975, number.dof) * distance / half
    beyond = f_upper_tail(t * t, 1.0, number.dof) / 2.0
    return 1.0 - beyond if t >= 0.0 else beyond
