"""Where the angle of each reading comes from: encoder, index pulses, a steady spin, stops, or a second port.

Builds the capture of a sweep from the integers of its links. All ways end in the same samples; what a way
cannot know about the angle goes with them as an uncertainty.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from analysis.angle import (
    FEW_COUNTS,
    U_COUNTS,
    Stop,
    angles_between_counts,
    angles_between_pulses,
    angles_of_steady_spin,
    read_stop,
    readings_at_places,
)
from analysis.capture import AngleSource, Capture, Floats, Samples, cut_turns
from analysis.capture.events import (
    ClockBackwards,
    ClosingReading,
    Event,
    MovingStops,
    StopPressed,
    TimedEvent,
    UnevenTurns,
    UnitChanged,
)
from analysis.diagnosis import smallest_step_mm
from analysis.errors import BadInput
from analysis.harmonics import fit_harmonics
from analysis.setup import AngleFrom, Setup
from logger.decoding import BootSamples, FrameLink, LineLink, times_s
from logger.session.scaling import mm_per_raw, range_mm, readings_mm, zero_at_mark
from logger.wire.messages import Channel

Link = FrameLink | LineLink

LATENCY_S = 0.05
"""How far the deliveries of two ports may lie apart when nothing tells (200 ms late was seen, rarely)."""
STOP_SAMPLES = 20_000
"""At most so many samples are looked at for a stop: more than any gauge gives in its second."""
LATENCY_FOUND_S = 0.005
"""What remains of it when turning both ways has told it."""


@dataclass(frozen=True)
class Links:
    """The links of one sweep: the gauge's, and a second one that has the counts, if any."""

    gauge: Link
    angle: Link | None
    setup: Setup

    @property
    def counting(self) -> Link:
        """The link whose counts tell the angle."""
        return self.gauge if self.angle is None else self.angle

    @property
    def counts_per_turn(self) -> float:
        """Counts a turn: the set-up's learnt value, else the device's own; 0 = no encoder."""
        return self.setup.counts_per_turn or self.counting.counts_per_turn

    @property
    def source(self) -> AngleSource:
        """Where the angle comes from, ``auto`` resolved."""
        if self.setup.angle_source is not AngleFrom.AUTO:
            return AngleSource(self.setup.angle_source)
        if self.counts_per_turn:
            return AngleSource.ENCODER
        pulses = any(boot.pulses for boot in self.gauge.boots)
        return AngleSource.INDEX if pulses else AngleSource.NONE


def build_capture(links: Links, events: Sequence[TimedEvent]) -> Capture:
    """Return all samples of the chosen channel as one sweep.

    Raises BadInput where nothing says how values scale, the channel does not exist or is no length, or
    nothing tells the angle.
    """
    builders: dict[AngleSource, Callable[[Links, Capture], Capture]] = {
        AngleSource.ENCODER: _by_encoder if links.angle is None else _by_two_ports,
        AngleSource.INDEX: _by_index,
        AngleSource.STEADY: _by_steady_spin,
        AngleSource.STOPS: _by_stops,
    }
    gauge = links.gauge
    channel = gauge.channel()
    build = builders.get(links.source)
    if build is None:
        raise BadInput(
            "nothing tells the angle: no encoder (0 counts per turn) and no index pulse; set "
            "counts_per_turn, or angle_source to stops or steady"
        )
    bare = Capture(
        samples=_no_samples(),
        setup=links.setup,
        angle_source=links.source,
        link=gauge.link_counts(with_gaps=True),
        counts_per_turn=links.counts_per_turn if links.source is AngleSource.ENCODER else 0.0,
        resolution_mm=abs(mm_per_raw(channel)),
        range_mm=range_mm(channel),
        rate_hz=gauge.rate_hz,
        broken=(*gauge.broken, *(links.angle.broken if links.angle else ())),
        events=tuple(events),
    )
    bare = _of_lines(bare, gauge) if isinstance(gauge, LineLink) else _of_frames(bare, gauge, channel)
    return build(links, bare)


