"""Where the angle of each reading comes from: encoder, index pulses, a steady spin, stops, or a second port.

Builds the capture of a sweep from the integers of its links. All ways end in the same samples; what a way
cannot know about the angle goes with them as an uncertainty.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import partial
from itertools import pairwise

import numpy as np

from analysis.angle import (
    FEW_COUNTS,
    U_COUNTS,
    angles_between_counts,
    angles_between_pulses,
    angles_of_steady_spin,
)
from analysis.capture import AngleSource, Capture, Samples
from analysis.capture.events import ClockBackwards, Event, TimedEvent, UnevenTurns, UnitChanged
from analysis.diagnosis import smallest_step_mm
from analysis.errors import BadInput
from logger.decoding import FrameLink, LineLink, times_s
from logger.session.angles_by_stops import capture_by_stops
from logger.session.angles_by_two_ports import capture_by_two_ports
from logger.session.scaling import Zeroed, mm_per_raw, range_mm, readings_mm, zero_at_mark
from logger.session.sweep_links import Links, only_boot, samples_at_angles, with_events
from logger.wire.layout import KIND_ANALOGUE
from logger.wire.messages import Channel


def build_capture(
    links: Links,
    events: Sequence[TimedEvent],
    *,
    last: bool = False,
    taken: tuple[Samples, Zeroed] | None = None,
) -> Capture:
    """Return all samples of the chosen channel as one sweep.

    ``last``: the links are not asked again, and give up what is not needed any more as the sweep is made.
    ``taken``: the samples at an encoder were taken out of the links already.
    Raises BadInput where nothing says how values scale, the channel does not exist or is no length, or
    nothing tells the angle.
    """
    builders: dict[AngleSource, Callable[[Links, Capture], Capture]] = {
        AngleSource.ENCODER: partial(_by_encoder, last=last, taken=taken)
        if links.angle is None
        else capture_by_two_ports,
        AngleSource.INDEX: _by_index,
        AngleSource.STEADY: _by_steady_spin,
        AngleSource.STOPS: capture_by_stops,
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
        samples=Samples.none(),
        setup=links.setup,
        angle_source=links.source,
        link=gauge.link_counts(with_gaps=True),
        counts_per_turn=links.counts_per_turn if links.source is AngleSource.ENCODER else 0.0,
        resolution_mm=abs(mm_per_raw(channel)),
        range_mm=range_mm(channel),
        is_probe=channel.kind == KIND_ANALOGUE,
        rate_hz=gauge.rate_hz,
        broken=(*gauge.broken, *(links.angle.broken if links.angle else ())),
        events=tuple(events),
    )
    bare = _of_lines(bare, gauge) if isinstance(gauge, LineLink) else _of_frames(bare, gauge, channel)
    return build(links, bare)


def capture_of_newest(links: Links, start: int) -> Capture:
    """Return the newest boot from its sample ``start`` on: there turns may have ended just now."""
    channel = links.gauge.channel()
    samples, _ = zero_at_mark(
        links.gauge.boots, channel, links.counts_per_turn, links.setup, newest_from=start
    )
    return Capture(
        samples=_between_counts(samples, links),
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
    return replace(with_events(bare, *found), resolution_mm=step)


def _of_frames(bare: Capture, gauge: FrameLink, channel: Channel) -> Capture:
    """Add each time the board said that values scale otherwise, as pressing in/mm on a gauge makes it."""
    said = [
        (boot, at, one) for boot in gauge.boots if len(boot) for at, one in boot.descriptions(channel.channel)
    ]
    first = next((boot for boot in gauge.boots if len(boot)), None)
    found = [
        TimedEvent(
            boot.time_s(first or boot, at),
            UnitChanged(_step_of(before), _step_of(after)),
        )
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


def _by_encoder(links: Links, bare: Capture, *, last: bool, taken: tuple[Samples, Zeroed] | None) -> Capture:
    counts = links.counts_per_turn
    samples, zeroed = taken or zero_at_mark(
        links.gauge.boots, links.gauge.channel(), counts, links.setup, last=last
    )
    restarts = tuple(text for text in zeroed.remarks if "restart" in text)
    # A learnt count that is off by u turns every later turn a little further: half of it on average.
    slip = links.setup.u_counts_per_turn / counts * zeroed.turned_rad / math.sqrt(12.0) if counts else 0.0
    boots = [boot for boot in links.gauge.boots if len(boot)]
    again = boots[-1].begun_s(boots[0]) if len(boots) > 1 else None
    few = _few_counts(links)
    return replace(
        bare,
        samples=_between_counts(samples, links),
        between_counts=few,
        restarted_s=again,
        index=zeroed.index,
        marked=zeroed.marked,
        broken=(*bare.broken, *restarts),
        u_angle_rad=math.hypot(slip, U_COUNTS * 2.0 * math.pi / counts if few else 0.0),
    )


def _by_index(links: Links, bare: Capture) -> Capture:
    boot = only_boot(links)
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
        with_events(bare, *uneven),
        samples=samples_at_angles(boot, links, t_s, angle_rad),
        marked=True,
        u_angle_rad=angles.u_rad,
    )


def _by_steady_spin(links: Links, bare: Capture) -> Capture:
    boot = only_boot(links)
    t_s = times_s(links.gauge.boots, boot)
    reading = readings_mm(boot, links.gauge.channel())
    fresh = ~boot.held() & np.isfinite(reading)
    found = angles_of_steady_spin(t_s[fresh], reading[fresh])
    angle = 2.0 * math.pi * (t_s - t_s[fresh][0]) / found.period_s
    return replace(
        bare, samples=samples_at_angles(boot, links, t_s, angle), marked=False, u_angle_rad=found.u_rad
    )
