"""Angles between the counts of a coarse encoder, told by the times of its changes."""

import math

import numpy as np
import pytest

from analysis.angle.between_counts import angles_between_counts

COUNTS = 36
T_S = np.arange(0.0, 18.0, 1 / 60)
TURNED = T_S * COUNTS / 6.0 + 0.3
"""Ten turns a minute, in counts."""


@pytest.mark.parametrize("direction", [1, -1])
def test_even_turning_is_told_to_what_falls_between_two_readings(direction: int) -> None:
    angle = angles_between_counts(T_S, np.floor(direction * TURNED), COUNTS)
    known = np.isfinite(angle)
    # A change lies anywhere between two readings, a tenth of a count apart.
    assert np.abs(angle - direction * TURNED)[known].max() < 0.051
    assert known.mean() > 0.97


def test_a_count_as_it_stands_is_half_a_count_late() -> None:
    angle = angles_between_counts(T_S, np.floor(TURNED), COUNTS)
    known = np.isfinite(angle)
    assert np.mean(angle[known] - np.floor(TURNED)[known]) == pytest.approx(0.5, abs=0.02)


def test_what_was_gone_back_and_where_it_stood_is_not_told() -> None:
    there, stand, back = np.linspace(0.3, 20.3, 600), np.full(600, 20.3), np.linspace(20.3, 17.3, 60)
    turned = np.concatenate([there, stand, back, np.linspace(17.3, 40.3, 600)])
    angle = angles_between_counts(np.arange(len(turned)) / 60.0, np.floor(turned), COUNTS)
    assert np.isnan(angle[620:1200]).all()
    assert np.isnan(angle[1230:1320]).all()
    known = np.isfinite(angle)
    assert known.sum() > 900
    assert np.abs(angle - turned)[known].max() < 0.2


def test_before_the_first_change_and_after_the_last_nothing_is_known() -> None:
    angle = angles_between_counts(T_S, np.floor(TURNED), COUNTS)
    assert math.isnan(angle[0])
    assert math.isnan(angle[-1])
    assert np.isnan(angles_between_counts(T_S[:5], np.zeros(5), COUNTS)).all()


def test_a_stretch_goes_on_to_its_ends_as_fast_as_beside_them() -> None:
    angle = angles_between_counts(T_S, np.floor(TURNED), COUNTS, to_the_ends=True)
    known = np.isfinite(angle)
    assert known[0]
    assert known[-1]
    assert np.abs(angle - TURNED)[known].max() < 0.1


def test_a_hand_that_stood_before_it_turned_is_told_within_its_count_only() -> None:
    rest = np.arange(300) / 60.0
    turned = np.concatenate([np.full(300, 0.9), 0.9 + 5.0 * (np.arange(300) / 60.0)])
    t = np.concatenate([rest, 5.0 + np.arange(300) / 60.0])
    angle = angles_between_counts(t, np.floor(turned), COUNTS, to_the_ends=True)
    assert np.isnan(angle[:250]).all()
    assert np.nanmin(angle) >= 0.0
