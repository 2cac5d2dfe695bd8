"""Within, over, not decided: the guard band, the witnesses, what refuses, what more turns would do."""

import math
from typing import Any

import pint
import pytest

from analysis.decision.rule import Witness, decide, limit_at_track
from analysis.errors import BadInput
from analysis.numerics import Component, Limits, UncertainNumber
from analysis.setup import parse_setup

LIMIT = 0.050


def known(value: float, u: float, dof: float = math.inf) -> UncertainNumber:
    return UncertainNumber(value, {"scatter": Component(u, dof)}, least=0.0)


def between(value: float, low: float, high: float) -> UncertainNumber:
    """Return a number of these one-sided limits."""
    return UncertainNumber(value, limits=Limits((low, high), (low, high)))


@pytest.mark.parametrize(("dof", "factor"), [(2, 2.92), (4, 2.13), (8, 1.86), (math.inf, 1.645)])
def test_the_guard_band_is_students_t_times_u(dof: float, factor: float) -> None:
    """t(.95, dof) of the usual tables (ISO 14253-1, from memory)."""
    # Printed with two decimals, the last with three.
    assert decide(known(0.040, 0.001, dof), LIMIT).guard_mm == pytest.approx(factor * 0.001, abs=5.1e-6)


@pytest.mark.parametrize("dof", [2.0, 4.0, 8.0, math.inf])
@pytest.mark.parametrize(
    ("past", "state"),
    [
        (-1.0001, "within"),
        (-0.9999, "undecided"),
        (0.0, "undecided"),
        (0.9999, "undecided"),
        (1.0001, "over"),
    ],
)
def test_the_state_changes_where_the_guard_band_leaves_the_limit(past: float, state: str, dof: float) -> None:
    guard = decide(known(LIMIT, 0.001, dof), LIMIT).guard_mm
    assert decide(known(LIMIT + past * guard, 0.001, dof), LIMIT).state == state


def test_an_upper_limit_at_the_limit_is_within() -> None:
    assert decide(between(0.04, 0.03, LIMIT), LIMIT).state == "within"


def test_a_lower_limit_at_the_limit_is_over() -> None:
    assert decide(between(0.06, LIMIT, 0.07), LIMIT).state == "over"


def test_the_guard_is_that_of_the_limits_side() -> None:
    estimate = between(0.040, 0.038, 0.047)
    assert decide(estimate, LIMIT).guard_mm == pytest.approx(0.007, abs=1e-15)
    assert decide(estimate, 0.030).guard_mm == pytest.approx(0.002, abs=1e-15)


def test_an_undecided_value_says_where_the_limit_lies() -> None:
    assert "the limit lies within the guard band" in decide(known(LIMIT, 0.001), LIMIT).why


class TestWitnesses:
    """The ridge rule: what a dial shows and repeating bumps have to fall on the same side."""

    RIDGE = Witness(known(0.056, 0.001), "a ridge 0.040 mm high at 153 deg")
    SMALL = Witness(known(0.040, 0.001), "a dial would show 0.0400 mm")
    NEARLY = Witness(known(0.0495, 0.001), "a dial would show 0.0495 mm")
    JUST_OVER = Witness(known(0.0505, 0.001), "a dial would show 0.0505 mm")

    def test_a_witness_on_the_same_side_leaves_the_state(self) -> None:
        assert decide(known(0.040, 0.001), LIMIT, witnesses=[self.SMALL]).state == "within"

    def test_a_witness_over_the_limit_leaves_a_value_within_undecided(self) -> None:
        assert decide(known(0.040, 0.001), LIMIT, witnesses=[self.RIDGE]).state == "undecided"

    def test_a_witness_within_the_limit_leaves_a_value_over_undecided(self) -> None:
        assert decide(known(0.060, 0.001), LIMIT, witnesses=[self.SMALL]).state == "undecided"

    def test_a_witness_has_its_own_guard_under_the_limit(self) -> None:
        assert decide(known(0.040, 0.001), LIMIT, witnesses=[self.NEARLY]).state == "undecided"

    def test_a_witness_has_its_own_guard_over_the_limit(self) -> None:
        assert decide(known(0.060, 0.001), LIMIT, witnesses=[self.JUST_OVER]).state == "undecided"

    def test_the_words_name_the_witness(self) -> None:
        why = decide(known(0.040, 0.001), LIMIT, witnesses=[self.SMALL, self.RIDGE]).why
        assert why == "a ridge 0.040 mm high at 153 deg: not on the same side of the limit"

    def test_no_number_of_turns_heals_a_ridge(self) -> None:
        assert decide(known(0.040, 0.001), LIMIT, witnesses=[self.RIDGE], more_turns=3).more_turns is None

    def test_a_value_in_the_guard_band_names_the_witness_too(self) -> None:
        decided = decide(known(0.0499, 0.001), LIMIT, witnesses=[self.RIDGE], more_turns=3)
        assert decided.why.endswith("a ridge 0.040 mm high at 153 deg")
        assert decided.more_turns is None


