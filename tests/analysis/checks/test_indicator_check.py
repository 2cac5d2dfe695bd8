"""The 20-second check of an indicator: still, tap, lift, sense, shim."""

import numpy as np
import pytest

from analysis.checks.indicator_check import check_returns, check_sense, check_shim, check_still

STEP_MM = 0.001
T_S = np.linspace(0.0, 10.0, 200)
NOISE: np.ndarray = np.random.default_rng(1).normal(0.0, 0.0005, 200)


def level(mm: float) -> np.ndarray:
    return np.full(20, mm)


class TestStill:
    """Nobody touches it."""

    def test_a_gauge_that_stands_is_clear(self) -> None:
        assert check_still(T_S, NOISE, STEP_MM).state == "clear"

    def test_it_says_noise_and_creep(self) -> None:
        said = check_still(T_S, 0.0002 * T_S, STEP_MM).text
        assert said == "noise 0.0000 mm, crept 0.0020 mm in 10 s"

    @pytest.mark.parametrize(
        ("crept_mm", "state"), [(0.00299, "clear"), (0.00301, "doubtful"), (-0.00301, "doubtful")]
    )
    def test_three_steps_of_creep_are_the_most(self, crept_mm: float, state: str) -> None:
        assert check_still(T_S, crept_mm / 10.0 * T_S, STEP_MM).state == state

    def test_creep_within_three_times_the_noise_is_no_creep(self) -> None:
        noisy = 4.0 * NOISE + 0.004 / 10.0 * T_S
        assert check_still(T_S, noisy, STEP_MM).state == "clear"

    def test_noise_of_more_than_five_steps_shakes(self) -> None:
        found = check_still(T_S, 12.0 * NOISE, STEP_MM)
        assert (found.state, found.do) == (
            "doubtful",
            "look for a loose clamp, or a fan or motor that shakes",
        )

    def test_readings_at_one_moment_do_not_creep(self) -> None:
        assert check_still(np.zeros(9), np.zeros(9), STEP_MM).state == "clear"

    def test_a_gauge_that_sleeps_is_doubtful(self) -> None:
        found = check_still(T_S[:4], NOISE[:4], STEP_MM)
        assert (found.state, found.text) == ("doubtful", "only 4 new readings came")


KNOCK = np.array([0.0, -0.8, 0.0])
"""What comes while somebody taps or lifts: far from every level here."""


class TestReturns:
    """A tap, or the tip lifted and let down."""

    @pytest.mark.parametrize("name", ["tap", "lift"])
    @pytest.mark.parametrize(("off", "state"), [(0.0019, "clear"), (-0.0019, "clear"), (0.0021, "doubtful")])
    def test_it_comes_back_within_two_steps(self, name: str, off: float, state: str) -> None:
        assert check_returns(name, level(1.0), KNOCK, level(1.0 + off), STEP_MM).state == state

    def test_what_the_noise_explains_is_clear(self) -> None:
        assert check_returns("tap", 10 * NOISE, KNOCK, 10 * NOISE + 0.010, STEP_MM).state == "clear"

    def test_it_says_by_how_much(self) -> None:
        assert (
            check_returns("tap", level(1.0), KNOCK, level(0.995), STEP_MM).text == "comes back to -0.0050 mm"
        )

    def test_tap_and_lift_ask_for_different_things(self) -> None:
        asked = {check_returns(name, level(0.0), KNOCK, level(0.1), STEP_MM).do for name in ("tap", "lift")}
        assert len(asked) == 2

    @pytest.mark.parametrize("name", ["tap", "lift"])
    @pytest.mark.parametrize(("knock_mm", "state"), [(0.0049, "doubtful"), (0.0051, "clear")])
    def test_what_nobody_did_is_not_judged(self, name: str, knock_mm: float, state: str) -> None:
        found = check_returns(name, level(1.0), level(1.0) + knock_mm, level(1.0), STEP_MM)
        assert found.state == state
        assert (found.text == f"no {name} seen") == (state == "doubtful")

    @pytest.mark.parametrize("name", ["tap", "lift"])
    def test_too_few_readings_are_told(self, name: str) -> None:
        assert check_returns(name, level(0.0), KNOCK, np.zeros(4), STEP_MM).text == "only 4 new readings came"


class TestSense:
    """Pushed in, it reads positive."""

    def test_positive_is_clear(self) -> None:
        assert check_sense(level(1.0), np.array([1.0, 1.3, 1.1]), STEP_MM).state == "clear"

    def test_negative_is_refused(self) -> None:
        assert check_sense(level(1.0), np.array([1.0, 0.7, 0.9]), STEP_MM).state == "refused"

    def test_it_is_judged_by_the_furthest_reading(self) -> None:
        assert check_sense(level(0.0), np.array([0.1, -0.3]), STEP_MM).state == "refused"

    @pytest.mark.parametrize(("moved", "state"), [(0.0049, "doubtful"), (0.0051, "clear")])
    def test_less_than_five_steps_tell_nothing(self, moved: float, state: str) -> None:
        assert check_sense(level(0.0), np.array([moved]), STEP_MM).state == state

    def test_no_readings_are_told(self) -> None:
        assert check_sense(level(0.0), np.empty(0), STEP_MM).state == "doubtful"


class TestShim:
    """A shim of known thickness under the tip."""

    @pytest.mark.parametrize(
        ("reads", "state"),
        [(0.5, "clear"), (0.5099, "clear"), (0.4901, "clear"), (0.5101, "refused"), (0.4899, "refused")],
    )
    def test_its_scale_is_believed_to_two_per_cent(self, reads: float, state: str) -> None:
        assert check_shim(level(1.0), level(1.0 + reads), 0.5).state == state

    def test_taken_away_instead_of_put_under_it_is_the_same(self) -> None:
        assert check_shim(level(1.0), level(0.5), 0.5).state == "clear"

    @pytest.mark.parametrize(
        ("factor", "words"), [(25.4, "25.4 times too much"), (1 / 25.4, "25.4 times too little")]
    )
    def test_the_other_unit_is_named(self, factor: float, words: str) -> None:
        found = check_shim(level(0.0), level(0.5 * factor), 0.5)
        assert found.text.endswith(words)
        assert "in/mm" in found.do

    def test_a_lever_at_thirty_degrees_shows_its_cosine(self) -> None:
        # It over-reads by 1 / cos 30 deg.
        assert "1.155 of it" in check_shim(level(0.0), level(0.5 / 0.8660254), 0.5).text

    def test_no_readings_are_told(self) -> None:
        assert check_shim(np.empty(0), level(0.5), 0.5).state == "doubtful"
