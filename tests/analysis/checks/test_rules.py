"""Every check at its thresholds: just below doubtful is clear, just above is doubtful, and so is refused.

The thresholds are those of the table in DEVELOPERS.md, written out here once more on purpose.
"""

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from made_sweeps import capture, made, wobble
from places import ROOT

from analysis.capture.events import (
    ClockBackwards,
    EndFloatMeasured,
    GapCause,
    TimedEvent,
    UnevenTurns,
    UnitChanged,
)
from analysis.capture.samples import Capture, Gap, IndexPulses, LinkCounts
from analysis.checks.rules import CAUSES, Evidence, describe_bump, index_disagreement_deg, run_checks
from analysis.diagnosis.bumps import Bump, BumpKind
from analysis.diagnosis.gauge import GaugeFacts
from analysis.diagnosis.hysteresis import Hysteresis
from analysis.diagnosis.jumps import Jump, JumpKind
from analysis.diagnosis.lag import Lag
from analysis.diagnosis.slip import Slip
from analysis.diagnosis.standstill import Standstill
from analysis.results import Check, TurnResult

LIMIT_MM = 0.050
JUST = 1e-6
"""Thresholds are held to a millionth of themselves."""


def turn(**changed: Any) -> TurnResult:
    plain = TurnResult(
        turn=0, direction=1, samples=480, values=480, coverage=1.0, largest_gap_deg=0.75, rpm=10.0,
        tir_raw_mm=0.03, tir_fit_mm=0.03, tir_first_mm=0.03, high_point_deg=63.0,
        vectors_mm=np.array([0.015 + 0j]), start_s=0.0, end_s=6.0,
    )  # fmt: skip
    return replace(plain, **changed)


def evidence(**changed: Any) -> Evidence:
    """A sweep about which nothing is to be said."""
    plain = Evidence(
        capture=capture(made(wobble(0.03)), 0.001),
        turns=[turn(), turn(turn=1, start_s=6.0, end_s=12.0), turn(turn=2, start_s=12.0, end_s=18.0)],
        other_direction=0,
        refused_turns=(),
        gauge=GaugeFacts(rate_hz=80.0, resolution_mm=0.0, held_fraction=0.0, max_rpm=60 * 80.0 / 105),
        reference_mm=LIMIT_MM,
        noise_of_curve_mm=0.0,
        closure_mm=0.0,
        closure_noise_mm=0.0,
        drift_per_turn_mm=0.0,
        drift_noise_mm=0.0,
        repeat_mm=0.0,
        bumps=(),
        flats=(),
        out_of_range_share=0.0,
        jump=None,
        places=1440,
        together_gap_deg=0.3,
        holes_left_out=0,
    )
    return replace(plain, **changed)


def captured(**changed: Any) -> Capture:
    return replace(evidence().capture, **changed)


def linked(**counts: Any) -> Evidence:
    return evidence(capture=captured(link=LinkCounts(**counts)))


def checked(given: Evidence, name: str) -> Check:
    (found,) = [check for check in run_checks(given) if check.name == name]
    return found


def state(given: Evidence, name: str) -> str:
    return checked(given, name).state


def pulses(*turned: float, way: int = 1) -> IndexPulses:
    m = len(turned)
    return IndexPulses(
        np.linspace(0.0, 6.0 * m, m),
        2 * np.pi * np.array(turned),
        np.full(m, way, np.int8),
        np.zeros(m, np.int16),
    )


def index_off(deg: float) -> Evidence:
    return evidence(capture=captured(index=pulses(0.1, 1.1, 2.1 + deg / 360.0)))


def flat(span_deg: float, *, at_extreme: bool) -> Evidence:
    return evidence(flats=[Standstill(100.0, span_deg, 40, at_extreme)])


def with_gap(deg: float) -> Evidence:
    return evidence(turns=[turn(), turn(turn=1, largest_gap_deg=deg)])


def end_float(mm: float) -> Evidence:
    return evidence(capture=captured(events=(TimedEvent(None, EndFloatMeasured(mm)),)))


