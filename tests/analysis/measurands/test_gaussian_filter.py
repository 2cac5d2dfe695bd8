"""The closed Gaussian filter: printed transmissions, and orders against profiles."""

import math

import numpy as np
import pytest

from analysis.errors import BadInput
from analysis.measurands.gaussian_filter import CUT_OFFS_UPR, filter_vectors, transmission
from analysis.numerics.order_vectors import exact

PHI = np.linspace(0, 2 * math.pi, 720, endpoint=False)


@pytest.mark.parametrize("cut_off", CUT_OFFS_UPR)
@pytest.mark.parametrize(("ratio", "share"), [(1, 1 / 2), (2, 1 / 16), (3, 1 / 512)])
def test_transmission_is_that_of_the_standard(cut_off: int, ratio: int, share: float) -> None:
    """ISO 16610-21 (formula from memory): 2^-(n / fc)^2."""
    assert transmission(ratio * cut_off, cut_off) == pytest.approx(share)


def test_an_order_at_the_cut_off_is_halved() -> None:
    fifteenth = np.zeros(15, complex)
    fifteenth[14] = 0.02
    assert filter_vectors(exact(fifteenth), 15).z_mm[14] == pytest.approx(0.01)


def test_a_direct_convolution_with_the_bell_gives_the_same() -> None:
    """Another road: the bell of ISO 16610-21 laid round the circle, alpha = sqrt(ln 2 / pi)."""
    width = math.sqrt(math.log(2) / math.pi) * 2 * math.pi / 15
    one = exact(np.random.default_rng(2).normal(size=15) + 1j * np.random.default_rng(3).normal(size=15))
    away = (PHI + math.pi) % (2 * math.pi) - math.pi
    bell = np.exp(-math.pi * (away / width) ** 2)
    bell /= bell.sum()
    direct = np.array([np.roll(bell, k) @ one.curve(PHI) for k in range(720)])
    assert filter_vectors(one, 15).curve(PHI) == pytest.approx(direct, abs=1e-9)


def test_a_cut_off_of_nothing_is_refused() -> None:
    with pytest.raises(BadInput, match="above zero"):
        transmission(3, 0)
