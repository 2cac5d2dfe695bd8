"""Readings written down from a dial: how they are typed, and the rule for so few places."""

import math

import numpy as np
import pytest

from analysis.capture.typed_readings import MOST_PLACES, parse_typed
from analysis.decision.few_points import blind_spot_sentence, tir_of_few_places
from analysis.errors import BadInput
from analysis.sweep.pipeline import analyse
from logger.inputs.csv_file import typed_capture

ROUNDING = 1e-15


def even(places: int) -> np.ndarray:
    return np.arange(places) * (2 * math.pi / places)


class TestReading:
    """``0:0 90:+3 180:-2 270:+3 thou``"""

    def test_each_place_has_its_angle(self) -> None:
        assert parse_typed("0:0 90:+3 180:-2 270:+3 thou").deg.tolist() == [0.0, 90.0, 180.0, 270.0]

    def test_one_unit_holds_for_all(self) -> None:
        reading = parse_typed("0:0 90:+3 180:-2 270:+3 thou").reading_mm
        assert reading == pytest.approx(np.array([0.0, 3.0, -2.0, 3.0]) * 0.0254, abs=ROUNDING)

    @pytest.mark.parametrize(
        ("text", "digit_mm"),
        [
            ("0:0 90:3 180:2 thou", 0.0254),
            ("0:0 90:3.5 180:2 thou", 0.00254),
            ("0:0 90:,003 180:2 in", 0.0254),
            ("0:0.01 90:0.02 180:0.00 mm", 0.01),
            ("0:0 90:0,05 180:1 mm", 0.01),
            ("0:0 90:12 180:7 um", 0.001),
            ("0:1e-2 90:2e-2 180:0 mm", 0.01),
        ],
    )
    def test_the_last_written_digit_is_that_of_the_finest_reading(self, text: str, digit_mm: float) -> None:
        assert parse_typed(text).digit_mm == pytest.approx(digit_mm, rel=1e-12)

    def test_coming_back_to_the_first_place_is_its_closure_and_no_place(self) -> None:
        typed = parse_typed("0:0 90:3 180:-2 270:3 360:0.5 thou")
        assert len(typed.deg) == 4
        assert typed.closing_mm == pytest.approx(0.0127, abs=ROUNDING)

    def test_a_set_may_begin_anywhere_and_close_there(self) -> None:
        assert parse_typed("30:1 150:2 270:3 390:1 thou").closing_mm == 0.0

    def test_a_set_that_does_not_come_back_has_no_closure(self) -> None:
        assert parse_typed("0:0 90:3 180:-2 thou").closing_mm is None

    REFUSED = (
        ("0:0 90:3 180:2", "do not end in a unit"),
        ("", "do not end in a unit"),
        ("mm", "do not end in a unit"),
        ("0:0 90:3 180:2 turns", "'turns', which is no unit of length"),
        ("0:0 90=3 180:2 mm", "'90=3' is not ANGLE:READING"),
        ("0:0 90:3 180:x mm", "typed reading 'x' is not a number"),
        ("0:0 east:3 180:2 mm", "typed angle 'east' is not a number"),
        ("0:0 90:3 90:2 180:1 mm", "one place twice"),
        ("0:0 90:3 450:2 180:1 mm", "not from 0 to 360 degrees"),
        ("0:0 90:3 mm", "2 typed places: at least 3"),
        ("12:0 3:3 6:-2 9:3 thou", "look like hours of a clock: write degrees, as 0 90 180 270"),
        ("0:0 180:3 360:0 mm", "2 typed places: at least 3"),
    )

    @pytest.mark.parametrize(("text", "words"), REFUSED, ids=[words for _, words in REFUSED])
    def test_anything_else_is_refused(self, text: str, words: str) -> None:
        with pytest.raises(BadInput) as refused:
            parse_typed(text)
        assert words in str(refused.value)


