"""Fits from sums of turns against the fits of the readings themselves, which are the plain version."""

import math
from dataclasses import dataclass

import numpy as np
import pytest
from hypothesis import given, settings, strategies as st
from numpy.typing import NDArray

from analysis.errors import NotDecidable
from analysis.harmonics import (
    ReferenceCurve,
    SweepSums,
    TurnResiduals,
    fit_harmonics,
    reduce_turn,
    whole_counts,
    whole_number_of_counts,
)
from analysis.numerics.curve_extremes import evaluate

Floats = NDArray[np.float64]

TWO_PI = 2.0 * math.pi
HIGHEST = 15
RELATIVE = 1e-12


@dataclass(frozen=True)
class Turns:
    """Readings of several turns, flat."""

    angle_rad: Floats
    reading_mm: Floats
    t_s: Floats
    turn: NDArray[np.int64]

    def sums(self, counts: float, reference: ReferenceCurve, highest: int = HIGHEST) -> SweepSums:
        each = [self.turn == k for k in np.unique(self.turn)]
        return SweepSums.of(
            [
                reduce_turn(
                    self.angle_rad[mine], self.reading_mm[mine], self.t_s[mine], reference,
                    highest_order=highest, highest_of_counts=60, counts=whole_number_of_counts(counts),
                    count=whole_counts(self.angle_rad[mine], whole_number_of_counts(counts)),
                ).sums
                for mine in each
            ],
            reference, highest, lambda: self.angle_rad,
        )  # fmt: skip


