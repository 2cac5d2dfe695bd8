"""What is known of the gauge beforehand, taken off its readings before anything is made of them."""

from dataclasses import replace

from analysis.capture import Capture, corrected_by_certificate
from analysis.diagnosis import cosine_of_gauge, mark_held_values


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
