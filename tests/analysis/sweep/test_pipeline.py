"""One sweep from samples to a decision: the steps in order, and what the public function takes."""

import math
from dataclasses import replace

import numpy as np
import pint
import pytest
from made_sweeps import Made, box, capture, made, sum_of, wobble

from analysis.capture.exclusions import Window
from analysis.errors import BadInput
from analysis.results import SweepResult
from analysis.setup import parse_setup
from analysis.sweep.conformity import ON_THE_CUTTING_MOUNT
from analysis.sweep.pipeline import CURVE_POINTS, Options, analyse, fit_sweep

SWEEP = made(wobble(0.142), noise_mm=0.0008, step_mm=0.001)
FIT_MM = 0.0005
"""Half a noise: orders from 1440 readings are known to 2 noises / sqrt 1440, some 0.05 of it."""


def analysed(sweep: Made = SWEEP, **setup: str) -> SweepResult:
    return analyse(capture(sweep, 0.001, **setup))


def test_the_tir_is_that_of_the_part() -> None:
    assert analysed().pooled.tir_fit.value == pytest.approx(0.142, abs=FIT_MM)


def test_the_high_side_is_that_of_the_part() -> None:
    # u of the phase: noise x sqrt(2 / N) / A is 0.02 degrees.
    assert analysed().pooled.high_side.value == pytest.approx(63.0, abs=0.1)


def test_without_a_limit_nothing_is_decided() -> None:
    assert analysed().decision is None


@pytest.mark.parametrize(
    ("limit", "state"), [("0.2 mm", "within"), ("0.1 mm", "over"), ("0.142 mm", "undecided")]
)
def test_the_limit_of_the_set_up_is_held_against(limit: str, state: str) -> None:
    decision = analysed(limit=limit).decision
    assert decision is not None
    assert decision.state == state


def test_a_limit_asked_for_replaces_the_set_ups() -> None:
    asked = parse_setup({"limit": "0.1 mm"}).limit
    decision = analyse(capture(SWEEP, 0.001, limit="9 mm"), Options(limit=asked)).decision
    assert decision is not None
    assert decision.state == "over"


@pytest.mark.parametrize("quantity", ["tir", "tir_first", "eccentricity", "form"])
def test_a_sweep_decides_these_quantities(quantity: str) -> None:
    decision = analysed(limit="1 mm", limit_quantity=quantity, surface="outside").decision
    assert decision is not None
    assert (decision.quantity, decision.state) == (quantity, "within")


def test_an_eccentricity_is_decided_by_half_the_first_orders_tir() -> None:
    decision = analysed(limit="1 mm", limit_quantity="eccentricity", surface="outside").decision
    assert decision is not None
    assert decision.number.value == pytest.approx(0.071, abs=FIT_MM / 2)


@pytest.mark.parametrize("quantity", ["total", "thickness", "end_float", "tilt"])
def test_it_refuses_a_limit_on_anything_else(quantity: str) -> None:
    with pytest.raises(BadInput):
        analysed(limit="1 mm", limit_quantity=quantity)


def test_a_face_limit_at_another_radius_is_scaled_and_said() -> None:
    result = analysed(limit="0.05 mm", limit_radius="55 mm", track_radius="110 mm")
    assert result.decision is not None
    assert result.decision.limit_mm == pytest.approx(0.1, rel=1e-12)
    assert any("scaled to 0.1000 mm" in remark for remark in result.remarks)


def test_a_tilted_gauge_is_brought_to_the_surface() -> None:
    plain, tilted = analysed(), analysed(gauge_angle="30")
    ratio = tilted.pooled.tir_first.value / plain.pooled.tir_first.value
    assert ratio == pytest.approx(math.cos(math.radians(30.0)), rel=1e-9)


def test_that_the_gauge_was_tilted_is_said() -> None:
    assert any(
        "cosine of the gauge's angle, 30 deg" in remark for remark in analysed(gauge_angle="30").remarks
    )


def test_the_certificates_errors_are_taken_off() -> None:
    sweep = made(wobble(0.142))
    result = analyse(capture(sweep, 0.0, gauge_table="-1:-0.1 1:+0.1 mm")).pooled.tir_first.value
    # The gauge shows a tenth too much: what it shows less a tenth of that.
    assert result == pytest.approx(0.142 * 0.9, rel=1e-9)


def test_a_declared_hole_is_left_out() -> None:
    sweep = made(sum_of(wobble(0.142), box(-0.5, 100.0, 6.0)), noise_mm=0.0008, step_mm=0.001)
    assert analysed(sweep, holes="100:8").pooled.tir_fit.value == pytest.approx(0.142, abs=FIT_MM)


def test_a_window_asked_for_is_left_out_and_named() -> None:
    sweep = made(sum_of(wobble(0.142), box(-0.5, 100.0, 6.0)), noise_mm=0.0008, step_mm=0.001)
    result = analyse(capture(sweep, 0.001), Options(leave_out=(Window(96.0, 104.0, "keyway"),)))
    assert [window.reason for window in result.left_out] == ["keyway"]
    assert result.pooled.tir_fit.value == pytest.approx(0.142, abs=FIT_MM)


def test_a_sweep_on_the_cutting_mount_says_so() -> None:
    assert ON_THE_CUTTING_MOUNT in analysed(stage="after cut").remarks


@pytest.mark.parametrize("stage", ["on the lathe", "after cut", "half turn", "end float"])
def test_a_stage_that_reads_more_than_the_part_decides_nothing_and_says_why(stage: str) -> None:
    result = analysed(stage=stage, limit="0.2 mm")
    assert result.decision is None
    assert result.why_no_decision in result.remarks


