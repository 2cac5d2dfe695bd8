"""Plain wobbles by TIR and high side, as the plan writes them."""

import cmath
import math


def order_one(tir_mm: float, high_side_deg: float) -> complex:
    """Return z_1 of a plain wobble with this TIR and high side."""
    return cmath.rect(tir_mm / 2.0, math.radians(high_side_deg))