class TestEstimate:
    """Max - min of the readings, with what lies unseen between them allowed for."""

    def test_the_value_is_max_less_min_of_the_readings(self) -> None:
        assert tir_of_few_places(even(4), np.array([0.0, 3.0, -2.0, 3.0]), 1.0).value == 5.0

    def test_u_is_the_last_digit_over_root_six(self) -> None:
        """Two readings rounded to the last digit q: two rectangles of q / sqrt 12 (closed form)."""
        assert tir_of_few_places(even(4), np.zeros(4), 0.01).u == pytest.approx(
            0.01 / math.sqrt(6.0), rel=1e-12
        )

    @pytest.mark.parametrize(("places", "seen"), [(4, 0.707), (6, 0.866), (8, 0.924), (12, 0.966)])
    def test_the_upper_limit_is_over_the_cosine_of_pi_over_n(self, places: int, seen: float) -> None:
        found = tir_of_few_places(even(places), np.eye(places)[0], 1e-9)
        assert round(found.value / found.one_sided()[1], 3) == seen

    def test_what_is_unseen_leaves_the_interval_of_the_readings(self) -> None:
        """u = q / sqrt 6 with degrees of freedom without end: 1.96 u to either side."""
        low, high = tir_of_few_places(even(8), np.eye(8)[0], 0.06).interval()
        assert (low, high) == pytest.approx([1.0 + side * 1.959964 * 0.06 / math.sqrt(6) for side in (-1, 1)])

    def test_the_guard_joins_at_1_645_u(self) -> None:
        """Degrees of freedom without end: the normal quantile."""
        _, upper = tir_of_few_places(even(8), np.eye(8)[0], 0.06).one_sided()
        assert upper == pytest.approx(1.0 / math.cos(math.pi / 8) + 1.644854 * 0.06 / math.sqrt(6), abs=1e-7)

    @pytest.mark.parametrize("places", [4, 6, 8, 12, 36])
    @pytest.mark.parametrize("high_side_deg", [0.0, 3.0, 17.0, 45.0])
    def test_a_plain_wobble_never_exceeds_the_upper_limit(self, places: int, high_side_deg: float) -> None:
        reading = 0.5 * np.cos(even(places) - math.radians(high_side_deg))
        assert tir_of_few_places(even(places), reading, 1e-9).one_sided()[1] >= 1.0

    def test_uneven_places_are_judged_by_their_widest_gap(self) -> None:
        found = tir_of_few_places(np.radians([0.0, 60.0, 120.0, 240.0]), np.array([0.0, 1.0, 0.0, 0.0]), 1e-9)
        assert found.value / found.one_sided()[1] == pytest.approx(math.cos(math.radians(60.0)), rel=1e-6)

    def test_a_gap_of_half_a_turn_sets_no_upper_limit(self) -> None:
        found = tir_of_few_places(np.radians([0.0, 90.0, 180.0]), np.array([0.0, 1.0, 0.0]), 0.01)
        assert found.one_sided()[1] == math.inf


def spread(places: int, share: float, reading: float = 1.0) -> str:
    words = [f"{360 * k / places:.6g}:{reading * share if k == 0 else 0:.6f}" for k in range(places)]
    return " ".join(words) + " mm"


@pytest.mark.parametrize("places", [3, 4, 8, MOST_PLACES])
def test_up_to_36_places_are_decided_by_their_readings(places: int) -> None:
    result = analyse(typed_capture(spread(places, 1.0), {"limit": "0.5 mm"}))
    assert result.decision is not None
    assert result.decision.number.value == pytest.approx(1.0, abs=ROUNDING)


def test_37_places_are_decided_by_a_fit() -> None:
    result = analyse(typed_capture(spread(37, 1.0), {"limit": "0.5 mm"}))
    assert result.decision is not None
    assert result.decision.number.value != pytest.approx(1.0, abs=0.01)


def test_order_one_is_told_of_four_places() -> None:
    """0, +.003, -.002, +.003 in: order 1 is half the difference of opposite readings, (0 + .002) / 2 in."""
    pooled = analyse(typed_capture("0:0 90:+3 180:-2 270:+3 thou", {})).pooled
    assert pooled.tir_first.value == pytest.approx(2 * 0.0254, rel=1e-9)


def test_readings_that_fit_a_wobble_are_no_surer_than_their_last_digit() -> None:
    """2 A of N readings rounded to q, each of standard uncertainty q / sqrt 12: u = 2 q / sqrt(6 N)."""
    pooled = analyse(typed_capture("0:4 90:0 180:-4 270:0 thou", {})).pooled
    # To a thousandth: the interval is found numerically.
    assert pooled.tir_first.u == pytest.approx(2 * 0.0254 / (6 * 4) ** 0.5, rel=1e-3)


def test_three_places_carry_order_one_and_nothing_to_judge_it_by() -> None:
    pooled = analyse(typed_capture("0:0 120:3 240:3 thou", {})).pooled
    assert pooled.high_side.u >= 180.0


def test_the_high_point_of_few_places_is_the_place_that_reads_highest() -> None:
    pooled = analyse(typed_capture("0:0 90:+2 180:-2 270:+3 thou", {})).pooled
    assert [pooled.high_point.value, pooled.low_point_deg] == pytest.approx([270.0, 180.0], abs=1e-9)


def test_the_budget_of_few_places_is_their_last_digit() -> None:
    parts = analyse(typed_capture("0:0 90:+3 180:-2 270:+3 thou", {})).pooled.tir_fit.parts
    assert list(parts) == ["last written digit"]
    assert parts["last written digit"].u == pytest.approx(0.0254 / math.sqrt(6.0), rel=1e-12)


def test_a_typed_set_over_its_limit_is_over() -> None:
    decision = analyse(typed_capture("0:0 90:+3 180:-2 270:+3 thou", {"limit": "3 thou"})).decision
    assert decision is not None
    assert decision.state == "over"


@pytest.mark.parametrize(
    ("places", "gap", "words"),
    [
        (
            4,
            90.0,
            "4 places can miss up to 29 % of a plain wobble, and the whole of a form that repeats 4 times round",
        ),
        (8, 45.0, "8 places can miss up to 8 % of a plain wobble"),
        (3, 180.0, "3 places can miss up to 100 % of a plain wobble"),
        (3, 200.0, "3 places can miss up to all of a plain wobble"),
    ],
)
def test_what_so_few_places_miss_is_said(places: int, gap: float, words: str) -> None:
    assert blind_spot_sentence(places, gap).startswith(words)
