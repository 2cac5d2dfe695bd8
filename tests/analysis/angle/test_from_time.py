"""Angles told by time: between index pulses and of a steady spin."""

import math

import numpy as np
import pytest

from analysis.angle.from_time import angles_between_pulses, angles_of_steady_spin
from analysis.errors import BadInput, NotDecidable
from analysis.harmonics import fit_harmonics


def curve(phi: np.ndarray) -> np.ndarray:
    return 0.07 * np.cos(phi - 1.0) + 0.01 * np.cos(2 * phi)


def test_even_turning_between_pulses_gives_the_true_angles() -> None:
    t = np.arange(0.0, 40.0, 0.02)
    phi = 2 * math.pi * (t - 3.0) / 8.0
    found = angles_between_pulses(t, curve(phi), np.arange(3.0, 40.0, 8.0))
    inside = np.isfinite(found.angle_rad)
    assert np.allclose(found.angle_rad[inside], phi[inside], atol=1e-9)  # straight lines through the truth
    assert inside.sum() == ((t >= 3.0) & (t <= 35.0)).sum()
    assert found.left_out == 0


def test_a_turn_in_which_the_hand_went_back_is_left_out() -> None:
    t = np.arange(0.0, 40.0, 0.02)
    turned = t / 8.0
    # In the third turn the hand goes back by 0.15 of a turn about its middle, and catches up before the mark.
    in_third = (turned >= 2) & (turned < 3)
    turned = np.where(in_third, turned - 0.15 * np.sin(np.pi * (turned - 2)) ** 2, turned)
    found = angles_between_pulses(t, curve(2 * math.pi * turned), np.arange(0.0, 40.1, 8.0))
    assert found.left_out == 1
    assert not np.isfinite(found.angle_rad[(t > 16.1) & (t < 23.9)]).any()


def test_one_pulse_is_no_turn() -> None:
    with pytest.raises(BadInput, match="1 index pulse"):
        angles_between_pulses(np.arange(10.0), np.zeros(10), np.array([3.0]))


@pytest.mark.parametrize("period_s", [0.6, 3.7, 9.3])
def test_the_period_of_a_steady_spin_is_found(period_s: float) -> None:
    rng = np.random.default_rng(2)
    t = np.arange(0.0, 30.0, 0.02)
    reading = curve(2 * math.pi * t / period_s) + rng.normal(0, 0.001, len(t))
    found = angles_of_steady_spin(t, reading)
    # The frequency's own uncertainty: sqrt(6) sigma / (pi A T sqrt N), times the period; ten of it.
    u = math.sqrt(6) * 0.001 / (math.pi * 0.07 * 30.0 * math.sqrt(len(t))) * period_s**2
    assert abs(found.period_s - period_s) < 10 * u


def test_an_oval_part_is_not_taken_for_one_turning_twice_as_fast() -> None:
    t = np.arange(0.0, 40.0, 0.02)
    phi = 2 * math.pi * t / 8.0
    reading = 0.05 * np.cos(2 * phi) + 0.004 * np.cos(phi)
    assert angles_of_steady_spin(t, reading).period_s == pytest.approx(8.0, rel=1e-4)


def test_noise_alone_has_no_period() -> None:
    rng = np.random.default_rng(3)
    t = np.arange(0.0, 30.0, 0.02)
    with pytest.raises(NotDecidable, match="no steady period"):
        angles_of_steady_spin(t, rng.normal(size=len(t)))


def test_a_reading_that_never_changes_has_no_period() -> None:
    t = np.arange(0.0, 30.0, 0.02)
    with pytest.raises(NotDecidable, match="do not change"):
        angles_of_steady_spin(t, np.full(len(t), 0.5))


def test_readings_that_do_not_fill_their_time_carry_no_period() -> None:
    """A clock that jumped, or a pause: what lies between could be any number of turns."""
    t = np.arange(0.0, 40.0, 0.02)
    t[1000:] += 5e6
    with pytest.raises(NotDecidable, match="do not fill the 5000040 s"):
        angles_of_steady_spin(t, curve(2 * math.pi * t / 8.0))


def test_turns_between_pulses_are_told_as_by_looking_at_all_readings_for_each() -> None:
    """Against the same written out plainly: every reading asked for every turn, all pairs of curves at once."""
    rng = np.random.default_rng(7)
    t = np.arange(0.0, 200.0, 0.03)
    pulses = np.cumsum(np.append(2.0, rng.uniform(7.0, 9.0, 20)))
    turned = np.interp(t, pulses, np.arange(21.0))
    bent = np.where((turned >= 3) & (turned < 4), turned - 0.15 * np.sin(np.pi * (turned - 3)) ** 2, turned)
    reading = curve(2 * math.pi * bent) + rng.normal(0.0, 0.001, len(t))
    found = angles_between_pulses(t, reading, pulses)
    angle = np.interp(t, pulses, np.arange(21) * (2 * math.pi))
    angle[(t < pulses[0]) | (t > pulses[-1])] = np.nan
    mine = [(angle >= 2 * math.pi * k) & (angle < 2 * math.pi * (k + 1)) for k in range(20)]
    grid = np.linspace(0.0, 2 * math.pi, 180, endpoint=False)
    drawn = np.array([fit_harmonics(angle[one], reading[one], highest_order=3).curve(grid) for one in mine])
    apart = np.sqrt(np.mean((drawn[:, None, :] - drawn[None, :, :]) ** 2, axis=2))
    typical = int(np.argmin(np.median(apart, axis=1)))
    aside = apart[typical] / np.sqrt(np.mean(np.gradient(drawn[typical], grid) ** 2))
    angle[mine[3]] = np.nan
    assert found.left_out == 1
    np.testing.assert_array_equal(found.angle_rad, angle)
    assert found.u_rad == max(0.05, float(np.sqrt(np.mean(np.square(np.delete(aside, 3))))))