def with_speeds(*rpm: float) -> Evidence:
    return evidence(turns=[turn(turn=k, rpm=one) for k, one in enumerate(rpm)])


def lost(share: float) -> Evidence:
    return linked(frames=round(1e7 * (1 - share)), lost=round(1e7 * share))


# For every check with a threshold: how to make a sweep with so much of it, then doubtful and refused.
GRADED = {
    "counts": (index_off, 0.2, 0.5),
    "coverage": (with_gap, 12.0, 30.0),
    "closure": (lambda mm: evidence(closure_mm=mm), 0.1 * LIMIT_MM, 0.3 * LIMIT_MM),
    "drift": (lambda mm: evidence(drift_per_turn_mm=mm), 0.1 * LIMIT_MM, 0.3 * LIMIT_MM),
    "repeat": (lambda mm: evidence(repeat_mm=mm), 0.1 * LIMIT_MM, 0.3 * LIMIT_MM),
    "end-float": (end_float, 0.1 * LIMIT_MM, 0.5 * LIMIT_MM),
}
DOUBTFUL_ONLY = {
    "speed": (lambda ratio: with_speeds(5.0, 5.0 * ratio), 2.0),
    "backward-forward": (lambda mm: evidence(play=Hysteresis(mm, 0.0, 50)), 0.1 * LIMIT_MM),
    "lag": (lambda deg: evidence(lag=Lag(np.radians(deg), 1e-6, 1.0)), 1.0),
}
REFUSED_ONLY = {
    "tip": (lambda deg: flat(deg, at_extreme=True), 0.03 * 360),
    "stuck": (lambda deg: flat(deg, at_extreme=False), 0.03 * 360),
}
CASES = [
    *[(name, make, at * (1 + side), told) for name, (make, soft, hard) in GRADED.items()
      for at, side, told in ((soft, -JUST, "clear"), (soft, JUST, "doubtful"), (hard, -JUST, "doubtful"),
                             (hard, JUST, "refused"))],
    *[(name, make, at * (1 + side), told) for name, (make, at) in DOUBTFUL_ONLY.items()
      for side, told in ((-JUST, "clear"), (JUST, "doubtful"))],
    *[(name, make, at * (1 + side), told) for name, (make, at) in REFUSED_ONLY.items()
      for side, told in ((-JUST, "clear"), (JUST, "refused"))],
    ("link", lost, 1e-7, "doubtful"),
    ("link", lost, 0.2 * (1 - JUST), "doubtful"),
    ("link", lost, 0.2 * (1 + JUST), "refused"),
    ("tip", lambda share: evidence(out_of_range_share=share), 0.03 * (1 - JUST), "clear"),
    ("tip", lambda share: evidence(out_of_range_share=share), 0.03 * (1 + JUST), "refused"),
]  # fmt: skip


@pytest.mark.parametrize(
    ("name", "make", "amount", "told"),
    CASES,
    ids=[f"{name}-{amount:.8g}-{told}" for name, _, amount, told in CASES],
)
def test_a_check_changes_its_state_at_its_threshold(name: str, make: Any, amount: float, told: str) -> None:
    assert state(make(amount), name) == told


@pytest.mark.parametrize("name", ["closure", "drift"])
def test_the_sign_does_not_matter(name: str) -> None:
    make, _, hard = GRADED[name]
    assert state(make(-1.01 * hard), name) == "refused"


def test_a_good_sweep_is_clear_in_every_check() -> None:
    assert {check.state for check in run_checks(evidence())} == {"clear"}


def test_a_good_sweep_is_told_what_was_looked_at() -> None:
    assert [check.name for check in run_checks(linked(frames=1000))] == [
        "link", "mark", "counts", "direction", "coverage", "turns", "speed", "gauge-rate", "tip", "stuck",
        "unit", "stand", "closure", "drift", "repeat", "bumps",
    ]  # fmt: skip


