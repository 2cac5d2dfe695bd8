"""A late gauge told from speed changes."""

import math
from collections.abc import Callable

import numpy as np
import pytest
from simulated_motion import Bench, Turned, draw_part, hand, made_capture, spindle

from analysis.diagnosis.lag import GaugeLag, Lag, LagSource, lag_from_speeds

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
    shown = np.round(reading / 0.00025) * 0.00025
    assert (
        lag_from_speeds(t_s, angle, t_s, shown, highest_order=6, drift=True, count_rad=2 * np.pi / 2400)
        is None
    )


def drawn(seed: int, turn: Callable[[np.random.Generator, float, float], Turned]) -> tuple[Lag | None, float]:
    """Return the lag found in a sweep of an encoder, a gauge and a part drawn anew, and the true one."""
    rng = np.random.default_rng([seed, 77])
    rpm, turns, counts = (
        rng.uniform(5, 60),
        int(rng.integers(2, 40)),
        int(rng.choice([600, 1000, 2400, 4096])),
    )
    bench = Bench(
        rate_hz=rng.choice([50, 100, 250]), noise_mm=rng.uniform(0.0002, 0.001), counts=counts,
        late_s=rng.uniform(0, 0.2),
    )  # fmt: skip
    part = draw_part(rng, rng.choice([0.01, 0.05, 0.15]))
    samples = made_capture(rng, turn(rng, turns + 0.3, rpm), part, bench).samples
    lag = lag_from_speeds(
        samples.t_s, samples.angle_rad, samples.t_s, samples.reading_mm, highest_order=15, drift=True,
        count_rad=2 * math.pi / counts,
    )  # fmt: skip
    return lag, bench.late_s


@pytest.mark.parametrize("first", range(0, 40, 8))
def test_a_spindle_at_an_even_speed_tells_no_lag_whatever_its_encoder(first: int) -> None:
    """Without the look at the stairs six of sixty such sweeps were up to half a second late."""
    found = [drawn(seed, spindle)[0] for seed in range(first, first + 8)]
    assert not [lag for lag in found if lag is not None and lag.known]


def test_a_hand_tells_it_whatever_its_encoder() -> None:
    found = [drawn(seed, hand) for seed in range(20)]
    # Of twenty, by five or more of its u, with any chance worth the name: never.
    assert all(lag is not None and abs(lag.lag_s - late_s) < 5 * lag.u_s for lag, late_s in found)


LATEST = 0.150


def seen(lag_s: float, u_s: float) -> Lag:
    return Lag(lag_s, u_s, 1.0)


def test_neither_declared_nor_found_it_turns_nothing_and_may_be_as_late_as_any() -> None:
    lag = GaugeLag.joined(None, None, -2.0, LATEST)
    assert (lag.source, lag.turned_rad, lag.may_turn_rad) == (LagSource.NOT_KNOWN, 0.0, -0.3)


def test_a_probe_may_be_less_late() -> None:
    assert GaugeLag.joined(None, None, 2.0, 0.020).may_turn_rad == 0.04


def test_what_speeds_tell_too_badly_is_not_used() -> None:
    assert GaugeLag.joined(seen(0.03, 0.04), None, 1.0, LATEST).source is LagSource.NOT_KNOWN


def test_declared_and_found_are_joined_by_inverse_variance() -> None:
    # JCGM 100 has no such formula; the weighted mean of two is common practice, no source.
    lag = GaugeLag.joined(seen(0.040, 0.010), (0.030, 0.005), 1.0, LATEST)
    assert lag.lag_s == pytest.approx((0.040 / 1e-4 + 0.030 / 25e-6) / (1 / 1e-4 + 1 / 25e-6))
    assert lag.u_s == pytest.approx((1 / 1e-4 + 1 / 25e-6) ** -0.5)
    assert not lag.disagrees


def test_a_delay_declared_without_doubt_is_taken_as_it_is() -> None:
    lag = GaugeLag.joined(seen(0.040, 0.010), (0.030, 0.0), 1.0, LATEST)
    assert (lag.lag_s, lag.u_s) == (pytest.approx(0.030), 0.0)


@pytest.mark.parametrize(("apart_in_u", "disagrees"), [(2.9, False), (3.1, True)])
def test_a_declared_delay_three_joint_u_off_is_dropped(apart_in_u: float, disagrees: bool) -> None:
    declared_s = 0.200 - apart_in_u * math.hypot(0.010, 0.005)
    lag = GaugeLag.joined(seen(0.200, 0.010), (declared_s, 0.005), 1.0, LATEST)
    assert lag.disagrees is disagrees
    assert (lag.lag_s == 0.200) is disagrees


def test_what_speeds_tell_badly_still_rules_out_the_latest() -> None:
    assert GaugeLag.joined(seen(0.01, 0.04), None, 1.0, LATEST).most_s == pytest.approx(
        0.01 + 1.96 * 0.04, rel=1e-4
    )
    assert GaugeLag.joined(seen(0.10, 0.04), None, 1.0, LATEST).most_s == LATEST


def test_what_is_told_badly_still_contradicts_what_was_declared() -> None:
    lag = GaugeLag.joined(seen(0.13, 0.04), (0.0, 0.006), 1.0, LATEST)
    assert (lag.disagrees, lag.lag_s) == (True, 0.13)
