"""What is known of the gauge beforehand, taken off its readings before anything is made of them."""

import math
from dataclasses import replace

from analysis.capture import AngleSource, Capture, corrected_by_certificate, joined
from analysis.diagnosis import HeldValues


def corrected(capture: Capture) -> Capture:
    """Return the capture with held values marked, certificate and angle of the gauge corrected for."""
    return corrected_for_gauge(corrected_by_certificate(with_held_marked(capture)))


def with_held_marked(capture: Capture) -> Capture:
    """Return the capture with held values told from new ones where nothing that sent them says which are."""
    samples = capture.samples
    if not tells_held_values(capture.angle_source, timed=capture.timed) or not len(samples):
        return capture
    held = HeldValues(capture.resolution_mm)
    return replace(capture, samples=joined([*held.feed(samples), *held.finish()]))


def tells_held_values(angle_source: AngleSource, *, timed: bool) -> bool:
    """Return whether times tell when the gauge gave a value anew."""
    return timed and angle_source is not AngleSource.STOPS


def at_surface(capture: Capture) -> Capture:
    """Return the capture with the gauge's step as it is at the surface; its readings are not touched."""
    cosine = cosine_of_gauge(capture.setup.gauge_angle_deg)
    return capture if cosine == 1.0 else replace(capture, resolution_mm=capture.resolution_mm * cosine)


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
