"""What two sweeps say together: lag against play, nick against stand, creep."""

import math

import numpy as np
import pytest

from analysis.diagnosis.both_directions import (
    creep_mm,
    lag_and_play,
    pair_of,
    play_behind,
    sources_of_bumps,
    turned_between,
)
from analysis.diagnosis.bumps import Bump
from analysis.errors import BadInput
from analysis.numerics.order_vectors import OrderVectors, exact
from analysis.setup import MarkSide

PART = OrderVectors(np.array([0.05, 0.01j, 0.004]), 1e-12 * np.eye(6), 100.0)


def both_ways(lag_s: float, play_mm: float, rpm: float):
    w = rpm * 2 * math.pi / 60
    angle = lag_s * w + 2 * play_mm / (math.pi * 0.05) * (1 - play_mm / 0.10)
    return pair_of(PART.turned(angle), PART.turned(-angle), rpm, rpm)


def test_a_turned_curve_is_turned_by_its_angle() -> None:
    assert turned_between(PART, PART.turned(0.3))[0] == pytest.approx(0.3)


def test_one_pair_cannot_tell_lag_from_play() -> None:
    found = lag_and_play([both_ways(0.1, 0.0, 8.0)])
    assert (found.lag_s, found.play_mm, found.seen) == (None, None, True)


def test_two_ways_that_agree_show_nothing() -> None:
    assert not lag_and_play([both_ways(0.0, 0.0, 8.0)]).seen


def test_two_speeds_tell_lag_and_play() -> None:
    found = lag_and_play([both_ways(0.08, 0.006, rpm) for rpm in (4.0, 9.0)])
    assert (found.lag_s, found.play_mm) == pytest.approx((0.08, 0.006), rel=1e-3)


def test_the_angle_of_play_is_that_of_a_plunger_with_play() -> None:
    """Another road: a play operator on a sine, its first harmonic by sums (A 1, h 0.2)."""
    t = np.linspace(0, 6 * math.pi, 60_001)
    wave, shown, last = np.cos(t), np.empty(len(t)), 1.0
    for k, x in enumerate(wave):
        last = min(max(last, x - 0.1), x + 0.1)
        shown[k] = last
    turn = slice(40_000, 60_000)
    z = np.exp(1j * t[turn]) @ shown[turn]
    # "About": the formula divides by A, while the in-phase part has fallen too; 6 % at h = A / 5.
    assert play_behind(float(np.angle(z)), 1.0) == pytest.approx(0.2, rel=0.06)


def bump(deg: float) -> Bump:
    return Bump(deg=deg, width_deg=6.0, height_mm=0.03, turns=5, kind="nick")


def test_the_same_place_of_the_part_is_a_nick_on_it() -> None:
    found = sources_of_bumps([([bump(100)], 0.0, MarkSide.PART), ([bump(280)], 180.0, MarkSide.ARBOR)])
    assert found == ["Bump at 100 deg on the part in both sweeps: it is on the part."]


def test_the_same_place_of_the_arbor_is_spindle_or_stand() -> None:
    found = sources_of_bumps([([bump(100)], 0.0, MarkSide.PART), ([bump(100)], 180.0, MarkSide.ARBOR)])
    assert "spindle, bearings or stand" in found[0]


def test_without_a_re_index_nothing_is_told() -> None:
    assert sources_of_bumps([([bump(100)], 0.0, MarkSide.PART), ([bump(100)], 0.0, MarkSide.PART)]) == []


@pytest.mark.parametrize(
    ("heights", "crept"), [([0.0, 0.004, 0.008], 0.008), ([0.0, 0.0005], None), ([1.0], None)]
)
def test_a_stand_that_creeps_shows_over_sweeps(heights: list[float], crept: float | None) -> None:
    assert creep_mm(heights, 0.0002) == crept


def test_a_flat_curve_has_no_direction() -> None:
    with pytest.raises(BadInput, match="order 1"):
        turned_between(exact([0.0]), exact([1.0]))