def capture_of_newest(links: Links, start: int) -> Capture:
    """Return the newest boot from its sample ``start`` on: there turns may have ended just now."""
    channel = links.gauge.channel()
    zeroed = zero_at_mark(links.gauge.boots, channel, links.counts_per_turn, links.setup, newest_from=start)
    return Capture(
        samples=_between_counts(zeroed.samples, links),
        setup=links.setup,
        counts_per_turn=links.counts_per_turn,
        resolution_mm=abs(mm_per_raw(channel)),
    )


def _few_counts(links: Links) -> bool:
    return 0.0 < links.counts_per_turn < FEW_COUNTS


def _between_counts(samples: Samples, links: Links) -> Samples:
    """Return the samples with angles told between the counts, where these are few; the others as they are."""
    if not _few_counts(links):
        return samples
    per_count = 2.0 * math.pi / links.counts_per_turn * links.setup.sense
    count = samples.angle_rad / per_count
    touched = any(mark.on == links.setup.mark_on for boot in links.counting.boots for mark in boot.marks)
    # A mark touched stands anywhere within its count; a pulse stands at the edge of one.
    within = 0.5 if touched else 0.0
    for segment in np.unique(samples.segment):
        here = samples.segment == segment
        count[here] = angles_between_counts(samples.t_s[here], count[here], links.counts_per_turn)
    return replace(samples, angle_rad=(count - within) * per_count).take(np.isfinite(count))


def _no_samples() -> Samples:
    empty = np.empty(0)
    return Samples(empty, empty, empty, np.empty(0, bool), np.empty(0, bool), np.empty(0, np.int16))


def _of_lines(bare: Capture, gauge: LineLink) -> Capture:
    """Add what lines say beside their values: a change of unit, a clock run backwards, the gauge's step."""
    decoder = gauge.decoder
    found: list[Event] = []
    if decoder.unit_changes:
        before, after, _ = decoder.unit_changes[0]
        found.append(UnitChanged(before, after))
    if decoder.backwards:
        found.append(ClockBackwards(decoder.backwards))
    if decoder.bad and not decoder.lines:
        examples = "; ".join(repr(text) for text in decoder.examples)
        raise BadInput(
            f"no line matched the rig's pattern {gauge.rig.line.pattern.pattern!r}, the first were "
            f"{examples}: correct line.pattern"
        )
    values = gauge.boots[0].value.view()
    step = smallest_step_mm(np.unique(values)[:5000] * 1e-6) if len(values) else 0.0
    return replace(_with(bare, *found), resolution_mm=step)


def _of_frames(bare: Capture, gauge: FrameLink, channel: Channel) -> Capture:
    """Add each time the board said that values scale otherwise, as pressing in/mm on a gauge makes it."""
    said = [
        (boot, at, one) for boot in gauge.boots if len(boot) for at, one in boot.descriptions(channel.channel)
    ]
    found = [
        TimedEvent(float(times_s(gauge.boots, boot)[at]), UnitChanged(_step_of(before), _step_of(after)))
        for (_, _, before), (boot, at, after) in pairwise(said)
        if not before.scales_as(after)
    ]
    coarsest_mm = max((abs(mm_per_raw(one)) for _, _, one in said if one.is_length), default=0.0)
    return replace(
        bare,
        events=(*bare.events, *found),
        resolution_mm=max(bare.resolution_mm, coarsest_mm),
    )


def _step_of(channel: Channel) -> str:
    """Return what one step of a channel is, in words."""
    if not channel.is_length:
        return "no length"
    return f"{abs(mm_per_raw(channel)):.7g} mm a step{', tip pushed in reads less' if channel.sign else ''}"


def _with(bare: Capture, *found: Event) -> Capture:
    """Return a capture with what was found out beside its angles."""
    return replace(bare, events=(*bare.events, *(TimedEvent(None, event) for event in found)))


