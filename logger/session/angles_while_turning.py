"""The angle of readings while they still come, for painting: as well as can be told without what comes next.

Exact by an encoder. What is stored and decided comes from ``sweep_angles``, which knows the whole sweep.
"""

import math

import numpy as np

from analysis.capture import AngleSource, Floats
from logger.decoding import BootSamples
from logger.session.sweep_links import Links

NEARLY = 1.0 - 1e-4
"""How far into a turn the time alone may lead: the rest is for the next pulse to tell."""


def live_angles(links: Links, start: int, zero_count: float | None) -> Floats:
    """Return the angle past the mark of the newest boot's readings from ``start`` on, rad; NaN where unknown.

    ``zero_count`` is the count that stands for angle 0. Two ports: the count that had come when the reading
    came, so a few ms late. Index pulses: by the time of the turn before, until the next pulse. Stops and a
    steady spin have no angle before their sweep is looked at whole.
    """
    boot = links.gauge.boots[-1]
    source = links.source
    if source is AngleSource.INDEX:
        return _since_the_pulse(boot, start) * links.setup.sense
    if source is not AngleSource.ENCODER or zero_count is None or not links.counts_per_turn:
        return np.full(len(boot) - start, np.nan)
    return (live_counts(links, start) - zero_count) * (
        2.0 * math.pi / links.counts_per_turn * links.setup.sense
    )


def live_counts(links: Links, start: int) -> Floats:
    """Return the count at each of the newest boot's readings from ``start`` on; NaN where none has come.

    Known whether or not a mark tells which count is angle 0.
    """
    if links.angle is None:
        return np.asarray(links.gauge.boots[-1].count.view(start), np.float64)
    return _counts_of_the_other(links, start)


def _counts_of_the_other(links: Links, start: int) -> Floats:
    """Return the second port's counts at the gauge's readings, on the host's clock; NaN before its first."""
    assert links.angle is not None
    boot, counting = links.gauge.boots[-1], links.angle.boots[-1]
    n = len(boot) - start
    if not len(counting) or not n:
        return np.full(n, np.nan)
    at_ns = boot.t_us.view(start) * 1000 + (boot.host_ahead_ns or 0)
    ahead_ns = counting.host_ahead_ns or 0
    every_us = counting.t_us.view()
    # Only the counts around these readings are looked at, however long the sweep.
    first = max(0, int(np.searchsorted(every_us, (int(at_ns[0]) - ahead_ns) // 1000)) - 1)
    count_ns = counting.t_us.view(first) * 1000 + ahead_ns
    return np.asarray(np.interp(at_ns, count_ns, counting.count.view(first), left=np.nan))


def _since_the_pulse(boot: BootSamples, start: int) -> Floats:
    """Return angles by time: between two pulses evenly, after the newest as fast as the turn before it."""
    t_us = boot.t_us.view(start).astype(np.float64)
    if len(boot.pulses) < 2 or not len(t_us):
        return np.full(len(t_us), np.nan)
    pulses = np.array([pulse.t_us for pulse in boot.pulses], np.float64)
    turn = np.searchsorted(pulses, t_us, side="right") - 1
    lasted = np.diff(pulses)
    share = (t_us - pulses[np.maximum(turn, 0)]) / lasted[np.clip(turn, 0, len(lasted) - 1)]
    angle = 2.0 * math.pi * (turn + np.minimum(share, NEARLY))
    return np.asarray(np.where(turn < 0, np.nan, angle))
