"""From a board's integers to millimetres, radians and seconds: closed forms, marks, and what has no angle."""

import math
from dataclasses import dataclass

import numpy as np
import pytest
from boards import PER_TURN, wobble

from analysis.capture import IndexPulses, Samples
from analysis.setup import parse_setup
from logger.decoding.boot_samples import BootSamples, Mark, Pulse
from logger.session.scaling import mm_per_raw, range_mm, zero_at_mark
from logger.wire.layout import FLAG_HELD, FLAG_OUT_OF_RANGE
from logger.wire.messages import Channel


def channel(num: int = 1000, den: int = 1, sign: int = 0, low: int = -500, high: int = 900) -> Channel:
    return Channel(0, 0, 0, 1, sign, num, den, low, high, "indicator")


def boot(counts: list[int], *, marks: list[Mark] | None = None, first_us: int = 0) -> BootSamples:
    """Return a boot of readings 20 ms apart at these counts, of a wobble that is high at count 0."""
    made = BootSamples(marks=marks or [])
    count = np.array(counts, np.int64)
    t_us = first_us + 20_000 * np.arange(len(counts))
    made.add_samples(t_us, np.zeros(len(counts), np.int64), count, np.array([wobble(one) for one in counts]))
    return made


@dataclass(frozen=True)
class Found:
    samples: Samples
    index: IndexPulses
    marked: bool
    remarks: tuple[str, ...]


def zeroed(*boots: BootSamples, per_turn: float = PER_TURN, newest: int | None = None, **keys: str) -> Found:
    samples, said = zero_at_mark(boots, channel(), per_turn, parse_setup(keys), newest_from=newest)
    return Found(samples, said.index, said.marked, said.remarks)


def degrees(found: Found) -> list[float]:
    return np.degrees(found.samples.angle_rad).round(9).tolist()


STEPS = {
    "0.001 mm": ((1000, 1), 0.001),
    "0.0001 in": ((2540, 1), 0.0001 * 25.4),
    "0.00005 in": ((1270, 1), 0.00005 * 25.4),
    "a third of a micrometre": ((1000, 3), 0.001 / 3),
}


@pytest.mark.parametrize(("scale", "mm"), STEPS.values(), ids=STEPS)
def test_a_step_of_the_gauge_in_millimetres(scale: tuple[int, int], mm: float):
    assert mm_per_raw(channel(*scale)) == pytest.approx(mm, rel=1e-15)


def test_pushed_in_reads_more_whatever_the_gauge_s_own_sign():
    assert mm_per_raw(channel(sign=1)) == -mm_per_raw(channel(sign=0))


@pytest.mark.parametrize(("sign", "ends"), [(0, (-0.5, 0.9)), (1, (-0.9, 0.5))])
def test_the_range_of_a_gauge_goes_from_low_to_high(sign: int, ends: tuple[float, float]):
    assert range_mm(channel(sign=sign)) == pytest.approx(ends)


def test_angle_is_count_less_mark_over_counts_a_turn():
    found = zeroed(boot([0, 600, 2400, 7800], marks=[Mark("part", 300, 0)]))
    assert degrees(found) == [-45.0, 45.0, 315.0, 1125.0]


def test_sense_turns_every_angle_round():
    # Pulses too: what was passed forward is passed backward.
    one = boot([0, 600, 1200])
    one.pulses += [Pulse(5_000, 100, 1), Pulse(30_000, 2500, 2)]
    there, back = zeroed(one), zeroed(one, sense="-1")
    np.testing.assert_array_equal(back.samples.angle_rad, -there.samples.angle_rad)
    np.testing.assert_array_equal(back.index.angle_rad, -there.index.angle_rad)
    np.testing.assert_array_equal(back.index.direction, -there.index.direction)


def test_fractional_counts_a_turn_are_taken_as_they_are():
    assert zeroed(boot([1000]), per_turn=2000.5).samples.angle_rad[0] == pytest.approx(
        1000 * 2 * math.pi / 2000.5, rel=1e-15
    )


def test_readings_come_with_their_flags():
    one = BootSamples()
    flags = np.array([0, FLAG_HELD, FLAG_OUT_OF_RANGE, FLAG_HELD | FLAG_OUT_OF_RANGE])
    one.add_samples(np.arange(4), flags, np.arange(4), np.arange(4))
    found = zeroed(one).samples
    assert found.new.tolist() == [True, False, True, False]
    assert found.out_of_range.tolist() == [False, False, True, True]


def test_time_counts_from_the_first_reading():
    assert zeroed(boot([0, 1, 2], first_us=3_000_000)).samples.t_s.tolist() == [0.0, 0.02, 0.04]


