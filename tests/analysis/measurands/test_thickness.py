"""Thickness: two opposed tips whose sum no wobble moves, and a micrometer."""

import math
from dataclasses import replace

import numpy as np
import pytest

from analysis.capture.samples import Capture, Samples
from analysis.errors import BadInput
from analysis.measurands.thickness import Thickness, summed, thickness_of_places, thickness_of_sweep
from analysis.setup import Setup
from analysis.sweep.pipeline import analyse
from analysis.uncertainty import LineOn
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


def unseen_u_mm(found: Thickness) -> dict[str, float]:
    return {line.source: line.part.u for line in found.unseen if line.on is LineOn.TIR}


def test_two_gauges_have_the_error_of_both_and_leak_what_the_disc_moves_by() -> None:
    alone = analyse(tip(WOBBLE + THICK / 2, 1))
    found = thickness_of_sweep(
        analyse(summed(tip(WOBBLE + THICK / 2, 1), tip(-WOBBLE + THICK / 2, 2))), alone
    )
    lines = unseen_u_mm(found)
    # 0.002 mm rectangular of each (no step: a fine gauge); the wobble of 0.4 mm leaks by 1 % of it, and by
    # 2 sin(1 deg) of its first order twice: the sum has twice what the half-difference has.
    assert lines["gauge's own error"] == pytest.approx(math.sqrt(2.0) * 0.002 / math.sqrt(3.0), rel=1e-12)
    assert lines["gains of two tips"] == pytest.approx(0.01 * alone.pooled.tir_fit.value, rel=1e-12)
    turned = 4.0 * math.sin(math.radians(1.0)) * alone.pooled.tir_first.value / 2.0
    assert lines["two tips not opposite"] == pytest.approx(turned, rel=1e-12)
    hides = next(line.part for line in found.unseen if line.source == "hysteresis" and line.on is LineOn.TIR)
    assert hides.shift == pytest.approx(0.002, rel=1e-12)


def test_a_limit_is_held_against_the_variation_with_every_line() -> None:
    own, held = FOUND.variation, FOUND.against_limits
    assert held.value == own.value
    assert held.interval()[0] < own.interval()[0]
    assert held.interval()[1] > own.interval()[1]


def test_a_micrometer_has_its_own_error_and_no_hysteresis() -> None:
    capture = typed_capture("0:9.98 60:9.97 120:9.95 180:9.96 240:9.97 300:9.99 mm", {})
    found = thickness_of_places(analyse(capture), capture)
    assert unseen_u_mm(found) == {"gauge's own error": pytest.approx(0.005 / math.sqrt(3.0), rel=1e-12)}
    assert found.taken_as == ("gauge taken as +-0.005 mm: no certificate entered",)
