"""Readings taken standing, at each hole or chalk mark."""

import numpy as np
import pytest

from analysis.angle.from_stops import Stop, read_stop, readings_at_places
from analysis.errors import BadInput

T_S = np.linspace(0.0, 5.0, 101)
"""Twenty a second."""


def test_a_stop_is_the_median_of_the_second_before_it() -> None:
    reading = np.where(T_S > 3.0, 0.25, 9.0)
    assert read_stop(T_S, reading, 4.0, resolution_mm=0.001).reading_mm == 0.25


def test_what_comes_after_it_does_not_count() -> None:
    reading = np.where(T_S > 4.0, 9.0, 0.25)
    assert read_stop(T_S, reading, 4.0, resolution_mm=0.001).spread_mm == 0.0


def test_one_knock_does_not_move_it() -> None:
    reading = np.where(np.abs(T_S - 3.5) < 0.01, 9.0, 0.25)
    found = read_stop(T_S, reading, 4.0, resolution_mm=0.001)
    assert (found.reading_mm, found.still) == (0.25, True)


@pytest.mark.parametrize(("moved_mm", "still"), [(0.0019, True), (0.0021, False)])
def test_a_step_between_the_halves_of_more_than_two_steps_is_moving(moved_mm: float, still: bool) -> None:
    reading = np.where(T_S > 3.49, moved_mm, 0.0)
    assert read_stop(T_S, reading, 4.0, resolution_mm=0.001).still is still


def test_four_deviations_of_the_noise_are_still() -> None:
    reading = np.where(T_S > 3.49, 0.0039, 0.0)
    assert read_stop(T_S, reading, 4.0, resolution_mm=0.0, noise_mm=0.001).still


def test_fewer_than_three_readings_are_refused() -> None:
    with pytest.raises(BadInput, match=r"2 readings in the second before the stop at 0\.\d s"):
        read_stop(T_S, T_S, 0.05, resolution_mm=0.001)


def stops(*readings: float) -> list[Stop]:
    return [Stop(reading, 0.0, True) for reading in readings]


def test_stops_stand_at_even_places_from_the_first() -> None:
    deg, reading, _ = readings_at_places(stops(0.0, 3.0, -2.0, 3.0), 4)
    assert (deg.tolist(), reading.tolist()) == ([0.0, 90.0, 180.0, 270.0], [0.0, 3.0, -2.0, 3.0])


def test_without_the_return_there_is_no_closure() -> None:
    assert readings_at_places(stops(0.0, 3.0, -2.0, 3.0), 4)[2] is None


def test_one_stop_more_is_the_return_to_the_first() -> None:
    assert readings_at_places(stops(1.0, 3.0, -2.0, 3.0, 1.5), 4)[2] == 0.5


def test_the_return_is_no_place_of_its_own() -> None:
    assert len(readings_at_places(stops(1.0, 3.0, -2.0, 3.0, 1.5), 4)[0]) == 4


@pytest.mark.parametrize("number", [3, 6])
def test_any_other_number_of_stops_is_refused(number: int) -> None:
    with pytest.raises(BadInput, match=f"{number} stops for 4 places"):
        readings_at_places(stops(*([0.0] * number)), 4)
