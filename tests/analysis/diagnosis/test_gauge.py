"""The gauge told from its own readings: its step, its update rate, what it holds, how fast it can follow."""

import math
from dataclasses import replace

import numpy as np
import pytest

from analysis.capture.samples import Capture, Samples
from analysis.diagnosis.gauge import (
    Beat,
    GaugeCount,
    GaugeFacts,
    beat_with_turning,
    smallest_step_mm,
    wanted_values_per_turn,
)
from analysis.diagnosis.held_values import is_new_value
from analysis.harmonics import default_highest_order, highest_order_together
from analysis.setup import parse_setup
from analysis.sweep.corrections import with_held_marked
from analysis.sweep.pipeline import analyse

RATE_HZ, SAMPLED_HZ = 10.0, 200.0


def slow_gauge(*, jitter_s: float = 0.0, seconds: float = 30.0) -> Samples:
    """A wobble seen by a gauge of ten values a second that is asked 200 times a second."""
    rng = np.random.default_rng(1)
    t = np.arange(0.0, seconds, 1.0 / SAMPLED_HZ)
    updates = np.arange(0.0, seconds, 1.0 / RATE_HZ)
    updates = updates + rng.uniform(-jitter_s, jitter_s, len(updates))
    latest = np.maximum(np.searchsorted(updates, t + 1e-9, side="right") - 1, 0)
    angle = 2 * math.pi * t / 12.0
    reading = np.round(0.05 * np.cos(2 * math.pi * updates / 12.0) + rng.normal(0, 0.001, len(updates)), 4)[
        latest
    ]
    return all_new(t, angle, reading)


def marked(samples: Samples) -> Samples:
    return with_held_marked(Capture(samples, parse_setup({}), resolution_mm=1e-4)).samples


def gauge_facts(samples: Samples, stated_mm: float, turns_planned: int | None = None) -> GaugeFacts:
    count = GaugeCount(stated_mm)
    count.take(samples)
    return count.gauge_facts(turns_planned)


def all_new(t: np.ndarray, angle: np.ndarray, reading: np.ndarray) -> Samples:
    n = len(t)
    return Samples(t, angle, reading, np.ones(n, bool), np.zeros(n, bool), np.zeros(n, np.int16))


def fast_coarse_gauge() -> Samples:
    """A gauge of ten microns a step that is as fast as it is asked."""
    t = np.arange(0.0, 30.0, 1.0 / SAMPLED_HZ)
    angle = 2 * math.pi * t / 12.0
    reading = 0.05 * np.cos(angle) + np.random.default_rng(1).normal(0.0, 0.003, len(t))
    return all_new(t, angle, np.round(reading, 2))


def test_the_update_rate_shows_in_the_repeats() -> None:
    given = marked(slow_gauge())
    # A value that happens to repeat the one before makes one gap of two; the median does not see it.
    assert gauge_facts(given, 1e-4).rate_hz == pytest.approx(RATE_HZ, rel=1e-9)


def test_an_update_that_comes_a_sample_early_or_late_leaves_the_rate() -> None:
    given = marked(slow_gauge(jitter_s=0.002))
    # A median of gaps of 0.095, 0.100 or 0.105 s.
    assert gauge_facts(given, 1e-4).rate_hz == pytest.approx(RATE_HZ, rel=0.051)


def test_held_values_are_those_between_updates() -> None:
    given = marked(slow_gauge())
    # 19 of 20 samples repeat; a new value that equals the old one is one more.
    assert gauge_facts(given, 1e-4).held_fraction == pytest.approx(0.95, abs=0.005)


def test_the_first_sample_is_a_new_value() -> None:
    assert marked(slow_gauge()).new[0]


def test_the_repeats_of_a_coarse_fast_gauge_are_not_held_values() -> None:
    samples = fast_coarse_gauge()
    assert np.mean(np.diff(samples.reading_mm) == 0) > 0.5
    assert is_new_value(samples.t_s, samples.reading_mm, 0.01).all()


def test_the_repeats_of_a_coarse_gauge_on_an_even_slope_are_not_held_values() -> None:
    # A step of the gauge every three to five samples where the part is steep, more rarely elsewhere.
    t = np.arange(0.0, 30.0, 1.0 / SAMPLED_HZ)
    reading = np.round(0.5 * np.cos(2 * math.pi * t / 6.0), 2)
    assert is_new_value(t, reading, 0.01).all()


def test_a_gauge_that_never_moves_holds_nothing() -> None:
    t = np.arange(100) / 100.0
    assert is_new_value(t, np.zeros(100), 0.001).all()


def test_what_the_device_flags_is_believed() -> None:
    samples = slow_gauge()
    flagged = replace(samples, new=np.arange(len(samples)) % 2 == 0)
    assert marked(flagged) is flagged


def test_repeats_of_a_slow_gauge_make_no_sweep_surer() -> None:
    """Each value said twenty times over: the same sweep as of the new values alone."""
    slow = slow_gauge(seconds=40.0)
    each = analyse(Capture(slow.take(np.arange(0, len(slow), 20)), parse_setup({}), resolution_mm=1e-4))
    repeated = analyse(Capture(slow, parse_setup({}), resolution_mm=1e-4))
    # Counted twenty times over it would be sqrt 20 surer. By chance turns are told to differ in one of the two.
    assert repeated.pooled.tir_first.u == pytest.approx(each.pooled.tir_first.u, rel=0.5)
    assert repeated.gauge.rate_hz == pytest.approx(RATE_HZ, rel=1e-6)


