"""Standstill of the gauge: stuck anywhere, or at an end of the tip's travel; a coarse gauge is neither."""

import numpy as np
import pytest
from made_sweeps import Made, Shape, made, wobble

from analysis.diagnosis.standstill import Standstill, find_standstills

NOISE_MM, STEP_MM = 0.0008, 0.001
WOBBLE = wobble(0.142)  # high at 63, low at 243 degrees


def standstills_of(sweep: Made, *, noise_mm: float = NOISE_MM, step_mm: float = STEP_MM) -> list[Standstill]:
    return find_standstills(
        sweep.angle_rad,
        sweep.reading_mm,
        sweep.reading_mm,
        sweep.turn,
        noise_mm=noise_mm,
        resolution_mm=step_mm,
    )


def good(shape: Shape = WOBBLE, **kwargs: float) -> Made:
    return made(shape, noise_mm=kwargs.get("noise_mm", NOISE_MM), step_mm=kwargs.get("step_mm", STEP_MM),
                seed=int(kwargs.get("seed", 1)))  # fmt: skip


def stuck(from_deg: float, to_deg: float, *, seed: int = 1) -> Made:
    """The plunger stands still on the second turn from one angle to another."""
    sweep = good(seed=seed)
    held = (sweep.deg >= 360.0 + from_deg) & (sweep.deg <= 360.0 + to_deg)
    reading = sweep.reading_mm.copy()
    reading[held] = reading[int(np.argmax(held))]
    return Made(sweep.angle_rad, reading, sweep.t_s, sweep.turn)


def stopped(at_mm: float, *, below: bool, seed: int = 1) -> Made:
    """The tip comes to the end of its travel: nothing beyond it is read."""
    sweep = good(seed=seed)
    limit = np.maximum if below else np.minimum
    return Made(sweep.angle_rad, limit(sweep.reading_mm, at_mm), sweep.t_s, sweep.turn)


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_a_plunger_that_stands_still_on_a_slope_is_found(seed: int) -> None:
    assert [one.at_extreme for one in standstills_of(stuck(120.0, 150.0, seed=seed))] == [False]


def test_a_standstill_has_its_place_and_span() -> None:
    (one,) = standstills_of(stuck(120.0, 150.0))
    # Readings every 0.75 degrees, and a neighbour may happen to read the same.
    assert one.start_deg == pytest.approx(120.0, abs=1.5)
    assert one.span_deg == pytest.approx(30.0, abs=2.25)


def test_a_standstill_has_its_number_of_readings() -> None:
    assert standstills_of(stuck(120.0, 150.0))[0].values == pytest.approx(
        41, abs=3
    )  # 30 / 0.75, both ends counted


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_a_tip_that_lifts_off_over_the_low_side_stands_at_its_extreme(seed: int) -> None:
    found = standstills_of(stopped(-0.05, below=True, seed=seed))
    assert {one.at_extreme for one in found} == {True}


def test_a_tip_off_the_part_is_found_on_every_turn() -> None:
    assert len(standstills_of(stopped(-0.05, below=True))) == 3


def test_a_tip_at_the_top_of_its_travel_stands_at_its_extreme() -> None:
    assert {one.at_extreme for one in standstills_of(stopped(0.05, below=False))} == {True}


def test_what_lies_beyond_the_stop_is_what_the_flat_spans() -> None:
    one = max(standstills_of(stopped(-0.05, below=True)), key=lambda one: one.span_deg)
    # The wobble of amplitude 0.071 lies under -0.05 for 2 acos(0.05 / 0.071) = 90.4 degrees.
    assert one.span_deg == pytest.approx(90.4, abs=4.0)


def test_a_gauge_stuck_on_its_way_down_from_the_top_is_not_at_a_stop() -> None:
    # Stuck at the highest value of the turn while the part falls away from it.
    found = standstills_of(stuck(63.0, 120.0))
    assert [one.at_extreme for one in found] == [False]


@pytest.mark.parametrize("seed", range(1, 11))
def test_a_good_gauge_never_stands_still(seed: int) -> None:
    assert standstills_of(good(seed=seed)) == []


@pytest.mark.parametrize("step", [0.005, 0.01, 0.02])
def test_a_coarse_gauge_that_repeats_itself_is_not_stuck(step: float) -> None:
    assert standstills_of(good(noise_mm=0.001, step_mm=step), noise_mm=step / np.sqrt(12), step_mm=step) == []


@pytest.mark.parametrize("turns", [1, 2, 3])
@pytest.mark.parametrize("seed", range(8))
def test_the_stairs_of_a_coarse_gauge_without_noise_are_neither_stuck_nor_a_stop(
    seed: int, turns: int
) -> None:
    """3 to 12 steps of 0.01 mm, other orders beside the first, 20,000 readings a turn."""
    rng = np.random.default_rng(seed)
    angle = 2 * np.pi * np.arange(20_000 * turns) / 20_000
    n = np.arange(1, 16)
    amplitude = rng.rayleigh(0.3, 15) / n**1.5
    amplitude[0] = 1.0
    size = 0.01 * rng.uniform(3, 12) / 2
    form = size * (amplitude * np.cos(np.outer(angle, n) - rng.uniform(0, 2 * np.pi, 15))).sum(axis=1)
    reading = form + rng.uniform(-0.005, 0.005) + rng.normal(0.0, 0.0005, len(angle))
    turn = np.arange(20_000 * turns) // 20_000
    sweep = Made(angle, np.round(reading / 0.01) * 0.01, angle, turn)
    assert standstills_of(sweep, noise_mm=0.01 / np.sqrt(12), step_mm=0.01) == []


def test_a_coarse_gauge_without_noise_that_sticks_on_a_slope_is_found() -> None:
    sweep = made(WOBBLE, noise_mm=0.0, step_mm=0.01, seed=1)
    held = (sweep.deg >= 480.0) & (sweep.deg <= 540.0)
    reading = sweep.reading_mm.copy()
    reading[held] = reading[int(np.argmax(held))]
    found = standstills_of(
        Made(sweep.angle_rad, reading, sweep.t_s, sweep.turn), noise_mm=0.003, step_mm=0.01
    )
    assert [one.at_extreme for one in found] == [False]


def test_a_tread_at_one_place_on_every_turn_is_the_part() -> None:
    """Level for 30 degrees on its way down: seen by a coarse gauge as a tread of three steps' height."""

    def ledge(deg: np.ndarray) -> np.ndarray:
        return np.where((deg > 130) & (deg < 160), WOBBLE(np.array([130.0]))[0], WOBBLE(deg))

    sweep = made(ledge, noise_mm=0.0, step_mm=0.01, seed=1)
    assert standstills_of(sweep, noise_mm=0.003, step_mm=0.01) == []


def test_a_part_that_hardly_runs_out_under_a_gauge_without_noise_is_not_stuck() -> None:
    sweep = good(wobble(0.001), noise_mm=0.0)
    assert standstills_of(sweep, noise_mm=0.0) == []


def test_a_single_turn_is_searched_too() -> None:
    sweep = stuck(120.0, 150.0)
    mine = sweep.turn == 1
    one = Made(sweep.angle_rad[mine], sweep.reading_mm[mine], sweep.t_s[mine], sweep.turn[mine])
    assert [one.at_extreme for one in standstills_of(one)] == [False]


def test_a_turn_of_a_few_readings_is_not_searched() -> None:
    sweep = stuck(120.0, 150.0)
    few = Made(sweep.angle_rad[:7], np.zeros(7), sweep.t_s[:7], sweep.turn[:7])
    assert standstills_of(few) == []
