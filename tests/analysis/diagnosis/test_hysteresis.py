"""Play of a gauge told from ground trodden twice, against a plunger with play."""

import math
from itertools import pairwise

import numpy as np
import pytest

from analysis.diagnosis.hysteresis import GoneBack, play_from_going_back
from analysis.harmonics import fit_harmonics


def surface(phi: np.ndarray) -> np.ndarray:
    return 0.07 * np.cos(phi - 1.0) + 0.009 * np.cos(2 * phi)


def back_and_forth(play_mm: float):
    """Two turns, a step back of 25 degrees in the second, through a plunger with play."""
    legs = [0.0, 8.8, 8.8 - 0.44, 4 * math.pi]
    angle = np.concatenate([np.arange(a, b, 0.02 if b > a else -0.02) for a, b in pairwise(legs)])
    t = np.arange(len(angle)) * 0.02
    shown, last = np.empty(len(angle)), float(surface(angle[:1])[0])
    for k, x in enumerate(surface(angle)):
        last = min(max(last, x - play_mm / 2), x + play_mm / 2)
        shown[k] = last
    shown = shown + np.random.default_rng(6).normal(0, 0.0005, len(shown))
    forward = np.maximum.accumulate(angle) <= angle
    fit = fit_harmonics(angle[forward], shown[forward], highest_order=8)
    gone_back = GoneBack(1)
    gone_back.take(t, angle, shown)
    return play_from_going_back(gone_back, fit, direction=1, noise_mm=0.0005)


@pytest.mark.parametrize("play_mm", [0.004, 0.012])
def test_the_play_is_what_the_reading_stays_behind_by(play_mm: float) -> None:
    play = back_and_forth(play_mm)
    assert play is not None
    # The curve of the forward turns has corners that eight orders round off.
    assert play.play_mm == pytest.approx(play_mm, abs=0.0015)


def test_a_gauge_without_play_reads_the_same_going_back() -> None:
    play = back_and_forth(0.0)
    assert play is not None
    assert play.play_mm < 0.001
