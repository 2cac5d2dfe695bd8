"""What is known of the gauge beforehand, taken off its readings before anything is made of them."""

import math
from dataclasses import replace

from analysis.capture import Capture, corrected_by_certificate
from analysis.diagnosis import mark_held_values


def corrected(capture: Capture) -> Capture:
    """Return the capture with held values marked, certificate and angle of the gauge corrected for."""
    return corrected_for_gauge(corrected_by_certificate(mark_held_values(capture)))


def corrected_for_gauge(capture: Capture) -> Capture:
    """Return the capture with readings brought from the gauge's own direction to the surface's (cosine)."""
    cosine = cosine_of_gauge(capture.setup.gauge_angle_deg)
    if cosine == 1.0:
        return capture
    samples = replace(capture.samples, reading_mm=capture.samples.reading_mm * cosine)
    return replace(capture, samples=samples, resolution_mm=capture.resolution_mm * cosine)


def cosine_of_gauge(gauge_angle_deg: float) -> float:
    """Return the factor that turns a reading into the surface's own movement: cos of the gauge's angle.

    The angle is a lever's from the surface, or a plunger's from the normal; both over-read.
    """
    return math.cos(math.radians(gauge_angle_deg))