def drawn(
    seed: int, turns: int, counts: int, *, per_turn: int = 700, direction: int = 1, noise_mm: float = 5e-4
) -> Turns:
    """Readings at whole counts of an encoder, or anywhere for none, with gaps, pauses and a drift."""
    rng = np.random.default_rng(seed)
    cos_mm, sin_mm = 0.1 * rng.standard_normal((2, 18)) / np.arange(1, 19) ** 1.5
    columns = []
    for k in range(turns):
        place = np.sort(rng.uniform(0.0, TWO_PI, rng.integers(per_turn // 2, per_turn)))
        place = place[(place < rng.uniform(0.0, 6.0)) | (place > rng.uniform(0.0, 6.0))]
        place = np.concatenate([place, np.full(int(rng.integers(0, 90)), 1.0)])  # a pause
        angle = direction * (place + TWO_PI * k)
        if counts:
            angle = np.floor(angle / TWO_PI * counts) * (TWO_PI / counts)
        time = 3.0 * k + np.linspace(0.0, 3.0, len(angle)) ** 1.3
        reading = 0.7 + evaluate(cos_mm, sin_mm, angle) + 3e-4 * time
        reading += noise_mm * rng.standard_normal(len(angle))
        columns.append((angle, reading, time, np.full(len(angle), k)))
    return Turns(*(np.concatenate(each) for each in zip(*columns, strict=True)))


def reference_of(data: Turns, highest: int) -> ReferenceCurve:
    """The curve through the first turn, as far as it goes; its mean where that is nowhere."""
    first = data.turn == 0
    try:
        fit = fit_harmonics(data.angle_rad[first], data.reading_mm[first], highest_order=highest)
    except NotDecidable:
        return ReferenceCurve(np.array([float(data.reading_mm[first].mean())]))
    return ReferenceCurve(np.append(fit.constant_mm, fit.coefficients_mm))


SWEEPS = {
    "seed": st.integers(0, 10_000),
    "turns": st.integers(1, 6),
    "counts": st.sampled_from([2400, 720, 333, 0]),
    "direction": st.sampled_from([1, -1]),
}


@given(
    **SWEEPS,
    of_reference=st.sampled_from([1, 4, 12]),
    highest=st.sampled_from([1, 5, 15]),
    drift=st.booleans(),
)
@settings(max_examples=80, deadline=None)
def test_all_turns_together_are_the_fit_of_their_readings(
    seed: int, turns: int, counts: int, direction: int, of_reference: int, highest: int, drift: bool
) -> None:
    data = drawn(seed, turns, counts, direction=direction)
    drift = drift and turns > 1
    try:
        plain = fit_harmonics(data.angle_rad, data.reading_mm, data.t_s, highest_order=highest, drift=drift)
    except NotDecidable:
        with pytest.raises(NotDecidable):
            data.sums(counts, reference_of(data, of_reference)).fit(highest, drift=drift)
        return
    summed = data.sums(counts, reference_of(data, of_reference)).fit(highest, drift=drift)
    # Normal equations lose the square of the condition, which only wide gaps make large.
    lost = max(1.0, plain.condition**2 / 100.0)
    scale = float(np.abs(data.reading_mm).max()) * lost
    assert np.abs(summed.coefficients_mm - plain.coefficients_mm).max() < RELATIVE * scale
    assert summed.constant_mm == pytest.approx(plain.constant_mm, abs=RELATIVE * scale)
    assert summed.noise_mm == pytest.approx(plain.noise_mm, rel=1e-9 * lost)
    assert summed.condition == pytest.approx(plain.condition, rel=1e-8 * lost)
    assert summed.dof == plain.dof
    assert summed.tir_mm == pytest.approx(plain.tir_mm, abs=2 * highest * RELATIVE * scale)
    largest = float(np.abs(plain.covariance_mm2).max())
    assert np.abs(summed.covariance_mm2 - plain.covariance_mm2).max() < 1e-8 * lost * largest
    if drift:
        assert summed.drift_mm_per_s == pytest.approx(plain.drift_mm_per_s, abs=RELATIVE * scale)


@given(**SWEEPS, highest=st.sampled_from([5, 15]))
@settings(max_examples=40, deadline=None)
def test_what_each_turn_has_left_is_what_its_residuals_say(
    seed: int, turns: int, counts: int, direction: int, highest: int
) -> None:
    data = drawn(seed, turns + 1, counts, direction=direction)
    try:
        plain = fit_harmonics(data.angle_rad, data.reading_mm, data.t_s, highest_order=highest, drift=True)
    except NotDecidable:
        return
    sums = data.sums(counts, reference_of(data, 12))
    (left,) = sums.left_of(sums.fit(highest, drift=True))
    judged = TurnResiduals.of(data.angle_rad, plain.residual_mm, data.turn, HIGHEST)
    assert np.array_equal(left.number, judged.number)
    assert left.gram == pytest.approx(judged.gram, abs=1e-9 * float(left.number.max()))
    lost = max(1.0, plain.condition**2 / 100.0)
    assert left.square_mm2 == pytest.approx(judged.square_mm2, rel=1e-9 * lost)
    assert left.right_mm == pytest.approx(judged.right_mm, abs=1e-10 * lost)


@given(**SWEEPS, highest=st.sampled_from([1, 5, 15]))
@settings(max_examples=40, deadline=None)
def test_each_turn_by_itself_is_the_fit_of_its_readings(
    seed: int, turns: int, counts: int, direction: int, highest: int
) -> None:
    data = drawn(seed, turns, counts, direction=direction)
    own = data.sums(counts, reference_of(data, 12)).fits_of_turns(highest)
    for k in range(turns):
        mine = data.turn == k
        try:
            plain = fit_harmonics(data.angle_rad[mine], data.reading_mm[mine], highest_order=highest)
        except NotDecidable:
            assert np.isnan(own[k]).all()
            continue
        # A turn with a wide gap is told as badly by the readings as by their sums.
        digits = 1e-12 * max(1.0, plain.condition**2)
        assert own[k, 0] == pytest.approx(plain.constant_mm, abs=digits)
        assert own[k, 1:] == pytest.approx(plain.coefficients_mm, abs=digits)


@pytest.mark.parametrize("added", [(24,), (17, 41, 60)])
def test_single_orders_above_are_fitted_from_sums_at_counts(added: tuple[int, ...]) -> None:
    data = drawn(3, 4, 2400)
    plain = fit_harmonics(
        data.angle_rad, data.reading_mm, data.t_s, highest_order=15, drift=True, added=added
    )
    sums = data.sums(2400, reference_of(data, 12))
    summed = sums.fit(15, drift=True, added=added)
    assert summed.coefficients_mm == pytest.approx(plain.coefficients_mm, abs=1e-12)
    (left,) = sums.left_of(summed)
    judged = TurnResiduals.of(data.angle_rad, plain.residual_mm, data.turn, HIGHEST)
    assert left.square_mm2 == pytest.approx(judged.square_mm2, rel=1e-9)
    assert left.right_mm == pytest.approx(judged.right_mm, abs=1e-10)


def test_readings_that_are_one_curve_leave_no_more_than_rounding() -> None:
    data = drawn(5, 3, 2400, noise_mm=0.0)
    exact = Turns(data.angle_rad, np.cos(data.angle_rad) * 0.1, data.t_s, data.turn)
    assert exact.sums(2400, reference_of(exact, 12)).fit(15, drift=True).noise_mm < 1e-15


def test_angles_off_the_counts_are_not_rounded_to_them() -> None:
    data = drawn(7, 2, 2400)
    moved = Turns(data.angle_rad + 0.3 * TWO_PI / 2400, data.reading_mm, data.t_s, data.turn)
    plain = fit_harmonics(moved.angle_rad, moved.reading_mm, highest_order=15)
    assert moved.sums(2400, reference_of(moved, 12)).fit(15).coefficients_mm == pytest.approx(
        plain.coefficients_mm, abs=1e-13
    )


def test_some_of_the_turns_are_the_sums_of_those() -> None:
    data = drawn(11, 5, 2400)
    reference = reference_of(data, 12)
    some = np.isin(data.turn, [1, 3])
    fewer = Turns(*(column[some] for column in (data.angle_rad, data.reading_mm, data.t_s, data.turn)))
    taken = data.sums(2400, reference).of_turns(np.array([1, 3])).fit(5)
    assert taken.coefficients_mm == pytest.approx(
        fewer.sums(2400, reference).fit(5).coefficients_mm, abs=1e-15 * taken.condition**2
    )


def test_fewer_readings_than_unknowns_are_refused() -> None:
    some = np.arange(30)
    data = Turns(*(np.take(column, some) for column in (np.radians(some * 12.0), 0.1 * some, some, 0 * some)))
    with pytest.raises(NotDecidable, match="readings for orders up to 15: at least 31 are needed"):
        data.sums(2400, ReferenceCurve(np.zeros(1))).fit(15)
