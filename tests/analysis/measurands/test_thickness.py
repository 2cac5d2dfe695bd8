"""Thickness: two opposed tips whose sum no wobble moves, and a micrometer."""

import math
from dataclasses import replace

import numpy as np
import pytest

from analysis.capture.samples import Capture, Samples
from analysis.errors import BadInput
from analysis.measurands.thickness import summed, thickness_of_places, thickness_of_sweep
from analysis.setup import Setup
from analysis.sweep.pipeline import analyse
from logger.inputs.csv_file import typed_capture

N = 4 * 400
T = np.arange(N) * 0.02
PHI = np.arange(N) * (2 * math.pi / 400)
WOBBLE = 0.2 * np.cos(PHI - 0.5) + 0.05 * np.cos(0.41 * PHI)
THICK = 0.012 * np.cos(PHI - math.radians(40)) + 0.004 * np.cos(2 * PHI)


def tip(reading: np.ndarray, seed: int, late_s: float = 0.0) -> Capture:
    noise = np.random.default_rng(seed).normal(0, 0.0005, N)
    samples = Samples(
        T + late_s, PHI, reading + noise, np.ones(N, bool), np.zeros(N, bool), np.zeros(N, np.int16)
    )  # fmt: skip
    return Capture(samples, Setup())


FOUND = thickness_of_sweep(analyse(summed(tip(WOBBLE + THICK / 2, 1), tip(-WOBBLE + THICK / 2, 2))))


def true_variation() -> float:
    return float(np.ptp(THICK[:400]))


def test_the_variation_lies_inside_its_interval() -> None:
    low, high = FOUND.variation.interval()
    assert low <= true_variation() <= high


def test_the_wobble_is_gone() -> None:
    assert FOUND.vectors is not None
    assert FOUND.vectors.tir_first_mm == pytest.approx(0.024, abs=0.0003)


def test_the_thinnest_place_is_where_the_curve_is_lowest() -> None:
    assert FOUND.thinnest_deg == pytest.approx(np.degrees(PHI[int(np.argmin(THICK[:400]))]), abs=5.0)


def test_tips_read_at_different_times_are_refused() -> None:
    with pytest.raises(BadInput, match="not read together"):
        summed(tip(WOBBLE, 1), tip(WOBBLE, 2, late_s=1000.0))


def test_a_second_tip_without_readings_is_refused() -> None:
    one = tip(WOBBLE, 1)
    none = replace(one, samples=replace(one.samples, new=np.zeros(N, bool)))
    with pytest.raises(BadInput, match="two channels"):
        summed(one, none)


def test_a_micrometer_is_judged_by_its_own_places() -> None:
    capture = typed_capture("0:9.98 60:9.97 120:9.95 180:9.96 240:9.97 300:9.99 mm", {})
    found = thickness_of_places(analyse(capture), capture)
    assert (found.variation.value, found.thinnest_mm, found.thinnest_deg) == pytest.approx(
        (0.04, 9.95, 120.0)
    )
