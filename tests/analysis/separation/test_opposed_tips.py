"""Two tips on a face: axial walk told from tilt, end float out of the reading, gains that do not match."""

import math

import numpy as np
import pytest

from analysis.capture.samples import Capture, Samples
from analysis.errors import BadInput
from analysis.separation.opposed_tips import opposed_face, without_axial_motion
from analysis.setup import parse_setup

PHI = np.arange(0, 3 * 360) * (2 * math.pi / 360)


def face(phi: np.ndarray) -> np.ndarray:
    return 0.05 * np.cos(phi - 1.0) + 0.01 * np.cos(3 * phi)


WALK = 0.03 * np.sin(PHI) + 0.01 * np.cos(0.41 * PHI)
"""End float once per turn, and bearings that do not repeat."""
FOUND = opposed_face(PHI, face(PHI) + WALK, face(PHI + math.pi) + WALK)


def test_end_float_once_per_turn_is_out_of_the_face() -> None:
    assert FOUND.face.tir_first_mm == pytest.approx(0.10, abs=1e-9)
    assert FOUND.face.high_side_deg == pytest.approx(math.degrees(1.0), abs=1e-6)


def test_one_tip_alone_takes_it_for_the_part() -> None:
    from analysis.harmonics import fit_harmonics

    alone = fit_harmonics(PHI, face(PHI) + WALK, highest_order=3)
    assert abs(2 * alone.amplitude_mm[0] - 0.10) > 0.02


def test_the_walk_comes_out_as_it_was() -> None:
    assert FOUND.axial_motion_mm == pytest.approx(WALK - WALK.mean(), abs=1e-9)


def test_even_orders_stay_in_the_walk() -> None:
    assert FOUND.not_separable == (2, 4, 6, 8, 10, 12, 14)


def test_a_third_of_a_turn_apart_shows_even_orders_too() -> None:
    def oval(phi: np.ndarray) -> np.ndarray:
        return 0.02 * np.cos(2 * phi)

    apart = math.radians(120)
    found = opposed_face(PHI, oval(PHI) + WALK, oval(PHI + apart) + WALK, apart_deg=120.0)
    assert abs(found.face.z_mm[1]) == pytest.approx(0.02, abs=1e-9)


def test_gains_five_hundredths_apart_leak_a_fortieth_of_the_walk() -> None:
    motion = np.cos(PHI)
    found = opposed_face(PHI, motion, 0.95 * motion)
    assert abs(found.face.z_mm[0]) == pytest.approx(0.025, abs=1e-6)  # plan: 5 % leaks 2.5 %


def test_off_the_first_tip_only_what_is_surely_walk_is_taken() -> None:
    # The half-sum of order 2 may be the face's: it stays in the reading.
    motion = 0.03 * np.sin(PHI) + 0.005 * np.cos(2 * PHI)
    found = opposed_face(PHI, face(PHI) + motion, face(PHI + math.pi) + motion)
    left = face(PHI) + motion - found.surely_axial_motion_mm
    assert left == pytest.approx(face(PHI) + 0.005 * np.cos(2 * PHI), abs=1e-9)


def test_what_does_not_come_back_every_turn_is_taken_too() -> None:
    left = face(PHI) + WALK - FOUND.surely_axial_motion_mm
    # 0.01 mm at 0.41 a turn: over three turns a tenth of it falls on even orders and stays.
    assert np.abs(left - face(PHI)).max() < 0.003


def test_a_narrow_ridge_stays_as_high_as_it_is() -> None:
    def ridged(phi: np.ndarray) -> np.ndarray:
        return face(phi) + 0.03 * np.exp(-((((phi - 2.0 + math.pi) % (2 * math.pi)) - math.pi) ** 2) / 0.003)

    found = opposed_face(PHI, ridged(PHI) + WALK, ridged(PHI + math.pi) + WALK)
    left = ridged(PHI) + WALK - found.surely_axial_motion_mm
    at = np.argmin(np.abs(PHI - 2.0))
    # A tenth of the bearings' motion as above, and a tenth of the ridge's half.
    assert left[at] == pytest.approx(ridged(PHI)[at], abs=0.004)


def test_the_once_round_part_of_the_walk_is_told() -> None:
    found = opposed_face(PHI, face(PHI) + 0.03 * np.sin(PHI), face(PHI + math.pi) + 0.03 * np.sin(PHI))
    assert (
        found.axial_motion_each_turn.tir_first_mm,
        found.axial_motion_each_turn.high_side_deg,
    ) == pytest.approx((0.06, 90.0))


def capture(reading_mm: np.ndarray, t_s: np.ndarray) -> Capture:
    n = len(PHI)
    samples = Samples(t_s, PHI, reading_mm, np.ones(n, bool), np.zeros(n, bool), np.zeros(n, np.int16))
    return Capture(samples, parse_setup({}), resolution_mm=0.001)


def test_two_captures_of_one_recording_give_one_without_the_walk() -> None:
    t_s = PHI / 2.0
    first = capture(face(PHI) + 0.03 * np.sin(PHI), t_s)
    second = capture(face(PHI + math.pi) + 0.03 * np.sin(PHI), t_s)
    out, _ = without_axial_motion(first, second)
    wobble = out.samples.reading_mm
    assert wobble == pytest.approx(face(PHI), abs=1e-9)


def test_tips_that_were_not_read_together_are_refused() -> None:
    with pytest.raises(BadInput, match="read together"):
        without_axial_motion(capture(face(PHI), PHI), capture(face(PHI), PHI + 1000.0))


def test_tips_side_by_side_are_refused() -> None:
    with pytest.raises(BadInput, match="opposite"):
        opposed_face(PHI, PHI, PHI, apart_deg=10.0)
