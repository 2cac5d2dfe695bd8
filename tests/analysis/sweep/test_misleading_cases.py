"""Verdicts that mislead elsewhere: a ridge, a few clock readings, a bore against an outside."""

import math
from collections.abc import Callable

import numpy as np
import pytest
from made_sweeps import box
from numpy.typing import NDArray

from analysis.results import SweepResult
from analysis.setup import Quantity
from analysis.sweep.pipeline import analyse, fit_sweep
from logger.inputs.csv_file import typed_capture

Shape = Callable[[NDArray[np.float64]], NDArray[np.float64]]
HIGH_SIDE_DEG = 63.0


def turned(shape: Shape, seed: int, turns: int = 5, per_turn: int = 480) -> SweepResult:
    n = turns * per_turn + 5
    phi = 2 * math.pi * np.arange(n) / per_turn
    reading = shape(np.degrees(phi)) + np.random.default_rng(seed).normal(0, 0.0008, n)
    return fit_sweep(phi, np.round(reading, 3), np.arange(n) / 50.0, limit="0.050 mm", resolution_mm=0.001)


def wobble_with_ridge(past_high_side_deg: float) -> Shape:
    def shape(deg: NDArray[np.float64]) -> NDArray[np.float64]:
        wobble = 0.015 * np.cos(np.radians(deg - HIGH_SIDE_DEG))
        off = (deg - HIGH_SIDE_DEG - past_high_side_deg + 180.0) % 360.0 - 180.0
        return np.asarray(wobble + np.where(np.abs(off) < 5.0, 0.040, 0.0))

    return shape


@pytest.mark.parametrize("seed", range(1, 6))
@pytest.mark.parametrize(("past_deg", "state"), [(90.0, "undecided"), (0.0, "over"), (180.0, "within")])
def test_a_ridge_decides_by_where_it_stands(past_deg: float, state: str, seed: int) -> None:
    result = turned(wobble_with_ridge(past_deg), seed)
    assert result.decision is not None
    assert result.decision.state == state
    (ridge,) = result.bumps
    assert ridge.kind == "ridge"
    assert ridge.kept
    assert ridge.deg == pytest.approx((HIGH_SIDE_DEG + past_deg) % 360.0, abs=1.0)
    assert ridge.width_deg == pytest.approx(10.0, abs=1.5)  # a reading lies every 0.75 degrees at both edges
    assert ridge.height_mm == pytest.approx(0.040, abs=0.003)


def test_the_words_name_the_ridge_and_its_place() -> None:
    decision = turned(wobble_with_ridge(90.0), 1).decision
    assert decision is not None
    assert "ridge" in decision.why
    assert "at 153 deg" in decision.why
    assert decision.more_turns is None


def test_a_plain_wobble_has_no_bump_to_name() -> None:
    for seed in range(1, 9):
        result = turned(lambda deg: 0.015 * np.cos(np.radians(deg)), seed)
        assert result.bumps == ()
        assert result.decision is not None
        assert result.decision.state == "within"


def typed(text: str, limit: str) -> SweepResult:
    return analyse(typed_capture(text, {"limit": limit}))


def test_an_oval_at_four_places_is_decided_on_its_readings_not_on_its_first_order() -> None:
    decision = typed("0:+2 90:-2 180:+2 270:-2 thou", "3 thou").decision
    assert decision is not None
    assert decision.number.value == pytest.approx(0.1016)
    assert decision.state == "over"


@pytest.mark.parametrize("places", [4, 6, 8, 12])
def test_so_many_places_are_within_only_when_what_they_miss_is_allowed_for(places: int) -> None:
    """A wobble of TIR T shows at least T cos(pi / N) at N places: .7071 .8660 .9239 .9659 (closed form)."""
    seen = math.cos(math.pi / places)
    for share in (0.8, seen * 0.97):
        readings = [share * 1.0 if k == 0 else 0.0 for k in range(places)]
        text = " ".join(f"{360 * k / places:g}:{value:.4f}" for k, value in enumerate(readings)) + " mm"
        decision = typed(text, "1 mm").decision
        assert decision is not None
        assert (decision.state == "within") == (share <= seen * 0.98)


def test_four_typed_readings_are_never_within_at_eight_tenths_of_the_limit() -> None:
    rng = np.random.default_rng(1)
    for _ in range(50):
        readings = rng.uniform(0.0, 1.0, 4)
        readings = 0.8 * (readings - readings.min()) / np.ptp(readings)
        text = " ".join(f"{90 * k}:{value:.5f}" for k, value in enumerate(readings)) + " mm"
        decision = typed(text, "1 mm").decision
        assert decision is not None
        assert decision.state != "within"


def test_the_line_of_what_few_places_miss_is_always_said() -> None:
    assert any(
        "4 places can miss up to 29 %" in remark
        for remark in typed("0:0 90:1 180:0 270:1 mm", "5 mm").remarks
    )


def test_coming_back_to_the_start_of_a_typed_set_is_its_closure() -> None:
    assert typed("0:0 90:1 180:2 270:1 360:0.1 mm", "5 mm").pooled.closure_mm == pytest.approx(0.1)


def test_outside_and_bore_of_one_shifted_ring_have_their_centre_on_one_side() -> None:
    """The centre lies e toward 40 degrees: an outside reads high there, a bore opposite."""
    n, e, toward = 480, 0.012, 40.0
    phi = 2 * math.pi * np.arange(3 * n) / n
    outside = e * np.cos(phi - math.radians(toward))
    results = [
        fit_sweep(phi, reading, np.arange(3 * n) / 50.0, setup={"surface": surface})
        for surface, reading in (("outside", outside), ("bore", -outside))
    ]
    for result in results:
        assert result.pooled.centre_deg == pytest.approx(toward, abs=1e-6)
        assert result.pooled.eccentricity_mm == pytest.approx(e, rel=1e-9)
        # Radial TIR is twice the eccentricity (common practice, no source).
        assert result.pooled.tir_first.value == pytest.approx(2 * e, rel=1e-9)


@pytest.mark.parametrize("seed", range(12))
def test_lobes_with_a_bump_among_them_are_both_told_and_never_within_a_limit_they_pass(seed: int) -> None:
    """A ridge or a dent between waves above the fitted orders; each hides the other, and no limit they pass by a tenth."""
    rng = np.random.default_rng(seed)
    order, wave_mm, first_mm = int(rng.integers(17, 49)), rng.uniform(0.003, 0.006), rng.uniform(0.010, 0.030)
    bump = box(rng.uniform(0.012, 0.030) * rng.choice([1.0, -1.0]), 200.0, width := rng.uniform(5.0, 14.0))

    def shape(deg: NDArray[np.float64]) -> NDArray[np.float64]:
        waves = wave_mm * np.cos(np.radians(order * deg)) + first_mm * np.cos(np.radians(deg - HIGH_SIDE_DEG))
        return np.asarray(waves + bump(deg))

    result = turned(shape, seed, turns=int(rng.choice([3, 5])))
    assert order in result.pooled.added_orders
    (lobes,) = [check for check in result.checks if check.name == "lobes"]
    assert lobes.state == "doubtful"
    # Where the waves hide the bump, it is told by dents or ridges beside it.
    near = [each for each in result.bumps if each.repeats and abs(each.deg - 200.0) < width / 2.0 + 8.0]
    assert near
    true_mm = float(np.ptp(shape(np.arange(0.0, 360.0, 0.05))))
    for share in (0.9, 0.7, 0.5):
        decision = result.decidable[Quantity.TIR].against(share * true_mm, Quantity.TIR, "limit")
        assert decision.state != "within", share
