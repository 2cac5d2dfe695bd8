"""A late gauge told from speed changes."""

import numpy as np
import pytest

from analysis.diagnosis.lag import lag_from_speeds

T = np.arange(0, 30, 0.02)
UNEVEN = 0.8 * T + 0.25 * np.sin(2.1 * T)
"""A hand: 0.3 to 1.3 rad/s."""


def surface(phi: np.ndarray) -> np.ndarray:
    return 0.07 * np.cos(phi - 1.0) + 0.009 * np.cos(2 * phi)


def found(lag_s: float, angle: np.ndarray):
    noise = np.random.default_rng(6).normal(0, 0.0008, len(T))
    reading = surface(np.interp(T - lag_s, T, angle)) + noise
    return lag_from_speeds(T, angle, T, reading, highest_order=6, drift=True)


@pytest.mark.parametrize("lag_s", [0.0, 0.05, 0.12, 0.3])
def test_the_lag_is_found_within_its_uncertainty(lag_s: float) -> None:
    lag = found(lag_s, UNEVEN)
    assert lag is not None
    assert lag.lag_s == pytest.approx(lag_s, abs=4 * lag.u_s)


def test_a_good_gauge_is_not_called_late() -> None:
    lag = found(0.0, UNEVEN)
    assert (lag is not None, lag.clear if lag else None) == (True, False)


def test_even_turning_does_not_tell() -> None:
    lag = found(0.1, 0.8 * T)
    assert lag is None or not lag.known


@pytest.mark.parametrize("seed", [0, 20, 33])
def test_the_steps_of_the_count_at_an_even_speed_are_no_lag(seed: int) -> None:
    """Seeds 20 and 33 fit best, by chance, at the latest lag that is tried."""
    t_s = np.arange(0, 296, 0.001)
    angle = 2 * np.pi / 2400 * np.floor(2400 * t_s / 8.001)
    reading = surface(angle) + np.random.default_rng(seed).normal(0, 0.0008, len(t_s))
    lag = lag_from_speeds(t_s, angle, t_s, np.round(reading / 0.00025) * 0.00025, highest_order=6, drift=True)
    assert lag is None or not lag.clear