def everything() -> list[Check]:
    """Every check at its worst, each in a sweep of its own."""
    worst = [
        lost(0.3), index_off(0.6), evidence(other_direction=1), with_gap(40.0), evidence(turns=[turn()]),
        with_speeds(5.0, 15.0), evidence(turns=[turn(values=20, rpm=100.0)]), flat(20.0, at_extreme=True),
        flat(20.0, at_extreme=False), evidence(jump=Jump(5.0, 0.2, JumpKind.UNIT)), evidence(jump=Jump(5.0, 0.2, JumpKind.STAND)),
        evidence(closure_mm=0.04), evidence(drift_per_turn_mm=0.04), evidence(repeat_mm=0.04),
        evidence(bumps=[Bump(10.0, 3.0, 0.02, 3, BumpKind.NICK)]), evidence(lag=Lag(0.1, 1e-6, 1.0)),
        evidence(play=Hysteresis(0.04, 0.0, 50)), end_float(0.04),
    ]  # fmt: skip
    return [check for one in worst for check in run_checks(one) if check.state != "clear"]


@pytest.mark.parametrize("check", everything(), ids=lambda check: check.name)
def test_whatever_is_not_clear_says_what_to_do(check: Check) -> None:
    assert check.do


@pytest.mark.parametrize("check", everything(), ids=lambda check: check.name)
def test_what_a_check_says_is_one_line(check: Check) -> None:
    assert "\n" not in check.text + check.do


class TestAgainstTheLimit:
    """Closure, drift and repeat: what noise or the gauge's step explains is clear."""

    def test_three_times_the_noise_is_no_doubt(self) -> None:
        assert state(evidence(repeat_mm=0.0299, noise_of_curve_mm=0.01), "repeat") == "clear"

    def test_more_than_three_times_the_noise_over_the_refusing_share_is_refused(self) -> None:
        assert state(evidence(repeat_mm=0.0301, noise_of_curve_mm=0.01), "repeat") == "refused"

    def test_two_steps_of_the_gauge_are_no_doubt(self) -> None:
        coarse = replace(evidence().gauge, resolution_mm=0.01)
        assert state(evidence(closure_mm=0.0199, gauge=coarse), "closure") == "clear"

    def test_more_than_two_steps_are(self) -> None:
        coarse = replace(evidence().gauge, resolution_mm=0.01)
        assert state(evidence(closure_mm=0.0201, gauge=coarse), "closure") == "refused"

    def test_a_wider_limit_asks_for_less(self) -> None:
        assert state(evidence(closure_mm=0.04, reference_mm=1.0), "closure") == "clear"

    @pytest.mark.parametrize("name", ["closure", "drift"])
    def test_what_was_not_taken_is_not_judged(self, name: str) -> None:
        given = evidence(closure_mm=None, drift_per_turn_mm=None)
        assert name not in [check.name for check in run_checks(given)]


class TestLink:
    """What the link did."""

    @pytest.mark.parametrize(
        ("counts", "words"),
        [
            ({"frames": 1000, "dropped": 3}, "dropped 3 readings"),
            ({"frames": 1000, "bad": 11}, "11 pieces of what came could not be read"),
            (
                {"frames": 1000, "gaps": (Gap(1, 4, 0, GapCause.STALLED),)},
                "nothing came for two seconds or more, 1 time(s)",
            ),
            (
                {"frames": 1000, "lost": 900, "gaps": (Gap(1, 4, 900, GapCause.UNPLUGGED),)},
                "the cable was out 1 time(s)",
            ),
        ],
    )
    def test_it_is_doubtful(self, counts: dict[str, Any], words: str) -> None:
        found = checked(linked(**counts), "link")
        assert found.state == "doubtful"
        assert words in found.text

    def test_a_piece_of_noise_at_the_start_is_no_doubt(self) -> None:
        assert state(linked(frames=1000, bad=10), "link") == "clear"

    def test_a_board_that_drops_asks_for_less(self) -> None:
        assert "--rate" in checked(linked(frames=1000, dropped=3), "link").do

    def test_a_restart_on_the_way_is_refused(self) -> None:
        assert state(linked(frames=1000, restarts=1), "link") == "refused"

    def test_a_restart_before_these_turns_is_told(self) -> None:
        before = captured(link=LinkCounts(frames=1000, restarts=1), restarted_s=-1.0)
        assert state(evidence(capture=before), "link") == "doubtful"

    def test_a_restart_between_two_of_these_turns_is_refused(self) -> None:
        within = captured(link=LinkCounts(frames=1000, restarts=1), restarted_s=7.0)
        assert state(evidence(capture=within), "link") == "refused"

    def test_a_clock_that_ran_backwards_is_told(self) -> None:
        given = captured(link=LinkCounts(frames=9), events=(TimedEvent(None, ClockBackwards(2)),))
        assert "ran backwards 2 time(s)" in checked(evidence(capture=given), "link").text

    def test_typed_readings_have_no_link(self) -> None:
        assert "link" not in [check.name for check in run_checks(evidence())]


