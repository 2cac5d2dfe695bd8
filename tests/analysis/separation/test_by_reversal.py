"""Reversal with the indicator moved opposite, against a spindle that moves in space."""

import math

import numpy as np
import pytest

from analysis.harmonics import fit_harmonics
from analysis.separation.by_reversal import reversal

PHI = np.arange(128) * (2 * math.pi / 128)
RNG = np.random.default_rng(4)
FIRST_DRAW = RNG.bit_generator.state


@pytest.fixture(autouse=True)
def draws_begin_anew() -> None:
    """Every test draws the same whichever ran before it."""
    RNG.bit_generator.state = FIRST_DRAW


def drawn(size: float) -> np.ndarray:
    return size * (RNG.normal(size=6) + 1j * RNG.normal(size=6))


def curve(z: np.ndarray) -> np.ndarray:
    n = np.arange(1, len(z) + 1)
    return (np.exp(-1j * np.multiply.outer(PHI, n)) @ z).real


def orders(readings: np.ndarray) -> np.ndarray:
    return fit_harmonics(PHI, readings, highest_order=6).vectors_mm


def test_an_outside_and_the_motion_come_apart_in_all_orders() -> None:
    part, x_motion = drawn(0.01), drawn(0.003)
    first = curve(part) + curve(x_motion)
    # Part and tip on the other side: the same surface under the tip, the motion now away from it.
    opposite = curve(part) - curve(x_motion)
    found = reversal(orders(first), orders(opposite), "outside")
    assert found.part.z_mm == pytest.approx(part, abs=1e-12)
    assert found.motion.z_mm == pytest.approx(x_motion, abs=1e-12)


def test_on_a_face_only_the_tilt_motion_comes_apart() -> None:
    face, axial, tilt = drawn(0.01), drawn(0.002), drawn(0.003)
    first = curve(face) + curve(axial) + curve(tilt)
    opposite = curve(face) + curve(axial) - curve(tilt)
    found = reversal(orders(first), orders(opposite), "face")
    assert found.motion.z_mm == pytest.approx(tilt, abs=1e-12)
    assert (found.part_alone, found.part.z_mm == pytest.approx(face + axial, abs=1e-12)) == (False, True)
