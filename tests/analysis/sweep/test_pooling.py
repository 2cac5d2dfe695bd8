"""Which turns are put together, which values count, each turn by itself."""

import math
from dataclasses import replace

import numpy as np
import pytest
from made_sweeps import Floats, Made, capture, made, wobble

from analysis.capture import AngleSource, cut_turns
from analysis.capture.events import SweepBroken, TimedEvent, TurnExcluded
from analysis.capture.exclusions import Window
from analysis.capture.samples import Capture, Samples
from analysis.errors import BadInput, NotDecidable
from analysis.sweep.corrections import corrected_for_gauge, cosine_of_gauge
from analysis.sweep.pooling import PooledTurns, pool_turns
from analysis.sweep.turn_results import turn_by_itself

SWEEP = made(wobble(0.142), turns=4)


def pooled(given: Capture, *windows: Window, orders: int | None = None) -> PooledTurns:
    return pool_turns(given, windows, orders)


def without(sweep: Made, keep: np.ndarray) -> Made:
    return Made(sweep.angle_rad[keep], sweep.reading_mm[keep], sweep.t_s[keep], sweep.turn[keep])


def of_angles(angle: Floats) -> Capture:
    """A wobble read at these angles, a hundred times a second."""
    n = len(angle)
    t_s = np.linspace(0.0, 0.01 * n, n, endpoint=False)
    everything, nothing = np.ones(n, bool), np.zeros(n, bool)
    samples = Samples(
        t_s, angle.astype(np.float64), np.cos(angle), everything, nothing, np.zeros(n, np.int16)
    )
    return replace(capture(SWEEP), samples=samples)


def there_and_back(forward: float, back: float) -> Capture:
    """So many turns one way, then so many the other."""
    angle = (
        np.concatenate([np.arange(0.0, forward, 0.01), np.arange(forward, forward - back, -0.01)])
        * 2
        * math.pi
    )
    return of_angles(angle)


def in_segments(*turns: int) -> Capture:
    """So many turns at each of several zeros."""
    given = capture(made(wobble(0.142), turns=sum(turns)))
    edges = np.cumsum(turns)
    segment = np.searchsorted(edges, np.floor(given.samples.angle_rad / (2 * math.pi) + 1e-9), side="right")
    return replace(given, samples=replace(given.samples, segment=segment.astype(np.int16)))


def test_all_full_turns_are_put_together() -> None:
    assert len(pooled(capture(SWEEP)).turns) == 4


def test_every_value_knows_its_turn() -> None:
    pool = pooled(capture(SWEEP))
    assert [int((pool.turn == k).sum()) for k in range(4)] == [480, 480, 480, 480]


def test_values_of_all_turns_stand_at_the_places_of_one() -> None:
    assert pooled(capture(SWEEP)).places == 480


@pytest.mark.parametrize(("forward", "back", "direction"), [(3.5, 1.5, 1), (1.5, 3.5, -1), (2.5, 2.5, 1)])
def test_the_way_most_were_turned_counts(forward: float, back: float, direction: int) -> None:
    assert {turn.direction for turn in pooled(there_and_back(forward, back)).turns} == {direction}


def test_turns_the_other_way_are_counted_and_left_out() -> None:
    assert pooled(there_and_back(3.2, 1.7)).other_direction == 1


def test_turns_at_the_newest_zero_count() -> None:
    pool = pooled(in_segments(3, 2))
    assert {turn.segment for turn in pool.turns} == {1}


def test_turns_before_it_are_said() -> None:
    # A turn that spans two zeros is no turn: of three and two, three are whole before the newest mark.
    assert any("before the newest mark left out" in remark for remark in pooled(in_segments(3, 2)).refused)


def gapped(turn: int, gap_deg: float) -> Capture:
    keep = ~((SWEEP.turn == turn) & (np.abs(np.mod(SWEEP.deg, 360.0) - 180.0) < gap_deg / 2))
    return capture(without(SWEEP, keep))


def test_a_turn_with_a_wide_gap_is_left_out_where_others_remain() -> None:
    pool = pooled(gapped(2, 40.0))
    assert [turn.number for turn in pool.turns] == [0, 1, 3]