@pytest.mark.parametrize(("planned", "rpm"), [(None, 15.4), (1, 7.5), (2, 15.0), (3, 15.4), (10, 15.4)])
def test_how_fast_a_gauge_can_follow_goes_by_the_turns_planned(planned: int | None, rpm: float) -> None:
    given = marked(slow_gauge())
    # Own derivation: 80 values of all turns, at 39 places of each in step, at 10 values a second.
    assert round(gauge_facts(given, 1e-4, planned).max_rpm, 1) == rpm


@pytest.mark.parametrize("turns", [1, 2, 3, 5])
@pytest.mark.parametrize("slower", [1.0, 0.99, 0.975, 0.9, 0.7, 0.5])
def test_at_that_speed_and_slower_the_turns_carry_fifteen_orders(turns: int, slower: float) -> None:
    per_turn = wanted_values_per_turn(turns) / slower
    deg = np.arange(math.ceil(turns * per_turn - 1e-9)) * 360.0 / per_turn % 360.0
    gap = float(np.diff(np.sort(deg), append=np.sort(deg)[0] + 360.0).max())
    places = len(np.unique(np.floor(deg + 1e-9)))
    alone = default_highest_order(per_turn, places)
    assert highest_order_together(len(deg), places, gap, alone) == 15


@pytest.mark.parametrize("rate", [3.0, 10.0, 50.0, 1000.0])
def test_the_fastest_turning_goes_with_the_rate(rate: float) -> None:
    t = np.arange(500) / rate
    gauge = gauge_facts(all_new(t, t, np.random.default_rng(1).normal(size=500)), 0.0)
    # Times between values are told to a nanosecond.
    assert gauge.max_rpm == pytest.approx(60.0 * rate / 39, rel=1e-8)


def test_a_value_out_of_range_is_no_new_value_of_the_gauge() -> None:
    t = np.arange(100) / 100.0
    samples = replace(all_new(t, t, np.zeros(100)), out_of_range=np.arange(100) % 2 == 1)
    assert gauge_facts(samples, 0.001).rate_hz == pytest.approx(50.0, rel=1e-9)


def test_no_samples_have_no_rate() -> None:
    nothing = np.empty(0)
    assert gauge_facts(all_new(nothing, nothing, nothing), 0.001).rate_hz == 0.0


@pytest.mark.parametrize("step", [0.01, 0.001, 0.0005, 0.00127])
def test_the_step_is_what_all_differences_are_multiples_of(step: float) -> None:
    values = np.round(np.random.default_rng(1).normal(0.0, 20 * step, 500) / step) * step
    # Readings are compared to a billionth of a millimetre.
    assert smallest_step_mm(values) == pytest.approx(step, abs=2e-9)


def test_a_device_that_says_its_step_too_fine_is_found_out() -> None:
    values = np.round(np.random.default_rng(1).normal(0.0, 0.1, 500) / 0.01) * 0.01
    assert smallest_step_mm(values, stated_mm=0.001) == pytest.approx(0.01, abs=2e-9)


def test_a_stated_step_is_kept_where_the_readings_obey_it() -> None:
    values = np.round(np.random.default_rng(1).normal(0.0, 0.1, 500) / 0.01) * 0.01
    assert smallest_step_mm(values, stated_mm=0.01) == 0.01


def test_a_stated_step_is_kept_where_the_readings_obey_none() -> None:
    assert smallest_step_mm(np.random.default_rng(1).normal(0.0, 0.1, 500), stated_mm=0.001) == 0.001


def test_two_or_three_values_tell_no_step() -> None:
    assert smallest_step_mm(np.array([0.0, 0.02, 0.04, 0.02]), stated_mm=0.01) == 0.01


def test_readings_that_never_change_tell_no_step() -> None:
    assert smallest_step_mm(np.zeros(10), stated_mm=0.01) == 0.01


def test_a_gauge_may_keep_step_with_the_turning() -> None:
    # 10 a second at 100 rpm is six a turn: six places for ever.
    beat = beat_with_turning(10.0, 100.0)
    assert beat is not None
    assert beat.places == 6


def test_a_few_turns_a_minute_more_or_less_fill_the_turn() -> None:
    assert beat_with_turning(10.0, 100.0) == Beat(6, 97, 103)


@pytest.mark.parametrize("rpm", [97.0, 103.0])
def test_at_those_speeds_nothing_beats(rpm: float) -> None:
    assert beat_with_turning(10.0, rpm) is None


def test_a_gauge_with_a_place_every_twelve_degrees_fills_the_turn_at_once() -> None:
    assert beat_with_turning(10.0, 20.0) is None


@pytest.mark.parametrize(("rate", "rpm"), [(0.0, 100.0), (10.0, 0.0)])
def test_without_rate_or_speed_nothing_beats(rate: float, rpm: float) -> None:
    assert beat_with_turning(rate, rpm) is None


def test_less_than_a_value_a_turn_is_no_beat() -> None:
    assert beat_with_turning(1.0, 200.0) is None
