"""What a gauge and its setting add to a length: closed forms, and the figures of a worked example."""

import math

import pytest

from analysis.uncertainty.gauge_budget import (
    GIVEN_AS,
    BudgetLine,
    GaugeDeclared,
    LineOn,
    LineOrigin,
    gauge_error,
    hysteresis,
    reading_u_mm,
    set_by_eye,
)

TIR = 0.030
"""An example: 0.030 mm TIR (own derivation)."""


@pytest.mark.parametrize(
    ("step_mm", "limits_mm"), [(0.01, 0.005), (0.0127, 0.005), (0.005, 0.005), (0.002, 0.002), (0.001, 0.002)]
)
def test_without_a_certificate_the_gauge_has_the_error_of_its_kind(step_mm: float, limits_mm: float) -> None:
    # JIS B 7503:2011 (public extract), a tenth of a revolution, as rectangular (JCGM 100:2008, 4.3.7).
    line = gauge_error(GaugeDeclared(), step_mm)
    assert line.part.u == pytest.approx(limits_mm / math.sqrt(3.0), rel=1e-12)
    assert (line.origin, line.on, line.part.shift) == (LineOrigin.DEFAULT, LineOn.TIR, 0.0)


@pytest.mark.parametrize(
    ("means", "u_mm"),
    [("limits", 0.003 * math.sqrt(2 / 3)), ("U95", 0.003 / 2 * math.sqrt(2)), ("u", 0.003 * math.sqrt(2))],
)
def test_a_certificate_counts_by_what_its_figure_means(means: str, u_mm: float) -> None:
    # A difference of two readings: rectangular (JCGM 100:2008, 4.3.7), expanded with k = 2, standard.
    line = gauge_error(GaugeDeclared(error_u_mm=reading_u_mm(0.003, means)), 0.01)
    assert line.part.u == pytest.approx(u_mm, rel=1e-12)
    assert line.origin == LineOrigin.CERTIFICATE


@pytest.mark.parametrize(("step_mm", "h"), [(0.01, 0.003), (0.001, 0.002)])
def test_hysteresis_moves_the_upper_limit_alone(step_mm: float, h: float) -> None:
    # The truth lies anywhere from the reading to h above it: mean h / 2, u = h / sqrt 12 (JCGM 100, 4.3.7).
    held = hysteresis(GaugeDeclared(), step_mm).part
    assert (held.shift, held.u) == pytest.approx((h / 2, h / math.sqrt(12)), rel=1e-12)
    assert (held.upward, held.downward) == (True, False)


def test_a_hysteresis_that_was_declared_takes_the_place_of_the_default() -> None:
    line = hysteresis(GaugeDeclared(hysteresis_mm=0.001), 0.01)
    assert (line.origin, line.part.shift) == (LineOrigin.SET_UP, 0.0005)


def test_play_that_was_found_is_added_whole() -> None:
    line = hysteresis(GaugeDeclared(hysteresis_mm=0.001, play_found_mm=0.004, play_found_u_mm=0.0002), 0.01)
    assert (line.origin, line.part.shift, line.part.u) == (LineOrigin.SWEEP, 0.004, 0.0002)
    assert not line.part.downward


def middle_and_half_range_mm(line: BudgetLine) -> tuple[float, float]:
    """Return where the middle of the truth lies and its half-range, from a rectangular part."""
    return line.part.shift, math.sqrt(12.0) * line.part.u / 2.0


def test_a_plunger_set_by_eye_only_reads_too_much() -> None:
    # The truth lies from TIR cos 5 deg to the TIR (geometry).
    line = set_by_eye(TIR, 0.0, lever=False)
    middle, half = middle_and_half_range_mm(line)
    assert middle - half == pytest.approx(TIR * (math.cos(math.radians(5.0)) - 1.0), rel=1e-12)
    assert middle + half == pytest.approx(0.0, abs=1e-15)
    assert (line.part.upward, line.part.downward) == (False, True)


@pytest.mark.parametrize(("lever", "angle_deg"), [(True, 0.0), (True, 15.0), (False, 15.0)])
def test_a_tip_at_an_angle_is_out_by_the_change_of_its_cosine(lever: bool, angle_deg: float) -> None:
    # From 15 to 20 deg, the larger of the two changes; the readings were multiplied by cos 15 deg.
    change = (math.cos(math.radians(15.0)) - math.cos(math.radians(20.0))) / math.cos(math.radians(15.0))
    line = set_by_eye(TIR, angle_deg, lever=lever)
    assert line.part.u == pytest.approx(TIR * change / math.sqrt(3.0), rel=1e-12)
    assert not line.part.one_sided


@pytest.mark.parametrize(
    ("means", "given", "distribution", "divisor"),
    [("limits", 0.003, "rectangular", 3**0.5), ("U95", 0.003, "normal", 2.0), ("u", 0.003, "normal", 1.0)],
)
def test_what_a_certificate_gives_stands_in_the_line_as_it_was_given(
    means: str, given: float, distribution: str, divisor: float
) -> None:
    declared = GaugeDeclared(reading_u_mm(given, means), error_distribution=GIVEN_AS[means])
    part = gauge_error(declared, 0.01).part
    assert (part.distribution.name, part.distribution.divisor) == (distribution, divisor)
    assert part.given == pytest.approx(given, rel=1e-12)
    # A TIR is the difference of two readings (JCGM 100:2008, 5.1.2); an eccentricity is half of it.
    assert part.sensitivity == pytest.approx(2**0.5)
    assert part.times(0.5, 0.5).given == pytest.approx(given, rel=1e-12)
    assert part.times(0.5, 0.5).u == pytest.approx(given / divisor / 2**0.5, rel=1e-12)