@pytest.mark.parametrize("stage", ["as found", "as left", "check standard", "exercise", "other"])
def test_every_other_stage_decides(stage: str) -> None:
    result = analysed(stage=stage, limit="0.2 mm")
    assert result.decision is not None
    assert result.why_no_decision == ""


def test_orders_asked_for_are_fitted() -> None:
    assert analyse(capture(SWEEP, 0.001), Options(orders=3)).pooled.highest_order == 3


@pytest.mark.parametrize("orders", [0, 400])
def test_orders_that_the_places_do_not_carry_are_refused(orders: int) -> None:
    with pytest.raises(BadInput, match=f"--orders {orders}"):
        analyse(capture(SWEEP, 0.001), Options(orders=orders))


def test_the_same_seed_gives_the_same_numbers() -> None:
    assert analysed().pooled == analysed().pooled


def test_the_drawn_curve_is_as_high_as_its_tir() -> None:
    result = analyse(capture(made(wobble(0.142)), 0.0))
    # Points half a degree apart: the curve falls off by 1 - cos(0.25 deg) on either end.
    assert float(np.ptp(result.curve_mm)) == pytest.approx(0.142, rel=1e-5)
    assert len(result.curve_deg) == CURVE_POINTS


def test_the_vectors_are_those_of_the_printed_orders() -> None:
    result = analysed()
    assert result.vectors is not None
    printed = [complex(order.cos_mm, order.sin_mm) for order in result.pooled.orders]
    assert result.vectors.z_mm == pytest.approx(np.array(printed), abs=1e-15)


def test_the_mean_height_tells_tracks_of_one_set_up_apart() -> None:
    assert analysed(made(wobble(0.142, zero_mm=1.3))).mean_mm == pytest.approx(1.3, abs=1e-9)


def test_each_step_of_the_data_path_has_its_line() -> None:
    starts = [stage.split(":")[0] for stage in analysed(limit="0.2 mm").stages]
    assert starts == ["samples", "turns", "fit", "uncertainty", "bumps", "checks", "decision"]


def test_a_refused_check_leaves_the_decision_open() -> None:
    jumped = made(wobble(0.142), noise_mm=0.0008, also=lambda deg: np.where(deg > 500.0, 0.3, 0.0))
    decision = analysed(jumped, limit="9 mm").decision
    assert decision is not None
    assert decision.state == "undecided"
    assert decision.why.startswith("stand: ")


class TestArrays:
    """``fit_sweep`` takes what a notebook has."""

    def test_arrays_give_what_the_capture_gives(self) -> None:
        result = fit_sweep(
            SWEEP.angle_rad, SWEEP.reading_mm, SWEEP.t_s, resolution_mm=0.001
        ).pooled.tir_fit.value
        # The capture holds one reading more, past the last mark, which belongs to no turn.
        assert result == pytest.approx(analysed().pooled.tir_fit.value, rel=1e-12)

    def test_lists_are_taken(self) -> None:
        result = fit_sweep(list(SWEEP.angle_rad), list(SWEEP.reading_mm), list(SWEEP.t_s))
        assert result.pooled.turns == 3

    def test_pint_readings_are_taken(self) -> None:
        inches = pint.UnitRegistry().Quantity(SWEEP.reading_mm / 25.4, "inch")
        result = fit_sweep(SWEEP.angle_rad, inches, SWEEP.t_s).pooled.tir_first.value
        assert result == pytest.approx(
            fit_sweep(SWEEP.angle_rad, SWEEP.reading_mm, SWEEP.t_s).pooled.tir_first.value
        )

    @pytest.mark.parametrize("limit", ["0.1 mm", 0.1, pint.UnitRegistry().Quantity(100.0, "micrometer")])
    def test_a_limit_is_text_a_number_of_mm_or_a_pint_length(self, limit: object) -> None:
        decision = fit_sweep(SWEEP.angle_rad, SWEEP.reading_mm, SWEEP.t_s, limit=limit).decision
        assert decision is not None
        assert decision.limit_mm == pytest.approx(0.1, rel=1e-12)

    def test_readings_without_times_are_taken(self) -> None:
        result = fit_sweep(SWEEP.angle_rad, SWEEP.reading_mm)
        assert result.turns[0].rpm == 0.0

    @pytest.mark.parametrize("bad", [math.nan, math.inf])
    def test_readings_that_are_no_numbers_are_refused(self, bad: float) -> None:
        reading = SWEEP.reading_mm.copy()
        reading[7] = bad
        with pytest.raises(BadInput, match="not finite"):
            fit_sweep(SWEEP.angle_rad, reading)

    def test_arrays_of_different_length_are_refused(self) -> None:
        with pytest.raises(BadInput, match="do not fit"):
            fit_sweep(SWEEP.angle_rad, SWEEP.reading_mm[:-1])

    @pytest.mark.parametrize("turned_deg", [0.0, 200.0, 340.0])
    def test_less_than_a_turn_is_refused(self, turned_deg: float) -> None:
        few = SWEEP.deg <= turned_deg
        with pytest.raises(BadInput, match="no full turn from mark to mark"):
            fit_sweep(SWEEP.angle_rad[few], SWEEP.reading_mm[few])

    def test_no_readings_at_all_are_refused(self) -> None:
        with pytest.raises(BadInput, match="no samples"):
            fit_sweep([], [])


@pytest.mark.parametrize("counts", [400.0, 2400.0])
def test_the_mark_stands_somewhere_within_its_count(counts: float) -> None:
    """Rectangular within one count: u = 360 / counts / sqrt 12 (JCGM 100, 4.3.7)."""
    sweep = replace(capture(made(wobble(0.1), noise_mm=1e-6)), counts_per_turn=counts)
    # Noise of a nanometre adds some ten-thousandths of a degree.
    assert analyse(sweep).pooled.high_side.u == pytest.approx(360 / counts / 12**0.5, rel=1e-3)
