"""Checks of link and angle: what the link did, where angles count from, and whether counts were lost."""

from dataclasses import replace
from typing import Any

import pytest
from made_evidence import captured, checked, evidence, index_off, linked, names, pulses, state

from analysis.capture import AngleSource
from analysis.capture.events import ClockBackwards, GapCause, TimedEvent
from analysis.capture.samples import Gap, LinkCounts
from analysis.checks.link_and_angle import index_disagreement_deg, marks_no_turn
from analysis.diagnosis.slip import Slip


def slip(deg: float, u_deg: float) -> Slip:
    return Slip(deg, u_deg, turn=1, at_deg=140.0, share=1.0)


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
        assert "link" not in names(evidence())


class TestMark:
    """Where angles count from: said, never doubted."""

    @pytest.mark.parametrize(
        ("changed", "words"),
        [
            ({"marked": True}, "angles count from the part's mark"),
            ({"marked": False}, "no mark was touched"),
            ({"angle_source": AngleSource.STEADY}, "from the start of the recording only"),
        ],
    )
    def test_it_is_said(self, changed: dict[str, Any], words: str) -> None:
        found = checked(evidence(capture=captured(**changed)), "mark")
        assert found.state == "clear"
        assert words in found.text

    @pytest.mark.parametrize("source", [AngleSource.TYPED, AngleSource.STOPS])
    def test_places_on_the_part_need_none(self, source: AngleSource) -> None:
        given = evidence(capture=captured(angle_source=source), few_places=True)
        assert "mark" not in names(given)


class TestCounts:
    """Index to index is counts per turn, exactly."""

    def test_impossible_steps_are_refused(self) -> None:
        assert state(linked(frames=10, enc_errors=1), "counts") == "refused"

    def test_a_broken_angle_is_refused_in_its_own_words(self) -> None:
        given = evidence(capture=captured(broken=("a second hello with other counts per turn",)))
        assert checked(given, "counts").text == "a second hello with other counts per turn"

    def test_a_restart_is_the_links_affair(self) -> None:
        assert state(evidence(capture=captured(broken=("the board restarted",))), "counts") == "clear"

    def test_an_open_input_that_hums_refuses_no_sweep(self) -> None:
        # 50 Hz at 20 turns a minute: 150 pulses a turn.
        humming = evidence(capture=captured(index=pulses(*(k / 150.3 for k in range(450)))))
        found = checked(humming, "counts")
        assert found.state == "doubtful"
        assert "tie it to its level at rest" in found.do

    @pytest.mark.parametrize("places", [2, 4, 19])
    def test_counts_per_turn_declared_too_high_are_still_refused(self, places: int) -> None:
        several = evidence(capture=captured(index=pulses(*(k / places for k in range(3 * places)))))
        assert state(several, "counts") == "refused"

    def test_an_index_that_bounces_is_still_an_index(self) -> None:
        bouncing = pulses(*(k + j * 1e-4 for k in range(3) for j in range(25)))
        assert not marks_no_turn(bouncing)

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
        assert index_disagreement_deg(pulses(4.1, 3.1, 2.1, direction=-1)) == pytest.approx(
            (0.0, 2), abs=1e-9
        )

    def test_two_pulses_at_one_place_lost_a_whole_turn(self) -> None:
        assert index_disagreement_deg(pulses(1.0, 1.1))[0] == pytest.approx(324.0, abs=1e-9)

    @pytest.mark.parametrize(
        ("deg", "begins"), [(0.19, "clear"), (0.21, "doubtful"), (-0.49, "doubtful"), (-0.51, "refused")]
    )
    def test_without_pulses_the_turns_themselves_tell(self, deg: float, begins: str) -> None:
        assert state(evidence(slip=slip(deg, 0.01)), "counts") == begins

    def test_a_slip_that_chance_explains_is_none(self) -> None:
        assert state(evidence(slip=slip(0.6, 0.2)), "counts") == "clear"

    def test_pulses_that_agree_leave_the_coupling(self) -> None:
        # The index stands on the encoder's own disc: of the coupling it knows nothing.
        found = checked(replace(index_off(0.0), slip=slip(2.0, 0.01)), "counts")
        assert found.state == "refused"
        assert "in turn 2, at 140 deg, the encoder moved by 2.0 deg against the part" in found.text
        assert "counts" not in found.text

    def test_pulses_that_disagree_come_before_the_turns(self) -> None:
        assert "from index to index" in checked(replace(index_off(2.0), slip=slip(2.0, 0.01)), "counts").text