class TestRefusedChecks:
    """Any refused check leaves every decision undecided."""

    @pytest.mark.parametrize("value", [0.001, 0.050, 9.0])
    def test_it_is_undecided_whatever_the_value(self, value: float) -> None:
        assert decide(known(value, 1e-6), LIMIT, refused=["stand: the reading jumped"]).state == "undecided"

    def test_the_first_refusal_is_the_reason(self) -> None:
        assert (
            decide(known(0.01, 1e-6), LIMIT, refused=["stand: jumped", "link: gone"]).why == "stand: jumped"
        )

    def test_more_turns_of_such_a_sweep_decide_nothing(self) -> None:
        assert decide(known(0.05, 1e-3), LIMIT, refused=["stand: jumped"], more_turns=2).more_turns is None


class TestMoreTurns:
    """What the caller knows of further turns is passed on only where nothing is decided yet."""

    def test_an_undecided_value_says_how_many(self) -> None:
        assert decide(known(0.0499, 0.001), LIMIT, more_turns=4).more_turns == 4

    @pytest.mark.parametrize("value", [0.010, 0.090])
    def test_a_decided_value_asks_for_none(self, value: float) -> None:
        assert decide(known(value, 0.001), LIMIT, more_turns=4).more_turns is None


class TestUpperLimitFarOff:
    """Few places: something unseen is allowed for in the upper limit alone."""

    def test_it_leaves_undecided_what_would_be_within(self) -> None:
        assert decide(between(0.040, 0.040, 0.056), LIMIT).state == "undecided"

    def test_the_guard_is_measured_to_it(self) -> None:
        assert decide(between(0.040, 0.040, 0.056), LIMIT).guard_mm == pytest.approx(0.016, abs=1e-15)

    def test_it_makes_nothing_over_undecided(self) -> None:
        assert decide(between(0.060, 0.060, 0.09), LIMIT).state == "over"


def test_a_limit_may_be_a_pint_length() -> None:
    limit: Any = pint.UnitRegistry().Quantity(3.0, "thou")
    decided = decide(known(0.040, 0.001), limit)
    assert decided.limit_mm == pytest.approx(0.0762, rel=1e-15)


@pytest.mark.parametrize("limit", [0.0, -0.05])
def test_a_limit_of_nothing_is_refused(limit: float) -> None:
    with pytest.raises(BadInput, match="is not above zero"):
        decide(known(0.04, 0.001), limit)


def test_what_was_written_stays_with_the_decision() -> None:
    assert decide(known(0.04, 0.001), LIMIT, limit_as_written="0,050 mm").limit_as_written == "0,050 mm"


class TestLimitAtTheTrack:
    """A face limit at another radius is in proportion to it (US Army TM 9-2815-202-34, p. 4-75)."""

    @staticmethod
    def at(**setup: str) -> tuple[float, str]:
        checked = parse_setup({"limit": "0.001 in", **setup})
        assert checked.limit is not None
        return limit_at_track(checked.limit, checked)

    def test_a_limit_without_a_radius_stays(self) -> None:
        assert self.at(track_radius="6 in")[0] == pytest.approx(0.0254, rel=1e-15)

    def test_a_face_limit_goes_with_the_radius(self) -> None:
        assert self.at(limit_radius="1 in", track_radius="12 in")[0] == pytest.approx(0.012 * 25.4, rel=1e-12)

    def test_it_says_so(self) -> None:
        assert (
            "scaled to 0.3048 mm at the track's 304.8 mm"
            in self.at(limit_radius="1 in", track_radius="12 in")[1]
        )

    def test_the_same_radius_needs_no_words(self) -> None:
        assert self.at(limit_radius="12 in", track_radius="304.8 mm")[1] == ""

    @pytest.mark.parametrize("surface", ["outside", "bore"])
    def test_a_radial_limit_has_no_radius_to_go_with(self, surface: str) -> None:
        assert self.at(limit_radius="1 in", track_radius="12 in", surface=surface)[0] == pytest.approx(0.0254)

    def test_without_the_tracks_own_radius_it_is_refused(self) -> None:
        with pytest.raises(BadInput, match="set track_radius"):
            self.at(limit_radius="1 in")
