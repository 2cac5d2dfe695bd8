"""A sweep whose counts come from a second port: both meet on the host's clock."""

import math
from dataclasses import replace

import numpy as np

from analysis.capture import Capture, Samples, cut_turns
from analysis.errors import BadInput
from analysis.harmonics import fit_harmonics
from logger.decoding import times_s
from logger.session.sweep_links import Links, only_boot, samples_at_angles

LATENCY_S = 0.05
"""How far the deliveries of two ports may lie apart when nothing tells (200 ms late was seen, rarely)."""
LATENCY_FOUND_S = 0.005
"""What remains of it when turning both ways has told it."""


def capture_by_two_ports(links: Links, bare: Capture) -> Capture:
    """Interpolate the second port's counts at the gauge's readings on the host's clock.

    Turning both ways tells by how much the deliveries lie apart; otherwise it stays an uncertainty.
    """
    assert links.angle is not None
    boot, counting = only_boot(links), links.angle.boots[-1]
    counts = links.counts_per_turn
    if not counts or len(counting) < 2:
        raise BadInput(
            "the second port sent no counts: look at its rig (second.line.pattern, counts_per_turn)"
        )
    t_s = times_s(links.gauge.boots, boot)
    gauge_ns = boot.t_us.view() * 1000 + (boot.host_ahead_ns or 0)
    count_ns = counting.t_us.view() * 1000 + (counting.host_ahead_ns or 0)
    marks = [mark.count for mark in counting.marks if mark.on == links.setup.mark_on]
    zero = marks[-1] if marks else 0

    def at_offset(offset_s: float) -> Samples:
        at = gauge_ns - round(offset_s * 1e9)
        turned = np.interp(at, count_ns, counting.count.view() - zero) * (2.0 * math.pi / counts)
        outside = (at < count_ns[0]) | (at > count_ns[-1])
        return samples_at_angles(boot, links, t_s, np.where(outside, np.nan, turned))

    samples = at_offset(0.0)
    offset_s = _offset_of_ports(samples)
    u_s = LATENCY_S
    if offset_s is not None:
        samples, u_s = at_offset(offset_s), LATENCY_FOUND_S
    speed = 2.0 * math.pi / max(_seconds_of_a_turn(samples), 1e-3)
    return replace(bare, samples=samples, marked=bool(marks), u_angle_rad=u_s * speed)


def _seconds_of_a_turn(samples: Samples) -> float:
    turns = cut_turns(samples)
    return float(np.median([turn.end_s - turn.start_s for turn in turns])) if turns else math.inf


def _offset_of_ports(samples: Samples) -> float | None:
    """Return how late the gauge's readings come against the counts, s; None without turns both ways."""
    turns = cut_turns(samples)
    by_direction = []
    for direction in (1, -1):
        mine = [turn for turn in turns if turn.direction == direction]
        if not mine:
            return None
        where = np.concatenate([turn.where for turn in mine])
        where = where[samples.new[where]]
        fit = fit_harmonics(samples.angle_rad[where], samples.reading_mm[where], highest_order=1)
        speed = float(np.mean([2.0 * math.pi / (turn.end_s - turn.start_s) for turn in mine]))
        by_direction.append((fit.high_place_rad(1), speed))
    (forward, fast), (backward, slow) = by_direction
    apart = (forward - backward + math.pi) % (2.0 * math.pi) - math.pi
    return apart / (fast + slow)
