"""Sag of an indicator carried round: order 1, twice the sag in TIR, taken out; phi runs the other way."""

import math

import numpy as np
import pytest

from analysis.capture.samples import Capture, Samples
from analysis.errors import BadInput
from analysis.numerics.order_vectors import OrderVectors
from analysis.separation.indicator_sag import without_sag
from analysis.setup import parse_setup
from analysis.sweep.pipeline import Options, analyse

N = 3 * 240
PHI = np.arange(N) * (2 * math.pi / 240)
SAG_MM = 0.04


def capture(reading: np.ndarray, turning: str = "indicator") -> Capture:
    noise = np.random.default_rng(1).normal(0, 1e-4, N)
    samples = Samples(
        PHI * 2, PHI, reading + noise, np.ones(N, bool), np.zeros(N, bool), np.zeros(N, np.int16)
    )  # fmt: skip
    return Capture(samples, parse_setup({"turning": turning}))


PART = 0.05 * np.cos(PHI - 1.0)
SAG = SAG_MM * np.cos(PHI - 2.0)
ALONE = analyse(capture(SAG))


def test_the_sag_reads_twice_itself() -> None:
    assert ALONE.pooled.tir_first.value == pytest.approx(2 * SAG_MM, abs=1e-4)


def test_what_is_left_is_the_part() -> None:
    assert ALONE.vectors is not None
    clean, other = without_sag(capture(PART + SAG), ALONE.vectors)
    found = analyse(clean, Options(other=other))
    assert found.pooled.tir_fit.interval()[0] <= 0.10 <= found.pooled.tir_fit.interval()[1]
    assert "sag" in found.pooled.tir_fit.parts


def test_a_part_that_turns_has_no_sag_to_take_out() -> None:
    with pytest.raises(BadInput, match="turning=indicator"):
        without_sag(capture(PART, "part"), OrderVectors(np.ones(1, complex), np.eye(2)))


@pytest.mark.parametrize(("turning", "sense"), [("part", 1), ("indicator", -1)])
def test_an_indicator_carried_round_reverses_phi(turning: str, sense: int) -> None:
    assert parse_setup({"turning": turning}).sense == sense