class TestMark:
    """Where angles count from: said, never doubted."""

    @pytest.mark.parametrize(
        ("changed", "words"),
        [
            ({"marked": True}, "angles count from the part's mark"),
            ({"marked": False}, "no mark was touched"),
            ({"angle_source": "steady"}, "from the start of the recording only"),
        ],
    )
    def test_it_is_said(self, changed: dict[str, Any], words: str) -> None:
        found = checked(evidence(capture=captured(**changed)), "mark")
        assert found.state == "clear"
        assert words in found.text

    @pytest.mark.parametrize("source", ["typed", "stops"])
    def test_places_on_the_part_need_none(self, source: str) -> None:
        given = evidence(capture=captured(angle_source=source), few_places=True)
        assert "mark" not in [check.name for check in run_checks(given)]


class TestCounts:
    """Index to index is counts per turn, exactly."""

    def test_impossible_steps_are_refused(self) -> None:
        assert state(linked(frames=10, enc_errors=1), "counts") == "refused"

    def test_a_broken_angle_is_refused_in_its_own_words(self) -> None:
        given = evidence(capture=captured(broken=("a second hello with other counts per turn",)))
        assert checked(given, "counts").text == "a second hello with other counts per turn"

    def test_a_restart_is_the_links_affair(self) -> None:
        assert state(evidence(capture=captured(broken=("the board restarted",))), "counts") == "clear"

    def test_pulses_a_whole_number_of_turns_apart_agree(self) -> None:
        assert index_disagreement_deg(pulses(0.1, 1.1, 4.1)) == pytest.approx((0.0, 2), abs=1e-9)

    def test_pulses_passed_the_other_way_are_not_compared(self) -> None:
        both = pulses(0.1, 1.1, 1.102)
        both.direction[2] = -1
        assert index_disagreement_deg(both)[1] == 1

    def test_pulses_of_two_boots_are_not_compared(self) -> None:
        both = pulses(0.1, 1.3)
        both.segment[1] = 1
        assert index_disagreement_deg(both) == (0.0, 0)

    def test_backwards_turns_agree_too(self) -> None:
        assert index_disagreement_deg(pulses(4.1, 3.1, 2.1, way=-1)) == pytest.approx((0.0, 2), abs=1e-9)

    def test_two_pulses_at_one_place_lost_a_whole_turn(self) -> None:
        assert index_disagreement_deg(pulses(1.0, 1.1))[0] == pytest.approx(324.0, abs=1e-9)

    @pytest.mark.parametrize(
        ("deg", "told"), [(0.19, "clear"), (0.21, "doubtful"), (-0.49, "doubtful"), (-0.51, "refused")]
    )
    def test_without_pulses_the_turns_themselves_tell(self, deg: float, told: str) -> None:
        assert state(evidence(slip=Slip(deg, 0.01)), "counts") == told

    def test_a_slip_that_chance_explains_is_none(self) -> None:
        assert state(evidence(slip=Slip(0.6, 0.2)), "counts") == "clear"

    def test_pulses_are_believed_before_the_turns(self) -> None:
        given = replace(index_off(0.0), slip=Slip(2.0, 0.01))
        assert state(given, "counts") == "clear"


