"""Checks of stability: closure, drift and repeat against the limit, bumps, end float."""

from dataclasses import replace

import pytest
from made_evidence import captured, checked, evidence, names, state

from analysis.capture.events import EndFloatMeasured, TimedEvent
from analysis.checks.evidence import Deviation, Lobes
from analysis.checks.stability import describe_bump
from analysis.diagnosis.bumps import Bump, BumpKind


class TestAgainstTheLimit:
    """Closure, drift and repeat: what noise or the gauge's step explains is clear."""

    def test_three_times_the_noise_is_no_doubt(self) -> None:
        assert state(evidence(repeat=Deviation(0.0299, 0.01)), "repeat") == "clear"

    def test_more_than_three_times_the_noise_over_the_refusing_share_is_refused(self) -> None:
        assert state(evidence(repeat=Deviation(0.0301, 0.01)), "repeat") == "refused"

    def test_two_steps_of_the_gauge_are_no_doubt(self) -> None:
        coarse = replace(evidence().gauge, resolution_mm=0.01)
        assert state(evidence(closure=Deviation(0.0199), gauge=coarse), "closure") == "clear"

    def test_more_than_two_steps_are(self) -> None:
        coarse = replace(evidence().gauge, resolution_mm=0.01)
        assert state(evidence(closure=Deviation(0.0201), gauge=coarse), "closure") == "refused"

    def test_a_wider_limit_asks_for_less(self) -> None:
        assert state(evidence(closure=Deviation(0.04), reference_mm=1.0), "closure") == "clear"

    @pytest.mark.parametrize("name", ["closure", "drift"])
    def test_the_sign_does_not_matter(self, name: str) -> None:
        given = evidence(closure=Deviation(-0.0151), drift_per_turn=Deviation(-0.0151))
        assert state(given, name) == "refused"

    @pytest.mark.parametrize("name", ["closure", "drift"])
    def test_what_was_not_taken_is_not_judged(self, name: str) -> None:
        given = evidence(closure=None, drift_per_turn=None)
        assert name not in names(given)


class TestLobes:
    """Waves above the orders that are always fitted."""

    def test_a_wave_is_named_and_counted_in(self) -> None:
        given = evidence(lobes=Lobes(((24, 0.006),), 0.0004, 60))
        assert checked(given, "lobes").text == (
            "form of 24 waves round, 0.006 mm high, on every turn: counted in"
        )

    def test_without_one_it_says_how_high_one_would_have_been_seen(self) -> None:
        found = checked(evidence(lobes=Lobes((), 0.0004, 60)), "lobes")
        assert (found.state, found.text) == (
            "clear",
            "a wave of more than 0.0004 mm would have been seen, up to 60 round",
        )

    def test_what_the_places_cannot_tell_is_named(self) -> None:
        assert checked(evidence(lobes=Lobes((), 0.0004, 60, (25,))), "lobes").text.endswith(
            "60 round, but 25"
        )

    def test_what_was_not_looked_for_is_not_judged(self) -> None:
        assert "lobes" not in names(evidence())


class TestBumps:
    """Any narrow bump that is no hole."""

    @pytest.mark.parametrize("kind", [BumpKind.NICK, BumpKind.RIDGE, BumpKind.KNOCK])
    def test_a_bump_is_doubtful(self, kind: BumpKind) -> None:
        assert state(evidence(bumps=(Bump(10.0, 3.0, 0.02, 1, kind),)), "bumps") == "doubtful"

    def test_a_hole_that_was_read_is_refused_with_what_declares_it(self) -> None:
        found = checked(evidence(bumps=(Bump(10.0, 3.0, -0.2, 3, BumpKind.HOLE),)), "bumps")
        # One degree and two readings, 0.75 deg apart, more on either side of 3 deg.
        assert (found.state, found.do) == (
            "refused",
            'declare them as holes with their width: --set "holes=10.0:8.0"',
        )

    def test_a_bump_left_out_is_not(self) -> None:
        assert (
            state(evidence(bumps=(Bump(10.0, 3.0, 0.02, 3, BumpKind.NICK, kept=False),)), "bumps") == "clear"
        )

    def test_a_knock_asks_for_another_turn_and_not_for_a_file(self) -> None:
        found = checked(evidence(bumps=(Bump(10.0, 3.0, 0.02, 1, BumpKind.KNOCK),)), "bumps")
        assert found.do == "take another turn without touching the bench"

    def test_more_than_three_are_counted(self) -> None:
        bumps = [Bump(10.0 * k, 3.0, 0.02, 3, BumpKind.NICK) for k in range(5)]
        assert checked(evidence(bumps=tuple(bumps)), "bumps").text.endswith("and 2 more")

    def test_a_bump_in_words_has_height_width_and_place(self) -> None:
        assert (
            describe_bump(Bump(153.0, 10.0, 0.040, 5, BumpKind.RIDGE))
            == "a ridge 0.040 mm high, 10 deg wide, at 153 deg"
        )

    def test_a_dent_is_deep(self) -> None:
        assert "0.040 mm deep" in describe_bump(Bump(153.0, 4.0, -0.040, 5, BumpKind.NICK))

    def test_a_knock_says_on_how_many_turns(self) -> None:
        assert describe_bump(Bump(153.0, 4.0, 0.040, 1, BumpKind.KNOCK)).endswith("on 1 turn only")


def test_end_float_counts_at_its_worst() -> None:
    events = tuple(TimedEvent(None, EndFloatMeasured(mm)) for mm in (0.001, 0.03))
    assert state(evidence(capture=captured(events=events)), "end-float") == "refused"