def _by_encoder(links: Links, bare: Capture) -> Capture:
    counts = links.counts_per_turn
    zeroed = zero_at_mark(links.gauge.boots, links.gauge.channel(), counts, links.setup)
    restarts = tuple(text for text in zeroed.remarks if "restart" in text)
    turned = float(np.ptp(zeroed.samples.angle_rad)) if len(zeroed.samples) else 0.0
    # A learnt count that is off by u turns every later turn a little further: half of it on average.
    slip = links.setup.u_counts_per_turn / counts * turned / math.sqrt(12.0) if counts else 0.0
    boots = [boot for boot in links.gauge.boots if len(boot)]
    again = float(times_s(boots, boots[-1])[0]) if len(boots) > 1 else None
    few = _few_counts(links)
    return replace(
        bare,
        samples=_between_counts(zeroed.samples, links),
        between_counts=few,
        restarted_s=again,
        index=zeroed.index,
        marked=zeroed.marked,
        broken=(*bare.broken, *restarts),
        u_angle_rad=math.hypot(slip, U_COUNTS * 2.0 * math.pi / counts if few else 0.0),
    )


def _plain(boot: BootSamples, links: Links, t_s: Floats, angle_rad: Floats) -> Samples:
    """Return samples with these angles; those of which nothing is known are left out."""
    reading = readings_mm(boot, links.gauge.channel())
    samples = Samples(
        t_s,
        angle_rad * links.setup.sense,
        reading,
        ~boot.held(),
        boot.out_of_range(),
        np.zeros(len(boot), np.int16),
    )
    return samples.take(np.isfinite(angle_rad) & np.isfinite(reading))


def _only_boot(links: Links) -> BootSamples:
    boot = links.gauge.boots[0]
    if len(boot) < 3:
        raise BadInput(f"{len(boot)} readings in this sweep: nothing to fit; is the gauge switched on?")
    return boot


def _by_index(links: Links, bare: Capture) -> Capture:
    boot = _only_boot(links)
    t_s = times_s(links.gauge.boots, boot)
    zero_us = boot.zero_us(boot)
    pulses = np.array([(pulse.t_us - zero_us) * 1e-6 for pulse in boot.pulses])
    reading = readings_mm(boot, links.gauge.channel())
    known = np.isfinite(reading)
    angles = angles_between_pulses(t_s[known], reading[known], pulses)
    angle_rad = np.full(len(t_s), np.nan)
    angle_rad[known] = angles.angle_rad
    uneven = [UnevenTurns(angles.left_out)] if angles.left_out else []
    return replace(
        _with(bare, *uneven),
        samples=_plain(boot, links, t_s, angle_rad),
        marked=True,
        u_angle_rad=angles.u_rad,
    )


def _by_steady_spin(links: Links, bare: Capture) -> Capture:
    boot = _only_boot(links)
    t_s = times_s(links.gauge.boots, boot)
    reading = readings_mm(boot, links.gauge.channel())
    fresh = ~boot.held() & np.isfinite(reading)
    found = angles_of_steady_spin(t_s[fresh], reading[fresh])
    angle = 2.0 * math.pi * (t_s - t_s[fresh][0]) / found.period_s
    return replace(bare, samples=_plain(boot, links, t_s, angle), marked=False, u_angle_rad=found.u_rad)


def _by_stops(links: Links, bare: Capture) -> Capture:
    _only_boot(links)
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
    return replace(_with(bare, *found), samples=samples, timed=False, marked=True)


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


def _by_two_ports(links: Links, bare: Capture) -> Capture:
    """Interpolate the second port's counts at the gauge's readings on the host's clock.

    Turning both ways tells by how much the deliveries lie apart; otherwise it stays an uncertainty.
    """
    assert links.angle is not None
    boot, counting = _only_boot(links), links.angle.boots[-1]
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
        return _plain(boot, links, t_s, np.where(outside, np.nan, turned))

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