class TestTurning:
    """Direction, coverage, number and speed of the turns."""

    def test_turns_the_other_way_are_told(self) -> None:
        assert state(evidence(other_direction=1), "direction") == "doubtful"

    def test_turning_against_the_angle_is_no_doubt(self) -> None:
        assert (
            checked(evidence(turns=[turn(direction=-1)]), "direction").text
            == "all turns against growing angle"
        )

    def test_a_turn_left_out_is_told(self) -> None:
        found = checked(evidence(refused_turns=["turn 2 is left out: a gap of 40 deg"]), "coverage")
        assert (found.state, found.text) == ("doubtful", "turn 2 is left out: a gap of 40 deg")

    def test_a_gap_by_windows_left_out_says_so(self) -> None:
        assert (
            "where windows are left out"
            in checked(replace(with_gap(20.0), holes_left_out=1), "coverage").text
        )

    def test_turns_too_fast_for_the_gauge_cover_together(self) -> None:
        fast = evidence(turns=[turn(values=6, largest_gap_deg=60.0, rpm=97.0)], together_gap_deg=8.0)
        assert state(fast, "coverage") == "clear"

    def test_a_single_turn_is_doubtful(self) -> None:
        assert state(evidence(turns=[turn()]), "turns") == "doubtful"

    def test_two_turns_are_not(self) -> None:
        assert state(evidence(turns=[turn(), turn(turn=1)]), "turns") == "clear"

    def test_turns_without_times_have_no_speed(self) -> None:
        assert "speed" not in [check.name for check in run_checks(with_speeds(0.0, 0.0))]

    def test_turns_left_out_for_being_uneven_are_told(self) -> None:
        given = evidence(capture=captured(events=(TimedEvent(None, UnevenTurns(2)),)))
        assert state(given, "speed") == "doubtful"


def at_rate(values: int, rpm: float, *, more: float = 0.0, **changed: Any) -> Evidence:
    """So many values a turn, and ``more``: a fraction keeps the gauge from beating with the turning."""
    rate = (values + more) * rpm / 60.0
    facts = GaugeFacts(rate, 0.001, 0.0, 60 * rate / 105)
    return evidence(
        turns=[turn(values=values, rpm=rpm), turn(turn=1, values=values, rpm=rpm)], gauge=facts, **changed
    )


class TestGaugeRate:
    """72 new values a turn, and no faster than 105 a turn allow; fewer than 21 tell no wobble from an oval."""

    @pytest.mark.parametrize(
        ("values", "told"), [(72, "clear"), (71, "doubtful"), (21, "doubtful"), (20, "refused")]
    )
    def test_so_many_new_values_a_turn(self, values: int, told: str) -> None:
        assert state(at_rate(values, 10.0, together_gap_deg=20.0), "gauge-rate") == told

    def test_few_values_at_a_speed_that_the_gauge_can_follow_are_clear(self) -> None:
        slow = replace(at_rate(60, 5.0), gauge=GaugeFacts(50.0, 0.001, 0.0, 60 * 50.0 / 105))
        assert state(slow, "gauge-rate") == "clear"

    def test_turns_that_fill_one_another_show_two_orders(self) -> None:
        assert state(at_rate(20, 30.0, more=0.5, together_gap_deg=11.9), "gauge-rate") == "doubtful"

    def test_a_gauge_that_beats_with_the_turning_is_told_its_places(self) -> None:
        found = checked(at_rate(6, 100.0, together_gap_deg=60.0), "gauge-rate")
        assert found.state == "refused"
        assert "sees only 6 places, turn after turn" in found.text

    def test_it_is_told_which_speeds_would_fill_the_turn(self) -> None:
        assert checked(at_rate(6, 100.0, together_gap_deg=60.0), "gauge-rate").do.startswith("97 or 103 rpm")

    def test_too_few_places_are_counted(self) -> None:
        few = at_rate(15, 9.7, more=0.4, together_gap_deg=24.0, places=30)
        assert "15 new values a turn, 30 different places in all" in checked(few, "gauge-rate").text

    def test_readings_without_times_have_no_rate(self) -> None:
        given = replace(at_rate(20, 30.0), capture=captured(timed=False))
        assert "gauge-rate" not in [check.name for check in run_checks(given)]