def test_without_a_mark_count_0_stands_for_it_and_that_is_told():
    found = zeroed(boot([600]))
    assert (degrees(found), found.marked, found.remarks) == ([90.0], False, ())


def test_before_the_first_mark_the_first_one_holds():
    found = zeroed(boot([0, 600, 1200], marks=[Mark("part", 600, 2)]))
    assert (degrees(found), found.marked) == ([-90.0, 0.0, 90.0], True)


def test_each_mark_holds_from_where_it_was_touched():
    found = zeroed(boot([0, 600, 600, 600], marks=[Mark("part", 0, 0), Mark("part", 100, 2)]))
    assert degrees(found) == [0.0, 90.0, 75.0, 75.0]
    assert found.samples.segment.tolist() == [0, 0, 1, 1]
    assert found.remarks == (
        "the mark was touched again at another angle: turns are counted from the newest",
    )


@pytest.mark.parametrize("off", [-3, 0, 3])
def test_a_mark_touched_again_within_half_a_degree_is_the_same(off: int):
    # 0.5 degrees are 3.3 of 2400 counts.
    found = zeroed(boot([0, 5000], marks=[Mark("part", 0, 0), Mark("part", 2 * PER_TURN + off, 1)]))
    assert degrees(found) == [0.0, 750.0]
    assert found.remarks == ()


def test_marks_of_the_other_side_do_not_count():
    found = zeroed(boot([600], marks=[Mark("arbor", 600, 0)]))
    assert (degrees(found), found.marked) == ([90.0], False)


def test_marks_of_the_side_asked_for_count():
    found = zeroed(boot([600], marks=[Mark("arbor", 600, 0)]), mark_on="arbor")
    assert (degrees(found), found.marked) == ([0.0], True)


def pulsed(*pulses: Pulse, marks: list[Mark] | None = None) -> BootSamples:
    made = boot([0, 600, 1200], marks=marks)
    made.pulses += pulses
    return made


def test_the_first_pulse_passed_forward_is_the_mark_where_asked_for():
    # After a reversal the pulse stands off by its own width, so a backward one is no mark.
    found = zeroed(pulsed(Pulse(0, 206, -1), Pulse(5_000, 200, 1)), mark="index")
    assert degrees(found) == [-30.0, 60.0, 150.0]


def test_an_event_goes_before_the_pulse():
    found = zeroed(pulsed(Pulse(5_000, 200, 1), marks=[Mark("part", 600, 0)]), mark="index")
    assert degrees(found) == [-90.0, 0.0, 90.0]


def test_pulses_have_the_angle_the_way_and_the_time_of_their_passing():
    found = zeroed(pulsed(Pulse(5_000, 0, 1), Pulse(25_000, 2400, 2), Pulse(30_000, 2394, 1)))
    assert np.degrees(found.index.angle_rad).round(9).tolist() == [0.0, 360.0, 359.1]
    assert found.index.direction.tolist() == [1, 1, -1]
    assert found.index.t_s.tolist() == pytest.approx([0.005, 0.025, 0.03])


def second_boot(marks: list[Mark] | None = None) -> BootSamples:
    made = boot([0, 600], marks=marks, first_us=123)
    made.boot_id, made.started_ns = 8, 10_000_000_000
    return made


def test_after_a_restart_nothing_has_an_angle():
    found = zeroed(boot([0, 600]), second_boot())
    assert degrees(found) == [0.0, 90.0]
    assert found.remarks == ("nothing after the restart has an angle: no mark was touched since",)


def test_after_a_restart_a_mark_brings_the_angle_back():
    found = zeroed(boot([0, 600]), second_boot([Mark("part", 600, 0)]))
    assert degrees(found) == [0.0, 90.0, -90.0, 0.0]
    assert found.samples.segment.tolist() == [0, 0, 1, 1]
    assert found.samples.t_s.tolist() == pytest.approx([0.0, 0.02, 10.0, 10.02])


def test_a_mark_of_one_boot_says_nothing_of_the_next():
    found = zeroed(boot([0], marks=[Mark("part", 0, 0)]), second_boot())
    assert len(found.samples) == 1


def test_the_newest_turn_is_looked_at_alone():
    found = zeroed(boot([0, 600, 1200, 1800]), newest=2)
    assert degrees(found) == [180.0, 270.0]
    assert found.samples.t_s.tolist() == [0.04, 0.06]


def test_of_two_boots_only_the_newest_is_looked_at():
    found = zeroed(boot([0, 600]), second_boot([Mark("part", 0, 0)]), newest=1)
    assert degrees(found) == [90.0]


def test_no_reading_at_all_is_an_empty_sweep():
    found = zeroed(BootSamples())
    assert (len(found.samples), len(found.index.t_s)) == (0, 0)
