"""The indicator, the stand and the encoder: each fault of theirs against its closed form."""

import math
from collections.abc import Callable, Iterator
from dataclasses import replace
from statistics import pstdev

import pytest

from logger.practice.bench.course import Course
from logger.practice.bench.encoder import Encoder, EncoderKind
from logger.practice.bench.gauge import Gauge, GaugeKind
from logger.practice.bench.motion import Lathe, Piece
from logger.practice.bench.stand import Stand, StandMotion

FINE = GaugeKind(resolution_mm=1e-6, noise_mm=0.0, preset_mm=1.0)
"""A gauge with next to no step and no noise: what is left is what was asked for."""
STEP_MM = 1e-6  # of the fine gauge; nothing read from it is known better
TURN_US = 6_000_000


def steady() -> Iterator[Piece]:
    """Yield endless whole turns of 6 s, from time 0 and without a rest."""
    turn = 0
    while True:
        ends = (float(turn), float(turn + 1))
        yield Piece(turn * TURN_US, (turn + 1) * TURN_US, ends, done=ends)
        turn += 1


def wave(amplitude_mm: float) -> Callable[[int], float]:
    """Return a surface of order 1, high at 0."""
    return lambda t_us: amplitude_mm * math.cos(math.tau * t_us / TURN_US)


def readings_mm(kind: GaugeKind, surface: Callable[[int], float], seconds: float = 12.0) -> list[float]:
    gauge = Gauge(kind, "a", Course(steady()))
    times = range(0, round(seconds * 1e6), kind.period_us)
    return [gauge.update(t_us, surface) * kind.resolution_mm for t_us in times]


def test_a_value_is_a_whole_number_of_the_gauges_own_steps() -> None:
    gauge = Gauge(replace(FINE, resolution_mm=0.01), "a", Course(steady()))
    assert gauge.update(0, lambda _: 0.0234) == 102


def test_a_late_gauge_shows_the_surface_as_it_was() -> None:
    late = readings_mm(replace(FINE, lag_us=120_000), wave(0.07))
    assert late[6:] == pytest.approx(readings_mm(FINE, wave(0.07))[:-6], abs=STEP_MM)  # 6 x 20 ms


def test_play_takes_its_width_off_the_tir() -> None:
    played = readings_mm(replace(FINE, play_mm=0.012), wave(0.07), 24.0)[600:]  # settled after half a turn
    assert max(played) - min(played) == pytest.approx(0.14 - 0.012, abs=2e-5)  # 1 - cos of half a sample


def test_play_turns_order_one_back_by_its_closed_form() -> None:
    # Numerics section 2 gives the share of order 1 that comes a quarter turn late: exact for a backlash.
    width, amplitude = 0.012, 0.07
    played = readings_mm(replace(FINE, play_mm=width), wave(amplitude), 18.0)[300:]  # two turns of 300 values
    late = sum(reading * math.sin(math.tau * k / 300) for k, reading in enumerate(played)) / 300 / amplitude
    expected = 2 * width / (math.pi * amplitude) * (1 - width / (2 * amplitude))
    assert late == pytest.approx(expected, rel=1e-3)  # 300 values a turn: the corner falls between two


@pytest.mark.parametrize("deg", [10.0, 20.0, 30.0])
def test_a_tilted_gauge_over_reads_by_one_over_the_cosine(deg: float) -> None:
    tilted = readings_mm(replace(FINE, lever_deg=deg), wave(0.07))
    assert tilted[0] - 1.0 == pytest.approx(0.07 / math.cos(math.radians(deg)), abs=STEP_MM)


def test_the_plunger_stops_at_its_stop_without_any_noise() -> None:
    low = readings_mm(replace(FINE, preset_mm=0.0, noise_mm=0.001), wave(0.07))
    assert sum(reading == 0.0 for reading in low) >= 300  # half of 600 values lie beyond the stop