class TestButtonsAndStand:
    """Steps in time, each under the name of who made it."""

    @pytest.mark.parametrize(
        ("kind", "name", "words"),
        [
            (JumpKind.UNIT, "unit", "somebody pressed in/mm on the indicator"),
            (JumpKind.ZERO, "unit", "somebody pressed zero on the indicator"),
            (JumpKind.STAND, "stand", "stand or gauge was knocked"),
        ],
    )
    def test_a_jump_is_refused_under_its_own_name(self, kind: JumpKind, name: str, words: str) -> None:
        found = checked(evidence(jump=Jump(5.0, 0.2, kind)), name)
        assert found.state == "refused"
        assert words in found.text

    @pytest.mark.parametrize(
        ("kind", "other"), [(JumpKind.UNIT, "stand"), (JumpKind.ZERO, "stand"), (JumpKind.STAND, "unit")]
    )
    def test_and_not_under_another(self, kind: JumpKind, other: str) -> None:
        assert state(evidence(jump=Jump(5.0, 0.2, kind)), other) == "clear"

    def test_a_new_unit_on_the_lines_is_refused(self) -> None:
        given = evidence(capture=captured(events=(TimedEvent(None, UnitChanged("mm", "in")),)))
        assert "changed from mm to in" in checked(given, "unit").text


class TestBumps:
    """Any narrow bump that is no hole."""

    @pytest.mark.parametrize("kind", [BumpKind.NICK, BumpKind.RIDGE, BumpKind.KNOCK])
    def test_a_bump_is_doubtful(self, kind: BumpKind) -> None:
        assert state(evidence(bumps=[Bump(10.0, 3.0, 0.02, 1, kind)]), "bumps") == "doubtful"

    def test_a_hole_is_not(self) -> None:
        assert state(evidence(bumps=[Bump(10.0, 3.0, -0.2, 3, BumpKind.HOLE)]), "bumps") == "clear"

    def test_a_bump_left_out_is_not(self) -> None:
        assert (
            state(evidence(bumps=[Bump(10.0, 3.0, 0.02, 3, BumpKind.NICK, kept=False)]), "bumps") == "clear"
        )

    def test_a_knock_asks_for_another_turn_and_not_for_a_file(self) -> None:
        found = checked(evidence(bumps=[Bump(10.0, 3.0, 0.02, 1, BumpKind.KNOCK)]), "bumps")
        assert found.do == "take another turn without touching the bench"

    def test_more_than_three_are_counted(self) -> None:
        bumps = [Bump(10.0 * k, 3.0, 0.02, 3, BumpKind.NICK) for k in range(5)]
        assert checked(evidence(bumps=bumps), "bumps").text.endswith("and 2 more")

    def test_a_bump_in_words_has_height_width_and_place(self) -> None:
        assert (
            describe_bump(Bump(153.0, 10.0, 0.040, 5, BumpKind.RIDGE))
            == "a ridge 0.040 mm high, 10 deg wide, at 153 deg"
        )

    def test_a_dent_is_deep(self) -> None:
        assert "0.040 mm deep" in describe_bump(Bump(153.0, 4.0, -0.040, 5, BumpKind.NICK))

    def test_a_knock_says_on_how_many_turns(self) -> None:
        assert describe_bump(Bump(153.0, 4.0, 0.040, 1, BumpKind.KNOCK)).endswith("on 1 turn(s) only")


