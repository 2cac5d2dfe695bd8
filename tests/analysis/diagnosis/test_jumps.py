"""Steps in time: a stand that was knocked, the buttons of the indicator, and what only looks like them."""

import numpy as np
import pytest
from made_sweeps import TURN_S, Made, box, made, sum_of, wobble
from numpy.typing import NDArray

from analysis.diagnosis.jumps import Jump, find_jump

NOISE_MM, STEP_MM = 0.0008, 0.001
WOBBLE = wobble(0.142, zero_mm=1.3)
AT_DEG = 500.0
AT_S = AT_DEG / 360.0 * TURN_S
# One reading is 0.0125 s; the place is found within a few of them where the step stands well out.
TIME_S = 0.05


def jump_of(sweep: Made, orders: int = 15) -> Jump | None:
    return find_jump(
        sweep.angle_rad,
        sweep.reading_mm,
        sweep.t_s,
        orders=orders,
        noise_mm=NOISE_MM,
        resolution_mm=STEP_MM,
    )


def stepping(size_mm: float, *, seed: int = 1, turns: int = 3, at_deg: float = AT_DEG) -> Made:
    def stays(deg: NDArray[np.float64]) -> NDArray[np.float64]:
        return np.where(deg >= at_deg, size_mm, 0.0)

    return made(WOBBLE, turns=turns, noise_mm=NOISE_MM, step_mm=STEP_MM, seed=seed, also=stays)


def replaced(sweep: Made, reading_mm: NDArray[np.float64]) -> Made:
    return Made(sweep.angle_rad, np.round(reading_mm / STEP_MM) * STEP_MM, sweep.t_s, sweep.turn)


def scaled(factor: float) -> Made:
    """Somebody presses in/mm: the number in the window means something else from then on."""
    sweep = stepping(0.0)
    return replaced(sweep, np.where(sweep.deg >= AT_DEG, sweep.reading_mm * factor, sweep.reading_mm))


def zeroed() -> Made:
    """Somebody presses zero: what stood there is taken off from then on."""
    sweep = stepping(0.0)
    there = sweep.reading_mm[int(np.searchsorted(sweep.deg, AT_DEG))]
    return replaced(sweep, np.where(sweep.deg >= AT_DEG, sweep.reading_mm - there, sweep.reading_mm))


@pytest.mark.parametrize("seed", [1, 2, 3])
@pytest.mark.parametrize("size", [0.020, -0.020, 0.3])
def test_a_step_that_stays_is_the_stand(size: float, seed: int) -> None:
    jump = jump_of(stepping(size, seed=seed))
    assert jump is not None
    assert jump.kind == "stand"


def test_a_step_has_its_time() -> None:
    jump = jump_of(stepping(0.020))
    assert jump is not None
    assert jump.t_s == pytest.approx(AT_S, abs=TIME_S)


def test_a_step_has_its_size_and_sign() -> None:
    jump = jump_of(stepping(-0.020))
    assert jump is not None
    # Means of hundreds of readings on either side, with 31 unknowns: a few hundredths of the noise each.
    assert jump.step_mm == pytest.approx(-0.020, abs=0.3 * NOISE_MM)


@pytest.mark.parametrize("at_deg", [60.0, 330.0, 700.0, 1020.0])
def test_a_step_is_found_wherever_it_comes(at_deg: float) -> None:
    jump = jump_of(stepping(0.020, at_deg=at_deg))
    assert jump is not None
    assert jump.t_s == pytest.approx(at_deg / 360.0 * TURN_S, abs=TIME_S)


def test_a_step_in_a_single_turn_is_found() -> None:
    jump = jump_of(stepping(0.050, turns=1, at_deg=200.0))
    assert jump is not None
    assert jump.kind == "stand"


@pytest.mark.parametrize("factor", [1 / 25.4, 25.4])
def test_a_change_of_scale_by_an_inch_is_the_unit_button(factor: float) -> None:
    jump = jump_of(scaled(factor))
    assert jump is not None
    assert jump.kind == "unit"
    assert jump.t_s == pytest.approx(AT_S, abs=TIME_S)


def test_a_change_to_nothing_is_the_zero_button() -> None:
    jump = jump_of(zeroed())
    assert jump is not None
    assert jump.kind == "zero"
    assert jump.t_s == pytest.approx(AT_S, abs=TIME_S)


@pytest.mark.parametrize("seed", range(1, 21))
def test_a_sweep_without_a_step_has_no_jump(seed: int) -> None:
    assert jump_of(stepping(0.0, seed=seed)) is None


def test_a_ridge_is_a_step_in_angle_and_no_jump() -> None:
    shape = sum_of(WOBBLE, box(0.040, 200.0, 10.0))
    assert jump_of(made(shape, noise_mm=NOISE_MM, step_mm=STEP_MM)) is None


def test_even_creep_is_no_jump() -> None:
    creeping = made(WOBBLE, noise_mm=NOISE_MM, step_mm=STEP_MM, also=lambda deg: 0.010 * deg / 360.0)
    assert jump_of(creeping) is None


def test_a_knock_that_goes_back_is_no_jump() -> None:
    knocked = made(
        WOBBLE,
        noise_mm=NOISE_MM,
        step_mm=STEP_MM,
        also=lambda deg: np.where(abs(deg - AT_DEG) < 3, 0.05, 0.0),
    )
    assert jump_of(knocked) is None


def test_a_step_within_the_noise_is_not_believed() -> None:
    assert jump_of(stepping(0.003)) is None  # under six deviations, and under four steps of the gauge


def test_readings_of_one_curve_have_no_jump() -> None:
    assert jump_of(made(WOBBLE)) is None


def test_too_few_readings_are_not_searched() -> None:
    sweep = stepping(0.3)
    few = Made(sweep.angle_rad[:67], sweep.reading_mm[:67], sweep.t_s[:67], sweep.turn[:67])
    assert jump_of(few) is None
