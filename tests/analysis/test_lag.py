"""A late gauge told from speed changes, play from ground trodden twice, slip from the part itself."""

import math
from itertools import pairwise

import numpy as np
import pytest

from analysis.harmonics import fit_harmonics
from analysis.lag import lag_from_speeds
from analysis.play import play_from_going_back
from analysis.slip import slip_between_turns

RNG = np.random.default_rng(6)
T = np.arange(0, 30, 0.02)
UNEVEN = 0.8 * T + 0.25 * np.sin(2.1 * T)
"""A hand: 0.3 to 1.3 rad/s."""


def surface(phi: np.ndarray) -> np.ndarray:
    return 0.07 * np.cos(phi - 1.0) + 0.009 * np.cos(2 * phi)


def found(lag_s: float, angle: np.ndarray):
    reading = surface(np.interp(T - lag_s, T, angle)) + RNG.normal(0, 0.0008, len(T))
    return lag_from_speeds(T, angle, T, reading, highest_order=6, drift=True)


@pytest.mark.parametrize("lag_s", [0.0, 0.05, 0.12, 0.3])
def test_the_lag_is_found_within_its_uncertainty(lag_s: float) -> None:
    told = found(lag_s, UNEVEN)
    assert told is not None
    assert told.lag_s == pytest.approx(lag_s, abs=4 * told.u_s)


def test_a_good_gauge_is_not_called_late() -> None:
    told = found(0.0, UNEVEN)
    assert (told is not None, told.clear if told else None) == (True, False)


def test_even_turning_does_not_tell() -> None:
    told = found(0.1, 0.8 * T)
    assert told is None or not told.known


def back_and_forth(play_mm: float):
    """Two turns, a step back of 25 degrees in the second, through a plunger with play."""
    legs = [0.0, 8.8, 8.8 - 0.44, 4 * math.pi]
    angle = np.concatenate([np.arange(a, b, 0.02 if b > a else -0.02) for a, b in pairwise(legs)])
    t = np.arange(len(angle)) * 0.02
    shown, last = np.empty(len(angle)), float(surface(angle[:1])[0])
    for k, x in enumerate(surface(angle)):
        last = min(max(last, x - play_mm / 2), x + play_mm / 2)
        shown[k] = last
    shown = shown + RNG.normal(0, 0.0005, len(shown))
    forward = np.maximum.accumulate(angle) <= angle
    fit = fit_harmonics(angle[forward], shown[forward], highest_order=8)
    return play_from_going_back(t, angle, shown, fit, direction=1, noise_mm=0.0005)


@pytest.mark.parametrize("play_mm", [0.004, 0.012])
def test_the_play_is_what_the_reading_stays_behind_by(play_mm: float) -> None:
    told = back_and_forth(play_mm)
    assert told is not None
    # The curve of the forward turns has corners that eight orders round off.
    assert told.play_mm == pytest.approx(play_mm, abs=0.0015)


def test_a_gauge_without_play_reads_the_same_going_back() -> None:
    told = back_and_forth(0.0)
    assert told is not None
    assert told.play_mm < 0.001


def test_lost_counts_show_as_a_step_between_turns() -> None:
    n = np.arange(1, 4)
    part = np.array([0.05, 0.01j, 0.004])
    turns = [part * np.exp(1j * n * math.radians(deg)) for deg in (0.0, 0.0, 1.8, 1.8)]
    told = slip_between_turns(turns, 1e-5)
    assert told is not None
    assert told.step_deg == pytest.approx(1.8, abs=0.02)


def test_a_part_that_hardly_runs_out_tells_no_slip() -> None:
    assert slip_between_turns([np.array([1e-5 + 0j])] * 2, 1e-5) is None