def test_noise_has_the_deviation_it_was_given() -> None:
    still = readings_mm(replace(FINE, noise_mm=0.0008), lambda _: 0.0, 80.0)
    assert pstdev(still) == pytest.approx(0.0008, rel=0.05)  # 4000 values: 3.3 standard errors


def test_the_usual_gauge_is_noisy_enough_to_see_between_its_steps() -> None:
    kind = GaugeKind()
    assert kind.noise_mm >= 0.3 * kind.resolution_mm


def test_a_stuck_plunger_shows_one_value_until_it_comes_loose() -> None:
    shown = readings_mm(replace(FINE, stuck_at=1.0, stuck_turns=0.5), wave(0.07))
    assert set(shown[300:450]) == {shown[299]}  # values 300 to 449 lie in turns 1 to 1.5
    assert shown[450] != shown[299]


def test_the_zero_button_makes_the_reading_of_that_moment_zero() -> None:
    shown = readings_mm(replace(FINE, zero_at=1.0), wave(0.07))
    assert (shown[299] > 1.0, shown[300]) == (True, 0.0)


def test_the_unit_button_divides_the_reading_by_25_4() -> None:
    shown = readings_mm(replace(FINE, inch_at=1.0), lambda _: 0.27)
    assert (shown[299], shown[300]) == pytest.approx((1.27, 0.05), abs=STEP_MM)


def test_a_mishap_shifts_no_later_noise() -> None:
    noisy = replace(FINE, noise_mm=0.0008)
    stuck = readings_mm(replace(noisy, stuck_at=0.2, stuck_turns=0.1), wave(0.07))
    assert stuck[200:] == readings_mm(noisy, wave(0.07))[200:]


def test_a_creeping_stand_reads_more_in_proportion_to_time() -> None:
    stand = StandMotion(Stand(drift_mm_per_s=0.001), Course(steady()))
    assert stand.offset_mm(8_000_000) == pytest.approx(0.008, abs=1e-12)  # rounding


def test_a_stand_that_jumps_stays_where_it_jumped_to() -> None:
    stand = StandMotion(Stand(jump_mm=0.03, jump_at=1.5), Course(steady()))
    assert [stand.offset_mm(t) for t in (8_999_999, 9_000_000, 30_000_000)] == [0.0, 0.03, 0.03]


def test_a_knocked_stand_comes_back() -> None:
    stand = StandMotion(Stand(knock_mm=0.06, knock_at=1.5, knock_us=50_000), Course(steady()))
    assert [stand.offset_mm(t) for t in (8_999_999, 9_000_000, 9_050_000)] == [0.0, 0.06, 0.0]


def test_counts_change_half_way_between_their_angles_so_that_none_is_favoured() -> None:
    encoder = Encoder(EncoderKind(counts_per_turn=6), Course(steady()))
    assert [encoder.count(t) for t in (0, 499_999, 500_000, 1_000_000, 1_500_000)] == [0, 0, 1, 1, 2]


def test_a_whole_turn_is_a_whole_turn_of_counts() -> None:
    assert Encoder(EncoderKind(), Course(steady())).count(5 * TURN_US) == 12_000


def test_missed_counts_stay_missed() -> None:
    encoder = Encoder(EncoderKind(missed_counts=12, missed_at=1.5), Course(steady()))
    assert [encoder.count(k * TURN_US) for k in (1, 2, 3)] == [2400, 4788, 7188]


def test_an_encoder_off_its_centre_is_wrong_once_round_and_right_at_the_mark() -> None:
    encoder = Encoder(EncoderKind(counts_per_turn=3600, off_centre_deg=1.0), Course(steady()))
    assert [encoder.count(k * TURN_US // 4) for k in range(4)] == [0, 910, 1800, 2690]  # 0.1 deg a count


def test_a_lathe_at_100_rpm_shows_ten_values_a_second_six_places_for_ever() -> None:
    course = Course(Lathe(100.0, ripple=0.0, wander=0.0).pieces("a"))
    places = {round(course.place(250_000 + k * 100_000).turns % 1.0, 6) % 1.0 for k in range(600)}
    assert len(places) == 6
