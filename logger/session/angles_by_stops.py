"""A sweep by stops: the part stands at each place, and the reading of the second before counts."""

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from analysis.angle import Stop, read_stop, readings_at_places
from analysis.capture import Capture, Floats, Samples
from analysis.capture.events import ClosingReading, Event, MovingStops, StopPressed, TimedEvent
from analysis.diagnosis import smallest_step_mm
from analysis.errors import BadInput
from logger.decoding import LineLink, times_s
from logger.session.scaling import mm_per_raw, readings_mm
from logger.session.sweep_links import Links, only_boot, with_events

STOP_SAMPLES = 20_000
"""At most so many samples are looked at for a stop: more than any gauge gives in its second."""


def capture_by_stops(links: Links, bare: Capture) -> Capture:
    """Return a bare capture with the readings of its newest whole set of stops; BadInput without places."""
    only_boot(links)
    places = links.setup.places or len(links.setup.holes)
    if not places:
        raise BadInput("stops at how many places? set places (or holes) in the set-up, as --set places=8")
    stops = _still_stops(links, bare.events)
    # Stopping all round again begins a new set; the newest whole one counts.
    sets = max(1, len(stops) // (places + 1))
    first = (sets - 1) * (places + 1)
    newest = stops[first : first + places + 1] if len(stops) > places else stops
    deg, values, closing = readings_at_places(newest, places)
    n = len(values)
    samples = Samples(
        np.arange(n, dtype=np.float64),
        np.radians(deg) * links.setup.sense,
        values,
        np.ones(n, bool),
        np.zeros(n, bool),
        np.zeros(n, np.int16),
    )
    found: list[Event] = [] if closing is None else [ClosingReading(closing)]
    restless = sum(isinstance(one.event, StopPressed) for one in bare.events) - len(stops)
    if restless:
        found.append(MovingStops(restless))
    return replace(with_events(bare, *found), samples=samples, timed=False, marked=True)


def _still_stops(links: Links, events: Sequence[TimedEvent]) -> list[Stop]:
    """Return the stops of these events that stood still, in order."""
    boot = links.gauge.boots[0]
    t_s = times_s(links.gauge.boots, boot)
    reading = readings_mm(boot, links.gauge.channel())
    known = np.isfinite(reading)
    t_s, reading = t_s[known], reading[known]
    by_lines = isinstance(links.gauge, LineLink)
    stated_mm = abs(mm_per_raw(links.gauge.channel()))
    step = smallest_step_mm(np.unique(reading)[:5000]) if by_lines else stated_mm
    stops = []
    for one in events:
        if not isinstance(one.event, StopPressed):
            continue
        at_us = one.event.t_us
        at_s = one.t_s or 0.0 if at_us is None else (at_us - boot.zero_us(boot)) * 1e-6
        noise = _neighbour_noise(reading[(t_s > at_s - 1.0) & (t_s <= at_s)])
        stop = read_stop(t_s, reading, at_s, resolution_mm=step, noise_mm=noise)
        if stop.still:
            stops.append(stop)
    return stops


def stop_now(links: Links) -> Stop:
    """Return the reading of the second that has just passed, for a stop pressed now; BadInput for too few."""
    boot = links.gauge.boots[0]
    start = max(0, len(boot) - STOP_SAMPLES)
    channel = links.gauge.channel()
    reading = readings_mm(boot, channel, start)
    known = np.isfinite(reading)
    t_s, reading = boot.t_us.view(start)[known] * 1e-6, reading[known]
    if not len(t_s):
        raise BadInput("no reading has come yet: is the gauge switched on?")
    step = smallest_step_mm(reading) or abs(mm_per_raw(channel))
    return read_stop(t_s, reading, float(t_s[-1]), resolution_mm=step, noise_mm=_neighbour_noise(reading))


def _neighbour_noise(reading_mm: Floats) -> float:
    return float(np.std(np.diff(reading_mm)) / math.sqrt(2.0)) if len(reading_mm) > 2 else 0.0
