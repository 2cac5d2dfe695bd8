"""Lengths on the screen: no finer than the gauge's own step, in mm or in inches at the press of a key."""

import math

from analysis.units import MM_PER, format_length

OTHER_SYSTEM = {"mm": "in", "in": "mm", "um": "thou", "thou": "um"}
_FINEST = {"mm": 4, "um": 1, "in": 5, "thou": 2}


def decimals_of(step_mm: float, unit: str) -> int:
    """Return how many decimals a reading has in a unit: no finer than the gauge's step."""
    if step_mm <= 0:
        return {"mm": 3, "um": 0, "in": 4, "thou": 1}[unit]
    step = step_mm / MM_PER[unit]
    fine = math.ceil(-math.log10(step) - 1e-9)
    multiple = step * 10**fine
    exact = abs(multiple - round(multiple)) < 1e-6
    return max(0, min(_FINEST[unit], fine if exact else math.floor(-math.log10(step))))


def reading_text(mm: float, step_mm: float, unit: str) -> str:
    """Return a reading without its unit, with a sign where it is below zero."""
    text = f"{mm / MM_PER[unit]:.{decimals_of(step_mm, unit)}f}"
    return text.lstrip("-") if float(text) == 0.0 else text


def length(mm: float, unit: str) -> str:
    """Return a computed length with its unit."""
    return format_length(mm, unit, {"mm": 3, "um": 1, "in": 5, "thou": 2}[unit])


def fine(mm: float, unit: str) -> str:
    """Return a length with one digit more, for formulas."""
    return format_length(mm, unit)
