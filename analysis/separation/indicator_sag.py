"""Sag of an indicator that is carried round: measured once by itself, taken out of every sweep after.

The weight of a bracket is order 1 in the sweep of the indicator round a fixed place: twice the sag in TIR.
"""

from dataclasses import replace

from analysis.capture import Capture
from analysis.errors import BadInput
from analysis.numerics import Component, OrderVectors
from analysis.setup import Turning


def without_sag(capture: Capture, sag: OrderVectors) -> tuple[Capture, dict[str, Component]]:
    """Return the capture with the sag's order 1 taken off its readings, and the budget line this leaves.

    Parameters: ``sag`` orders of the sweep of the sag, from the same zero. Raises BadInput where the part was
    turned instead of the indicator: gravity then acts on the gauge the same all round.
    """
    if capture.setup.turning != Turning.INDICATOR:
        raise BadInput(
            "sag is taken out only where the indicator is carried round: set turning=indicator on this sweep"
        )
    first = sag.up_to(1)
    s = capture.samples
    samples = replace(s, reading_mm=s.reading_mm - first.curve(s.angle_rad))
    return replace(capture, samples=samples), {"sag": Component(2.0 * float(first.u_mm[0]))}