class TestGaugeBehaviour:
    """Lag and play."""

    def test_a_lag_that_chance_explains_is_none(self) -> None:
        assert state(evidence(lag=Lag(0.1, 0.03, 1.0)), "lag") == "clear"

    def test_even_turning_does_not_tell_the_lag(self) -> None:
        assert "turned too evenly" in checked(evidence(lag=Lag(0.01, 0.1, 1.0)), "lag").text

    def test_play_that_chance_explains_is_none(self) -> None:
        assert state(evidence(play=Hysteresis(0.0099, 0.002, 50)), "backward-forward") == "clear"

    def test_play_within_two_steps_is_none(self) -> None:
        coarse = replace(evidence().gauge, resolution_mm=0.01)
        assert state(evidence(play=Hysteresis(0.0199, 0.0, 50), gauge=coarse), "backward-forward") == "clear"

    def test_end_float_counts_at_its_worst(self) -> None:
        events = tuple(TimedEvent(None, EndFloatMeasured(mm)) for mm in (0.001, 0.03))
        assert state(evidence(capture=captured(events=events)), "end-float") == "refused"


class TestOneFaultOneRefusal:
    """A refusal that another explains is taken back to doubtful."""

    def test_a_stand_that_was_knocked_explains_that_turns_do_not_repeat(self) -> None:
        given = evidence(
            jump=Jump(5.0, 0.2, JumpKind.STAND), repeat_mm=0.2, closure_mm=0.07, drift_per_turn_mm=0.1
        )
        assert [check.name for check in run_checks(given) if check.state == "refused"] == ["stand"]

    def test_it_says_what_explains_it(self) -> None:
        given = evidence(jump=Jump(5.0, 0.2, JumpKind.STAND), repeat_mm=0.2)
        assert checked(given, "repeat").text.endswith("(see stand)")

    def test_what_is_refused_by_itself_stays_refused(self) -> None:
        assert state(evidence(repeat_mm=0.2), "repeat") == "refused"

    def test_a_doubt_explains_nothing(self) -> None:
        given = evidence(repeat_mm=0.2, closure_mm=0.01)
        assert state(given, "repeat") == "refused"

    def test_no_check_explains_itself_in_a_circle(self) -> None:
        def causes(name: str) -> set[str]:
            return {name}.union(*(causes(cause) for cause in CAUSES.get(name, ())))

        assert all(name not in set().union(*(causes(cause) for cause in CAUSES[name])) for name in CAUSES)


class TestStepped:
    """A few places carry no faults of a stream."""

    STEPPED = evidence(
        capture=replace(capture(made(wobble(0.03))), angle_source="typed"),
        turns=[turn(values=4, largest_gap_deg=90.0)],
        few_places=True,
        jump=Jump(1.0, 1.0, JumpKind.STAND),
    )

    def test_only_what_they_can_tell_is_looked_at(self) -> None:
        assert [check.name for check in run_checks(self.STEPPED)] == ["coverage", "turns", "closure", "drift"]

    def test_places_ninety_degrees_apart_are_clear(self) -> None:
        assert state(self.STEPPED, "coverage") == "clear"

    def test_places_farther_apart_are_doubtful(self) -> None:
        three = replace(self.STEPPED, turns=[turn(values=3, largest_gap_deg=120.0)], together_gap_deg=120.0)
        assert state(three, "coverage") == "doubtful"

    def test_a_single_set_is_no_doubt(self) -> None:
        assert state(self.STEPPED, "turns") == "clear"


def test_the_table_for_developers_has_every_check_and_no_other() -> None:
    text = (ROOT / "DEVELOPERS.md").read_text()
    rows = text.split("| check | doubtful | refused |")[1].split("\n\n")[0].splitlines()[2:]
    named = {row.split("|")[1].strip() for row in rows}
    made_by_one_sweep = {
        check.name
        for given in (evidence(lag=Lag(0, 1, 1), play=Hysteresis(0, 0, 9)), end_float(0.0), linked(frames=9))
        for check in run_checks(given)
    }
    assert named == made_by_one_sweep
