"""What slow gauge, encoder, mark, second tip and stand add: closed forms of a worked example."""

import math

import numpy as np
import pytest

from analysis.numerics import extremes
from analysis.uncertainty.gauge_budget import LineOn, LineOrigin
from analysis.uncertainty.turning_budget import (
    averaging,
    encoder_off_centre,
    mark_by_eye,
    play_on_angle,
    stand_warms,
    two_tips,
)

FIRST, SECOND = 0.015, 0.003
"""An example: first order 0.015 mm high, second 0.003 (own derivation)."""


def test_a_slow_gauge_hides_some_of_each_of_the_lowest_orders() -> None:
    # Six turns a minute, 150 ms: n w tau = 0.0942 n; a window of 2 tau shows sinc(n w tau) of order n.
    turned = 2.0 * math.pi / 10.0 * 0.150
    shown = [math.sin(n * turned) / (n * turned) for n in (1, 2, 3)]
    lost = 2 * FIRST * (1 - shown[0]) + 2 * SECOND * (1 - shown[1]) + 2 * 0.001 * (1 - shown[2])
    line = averaging([FIRST, SECOND, 0.001, 0.5], 2.0 * math.pi / 10.0, 0.150)
    assert line.part.u == pytest.approx(lost / math.sqrt(3.0), rel=1e-12)
    assert (line.part.upward, line.part.downward) == (True, False)


def test_a_gauge_that_averages_over_the_whole_turn_shows_nothing_and_not_less() -> None:
    assert averaging([FIRST], 100.0, 0.150).part.u == pytest.approx(2 * FIRST / math.sqrt(3.0), rel=1e-12)


def test_an_encoder_off_centre_bends_the_second_order_into_the_first() -> None:
    on_tir, on_angle = encoder_off_centre(FIRST, SECOND)
    off = 0.05 / 15.0
    assert on_tir.part.u == pytest.approx(2 * SECOND * off + FIRST * off**2, rel=1e-12)
    assert on_angle.part.u == pytest.approx(math.degrees(off) / math.sqrt(2), rel=1e-12)
    assert (on_tir.on, on_angle.on) == (LineOn.TIR, LineOn.ANGLE)


def test_what_an_encoder_off_centre_does_to_order_one_is_not_more_than_its_line() -> None:
    # The curve read at bent angles, fitted anew; the worst of 36 directions of the bend.
    phi = np.linspace(0.0, 2.0 * math.pi, 3600, endpoint=False)
    off = 0.05 / 15.0
    largest_mm = 0.0
    for direction in np.linspace(0.0, 2.0 * math.pi, 36, endpoint=False):
        bent = phi + off * np.cos(phi - direction)
        z = 2.0 * np.mean((FIRST * np.cos(bent) + SECOND * np.cos(2 * bent)) * np.exp(1j * phi))
        largest_mm = max(largest_mm, abs(2.0 * abs(z) - 2.0 * FIRST))
    line = encoder_off_centre(FIRST, SECOND)[0]
    assert largest_mm <= line.part.u * (1.0 + 1e-3)
    assert largest_mm > 0.9 * line.part.u


def test_a_mark_touched_by_eye_is_out_by_two_degrees() -> None:
    line = mark_by_eye()
    assert (line.part.u, line.on) == (pytest.approx(2.0 / math.sqrt(3.0), rel=1e-12), LineOn.ANGLE)


def test_play_turns_the_high_side_by_four_and_a_half_degrees_in_the_example() -> None:
    line = play_on_angle(FIRST, 0.002, LineOrigin.DEFAULT)
    assert line is not None
    # 2 h / (pi A) (1 - h / 2 A) = 4.5 deg, as a range.
    turned = math.degrees(2 * 0.002 / (math.pi * FIRST) * (1 - 0.002 / (2 * FIRST)))
    assert turned == pytest.approx(4.5, abs=0.05)
    assert line.part.u == pytest.approx(turned / math.sqrt(12), rel=1e-12)


def test_play_turns_order_one_of_a_wobble_by_what_is_said() -> None:
    # A tip with play h that follows a wobble round and round, fitted.
    phi = np.linspace(0.0, 4.0 * math.pi, 8000, endpoint=False)
    surface, h = FIRST * np.cos(phi), 0.002
    shown, at = np.empty_like(surface), surface[0]
    for k, height in enumerate(surface):
        at = min(max(at, height - h), height)
        shown[k] = at
    late = np.degrees(np.angle(np.mean(shown[4000:] * np.exp(1j * phi[4000:]))))
    line = play_on_angle(FIRST, h, LineOrigin.DEFAULT)
    assert line is not None
    assert late == pytest.approx(math.sqrt(12) * line.part.u, rel=0.15)


def test_without_a_first_order_play_has_no_angle_to_turn() -> None:
    assert play_on_angle(0.0, 0.002, LineOrigin.DEFAULT) is None


def test_a_stand_of_steel_warms_where_no_drift_can_be_seen() -> None:
    # 150 mm, 11.5e-6 / K, a tenth of a degree.
    assert stand_warms(None).part.u == pytest.approx(150.0 * 11.5e-6 * 0.1, rel=1e-12)
    assert stand_warms(None).origin == LineOrigin.DEFAULT


def test_where_turns_show_how_drift_bends_that_is_taken() -> None:
    line = stand_warms(-0.0006)
    assert (line.part.u, line.origin) == (pytest.approx(0.0006 / math.sqrt(3.0)), LineOrigin.SWEEP)


def test_two_tips_leave_half_of_the_difference_of_their_gains_and_what_is_not_opposite() -> None:
    # The walk of 0.020 mm leaks by half a percent; a first order turned by 2 deg differs by 2 sin 1 deg of it.
    gains, opposite = two_tips(0.020, FIRST)
    leaked = (1.00 * 0.020 - 0.99 * 0.020) / 2.0
    assert gains.part.u == pytest.approx(leaked, rel=1e-12)
    turned = extremes(
        np.array([FIRST - FIRST * math.cos(math.radians(2.0))]),
        np.array([FIRST * math.sin(math.radians(2.0))]),
    )
    assert opposite.part.u == pytest.approx(turned.tir_mm / 2.0, rel=1e-12)