def test_it_is_said_which_turn_and_why() -> None:
    assert pooled(gapped(2, 40.0)).refused == ("turn 3 is left out: a gap of 41 deg",)


def test_a_turn_with_a_small_gap_stays() -> None:
    assert len(pooled(gapped(2, 25.0)).turns) == 4


def test_where_every_turn_has_the_gap_all_stay() -> None:
    keep = np.abs(np.mod(SWEEP.deg, 360.0) - 180.0) > 20.0
    assert len(pooled(capture(without(SWEEP, keep))).turns) == 4


def left_out(from_s: float, to_s: float) -> Capture:
    knocked = TurnExcluded(id=1, from_s=from_s, to_s=to_s, reason="knocked")
    return replace(capture(SWEEP), events=(TimedEvent(None, knocked),))


def test_a_turn_left_out_by_a_person_is_left_out() -> None:
    assert [turn.number for turn in pooled(left_out(from_s=7.0, to_s=11.0)).turns] == [0, 2, 3]


def test_what_the_program_leaves_out_is_not_said_to_be_a_persons_doing() -> None:
    broken = replace(capture(SWEEP), events=(TimedEvent(8.5, SweepBroken("zero was set")),))
    (said, *_) = pooled(broken).refused
    assert said == "turn 1 is left out by the program: it began before zero was set"


def test_a_persons_reason_is_said() -> None:
    assert pooled(left_out(from_s=7.0, to_s=11.0)).refused == ("turn 2 is left out by a person: knocked",)


def test_leaving_every_turn_out_is_refused() -> None:
    with pytest.raises(BadInput, match="every full turn was left out by a person's word"):
        pooled(left_out(from_s=0.0, to_s=99.0))


def test_held_values_do_not_count() -> None:
    given = capture(SWEEP)
    given = replace(given, samples=replace(given.samples, new=np.arange(len(given.samples)) % 2 == 0))
    assert len(pooled(given).values) == 4 * 240


def test_values_out_of_range_do_not_count() -> None:
    given = capture(SWEEP)
    out = np.mod(np.degrees(given.samples.angle_rad), 360.0) < 9.9
    given = replace(given, samples=replace(given.samples, out_of_range=out))
    assert len(pooled(given).values) == 4 * (480 - 14)  # every 0.75 degrees from 0 to 9.75


def test_values_in_a_window_do_not_count() -> None:
    assert len(pooled(capture(SWEEP), Window(100.0, 107.0, "hole")).values) == 4 * (480 - 9)


@pytest.mark.parametrize(("per_turn", "highest"), [(480, 15), (84, 15), (50, 15), (36, 5), (14, 2), (6, 1)])
def test_the_highest_order_goes_with_values_and_places_of_all_turns(per_turn: int, highest: int) -> None:
    """Two and a half values a coefficient, 0.8 of the places; one turn alone: seven an undulation."""
    assert pooled(capture(made(wobble(0.142), per_turn=per_turn))).plan.highest_order == highest


@pytest.mark.parametrize(("per_turn", "highest"), [(480, 15), (84, 12), (70, 10), (50, 7)])
def test_a_turn_by_itself_carries_an_order_for_seven_values(per_turn: int, highest: int) -> None:
    """ISO 12181-2, from memory."""
    assert pooled(capture(made(wobble(0.142), per_turn=per_turn))).orders_of_a_turn == highest


def test_turns_that_fill_one_another_carry_more_than_each_of_them() -> None:
    # 6.1 values a turn over ten turns: 61 places, none of them twice; (62 / 2.5 - 2) / 2 = 11.4.
    angle: Floats = np.linspace(0.0, 20 * math.pi, 62)  # the step of 61 / 10 a turn
    assert pooled(of_angles(angle)).plan.highest_order == 11


def test_a_gauge_in_step_with_the_turning_carries_what_its_places_do() -> None:
    # 37 places in a heap each: readings tremble by a hundredth of a degree, turn after turn.
    rng = np.random.default_rng(1)
    angle = np.arange(37 * 10) * (2 * math.pi / 37) + rng.normal(0.0, 1e-4, 370)
    angle[0] = 0.0
    assert pooled(of_angles(np.append(angle, 20 * math.pi))).plan.highest_order == 14


