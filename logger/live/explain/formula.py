"""A number that opens into its formula, and how a curve of orders is written in one."""

from collections.abc import Sequence
from dataclasses import dataclass

from analysis.results import OrderResult
from logger.live.drawing.lengths import fine

WRITTEN = 3
"""So many orders, the largest, are written out."""


@dataclass(frozen=True)
class ExplainedNumber:
    """One number of the sweep."""

    name: str
    """In plain words."""
    term: str
    """The exact term, as in ``sweep --json``."""
    value: str
    show_me: tuple[str, ...]
    """Its formula, with this sweep's values, line by line."""


def curve_words(orders: Sequence[OrderResult], unit: str) -> str:
    """Return the largest of these orders as cosines, ``0.0710 mm cos(phi - 63.0 deg) + ...``."""
    biggest = sorted(orders, key=lambda order: -order.amplitude_mm)[:WRITTEN]
    return " + ".join(
        f"{fine(one.amplitude_mm, unit)} cos(phi - {one.high_deg:.1f} deg)"
        if one.n == 1
        else f"{fine(one.amplitude_mm, unit)} cos({one.n}(phi - {one.high_deg:.1f} deg))"
        for one in biggest
    )
