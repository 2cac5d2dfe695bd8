"""Lag and play learnt from phases at three and more signed speeds."""

import math

import numpy as np
import pytest

from analysis.diagnosis.learnt_lag import Phase, learn_lag
from analysis.errors import BadInput

RPM = 2.0 * math.pi / 60.0


def phases(
    rpm: list[float], *, lag_s: float = 0.1, behind: float = 0.03, side: float = 0.5, u: float = 1e-3
) -> list[Phase]:
    return [
        Phase(
            (side + lag_s * each * RPM + behind * math.copysign(1.0, each)) % (2.0 * math.pi),
            u,
            each * RPM,
            0.05,
        )
        for each in rpm
    ]


def test_three_signed_speeds_tell_lag_play_and_the_high_side() -> None:
    found = learn_lag(phases([6.0, -6.0, 2.5]))
    assert found.lag.value == pytest.approx(0.1)
    assert found.behind.value == pytest.approx(0.03)
    assert found.high_side.value == pytest.approx(0.5)


def test_a_high_side_near_the_mark_is_no_whole_turn_off() -> None:
    found = learn_lag(phases([6.0, -6.0, 2.5], side=0.01))
    assert found.lag.value == pytest.approx(0.1)
    assert found.high_side.value == pytest.approx(0.01)


def test_the_uncertainty_is_that_of_the_phases_carried_through() -> None:
    speeds = np.array([6.0, -6.0, 2.5]) * RPM
    design = np.stack([np.ones(3), speeds, np.sign(speeds)], axis=1)
    # JCGM 100:2008, 5.1.2, of an exact solution of three equations.
    expected = np.sqrt(np.sum(np.linalg.inv(design) ** 2, axis=1)) * 1e-3
    found = learn_lag(phases([6.0, -6.0, 2.5]))
    assert [found.high_side.u, found.lag.u, found.behind.u] == pytest.approx(expected)


def test_sweeps_that_scatter_by_more_than_their_u_enlarge_it() -> None:
    rpm = [6.0, -6.0, 2.5, -2.5, 6.0, -6.0]
    rng = np.random.default_rng(3)
    scattered = [
        Phase(one.rad + rng.normal(0.0, 0.02), one.u_rad, one.speed_rad_s, one.amplitude_mm)
        for one in phases(rpm)
    ]
    found = learn_lag(scattered)
    assert found.lag.u > 5.0 * learn_lag(phases(rpm)).lag.u
    assert found.lag.dof == 3.0


@pytest.mark.slow
def test_two_ways_and_two_speeds_hold_the_truth() -> None:
    rng = np.random.default_rng(5)
    rpm, held = [6.0, 6.0, -6.0, -6.0, 2.5, -2.5], 0
    for _ in range(400):
        drawn = [
            Phase(one.rad + rng.normal(0.0, 1e-3), 1e-3, one.speed_rad_s, 0.05)
            for one in phases(rpm, behind=0.035)
        ]
        low, high = learn_lag(drawn).lag.interval()
        held += low <= 0.1 <= high
    # 95 % of 400 less four standard errors: less than p = 1e-4.
    assert held >= 363


@pytest.mark.parametrize(
    ("rpm", "words"),
    [([6.0, 5.0, 2.5], "the other way too"), ([6.0, -6.0, 6.5], "need two speeds one way")],
)
def test_what_does_not_tell_them_apart_is_refused(rpm: list[float], words: str) -> None:
    with pytest.raises(BadInput, match=words):
        learn_lag(phases(rpm))