@pytest.mark.parametrize(("places", "most"), [(8, 4), (9, 4), (12, 6)])
def test_even_places_carry_half_as_many_orders(places: int, most: int) -> None:
    given = capture(made(wobble(0.142), per_turn=places))
    assert pooled(given, orders=most).plan.highest_order == most
    with pytest.raises(BadInput, match=f"carry orders 1 to {most}"):
        pooled(given, orders=most + 1)


def test_uneven_places_carry_one_less_than_half() -> None:
    given = capture(without(made(wobble(0.142), per_turn=12), np.mod(np.arange(36), 12) != 5))
    with pytest.raises(BadInput, match="11 different places carry orders 1 to 5"):
        pooled(given, orders=6)


def test_readings_at_places_are_one_turn_though_they_never_pass_the_mark() -> None:
    places = without(SWEEP, np.arange(len(SWEEP.t_s)) < 480)
    few = replace(capture(without(places, np.arange(480) % 120 == 0)), angle_source=AngleSource.TYPED)
    few = replace(few, samples=few.samples.take(np.arange(4)))
    assert len(pooled(few).turns) == 1


def test_two_places_are_no_turn() -> None:
    few = replace(capture(SWEEP), angle_source=AngleSource.TYPED)
    with pytest.raises(BadInput, match="no full turn"):
        pooled(replace(few, samples=few.samples.take(np.array([0, 200]))))


def test_an_end_float_capture_is_named_as_one() -> None:
    still = capture(SWEEP, 0.0, stage="end float")
    with pytest.raises(BadInput, match="this is an end-float capture"):
        pooled(replace(still, samples=still.samples.take(np.arange(50))))


class TestOneTurn:
    """A turn by itself: plain numbers."""

    TURN = cut_turns(capture(SWEEP).samples)[1]

    def test_its_numbers_are_those_of_its_own_fit(self) -> None:
        result = turn_by_itself(1, self.TURN, capture(SWEEP))
        assert result.tir_fit_mm == pytest.approx(0.142, rel=1e-9)
        assert result.tir_first_mm == pytest.approx(0.142, rel=1e-9)
        assert result.high_point_deg == pytest.approx(63.0, abs=1e-6)

    def test_its_speed_is_that_of_its_turn(self) -> None:
        assert turn_by_itself(1, self.TURN, capture(SWEEP)).rpm == pytest.approx(10.0, rel=1e-9)

    def test_without_times_it_has_no_speed(self) -> None:
        assert turn_by_itself(1, self.TURN, replace(capture(SWEEP), timed=False)).rpm == 0.0

    def test_it_counts_samples_and_values_apart(self) -> None:
        result = pooled(capture(SWEEP), Window(100.0, 107.0, "hole")).results[1]
        assert (result.samples, result.values) == (480, 471)

    def test_so_few_places_are_not_decidable(self) -> None:
        two = replace(self.TURN, where=self.TURN.where[[0, 240]])
        with pytest.raises(NotDecidable, match="2 distinct places"):
            turn_by_itself(0, two, capture(SWEEP))


def test_a_square_gauge_is_left_as_it_is() -> None:
    given = capture(SWEEP)
    assert corrected_for_gauge(given) is given


def test_a_levers_step_shrinks_with_its_readings() -> None:
    given = corrected_for_gauge(capture(SWEEP, 0.001, gauge_angle="60"))
    assert given.resolution_mm == pytest.approx(0.0005, rel=1e-12)
    assert given.samples.reading_mm[0] == pytest.approx(SWEEP.reading_mm[0] / 2, rel=1e-12)


@pytest.mark.parametrize(("deg", "cosine"), [(10.0, 0.9848), (20.0, 0.9397), (30.0, 0.8660), (0.0, 1.0)])
def test_a_tilted_gauge_over_reads_by_its_cosine(deg: float, cosine: float) -> None:
    assert round(cosine_of_gauge(deg), 4) == cosine
