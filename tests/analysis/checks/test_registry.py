"""The registry of checks: order, thresholds, causes, the bench's faults and the developers' table agree with it."""

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from made_evidence import (
    LIMIT_MM,
    MadeEvidence,
    at_rate,
    captured,
    checked,
    end_float,
    evidence,
    index_off,
    linked,
    lost,
    names,
    places_apart,
    standstill,
    state,
    turn,
    with_gap,
    with_speeds,
)
from places import ROOT

from analysis.capture.samples import Capture, Samples
from analysis.checks.evidence import Deviation, Lobes
from analysis.checks.finding import NEVER, Thresholds
from analysis.checks.registry import CHECKS, CheckId, CheckSpec, run_checks, thresholds_of
from analysis.diagnosis.bumps import Bump, BumpKind
from analysis.diagnosis.hysteresis import Hysteresis
from analysis.diagnosis.jumps import Jump, JumpKind
from analysis.diagnosis.lag import GaugeLag, LagSource
from analysis.measurands.shaft_end_float import end_float as judged_end_float
from analysis.results import Check, CheckState
from logger.practice.bench.faults import FAULTS

JUST = 1e-6
"""Thresholds are held to a millionth of themselves."""
CLEAR, DOUBTFUL, REFUSED = CheckState
FEW = "few places"
KNOCK = Bump(217.0, 8.0, 0.02, 1, BumpKind.KNOCK)

Make = Callable[[float], MadeEvidence]


def length(name: str) -> Make:
    """Return what makes a sweep whose deviation of this name is so large a share of the limit."""
    return lambda share: evidence(**{name: Deviation(share * LIMIT_MM)})


# For every check with a number: how to make a sweep with so much of it, and the number of each state that begins.
AT: dict[tuple[CheckId, str], tuple[Make, float]] = {
    (CheckId.LINK, REFUSED): (lost, 0.2),
    (CheckId.COUNTS, DOUBTFUL): (index_off, 0.2),
    (CheckId.COUNTS, REFUSED): (index_off, 0.5),
    (CheckId.COVERAGE, DOUBTFUL): (with_gap, 12.0),
    (CheckId.COVERAGE, REFUSED): (with_gap, 30.0),
    (CheckId.COVERAGE, FEW): (places_apart, 100.0),
    (CheckId.SPEED, DOUBTFUL): (lambda ratio: with_speeds(5.0, 5.0 * ratio), 2.0),
    (CheckId.TIP, REFUSED): (lambda deg: standstill(deg, at_extreme=True), 10.8),
    (CheckId.STUCK, REFUSED): (lambda deg: standstill(deg, at_extreme=False), 10.8),
    (CheckId.CLOSURE, DOUBTFUL): (length("closure"), 0.1),
    (CheckId.CLOSURE, REFUSED): (length("closure"), 0.3),
    (CheckId.DRIFT, DOUBTFUL): (length("drift_per_turn"), 0.1),
    (CheckId.DRIFT, REFUSED): (length("drift_per_turn"), 0.3),
    (CheckId.REPEAT, DOUBTFUL): (length("repeat"), 0.1),
    (CheckId.REPEAT, REFUSED): (length("repeat"), 0.3),
    (CheckId.LAG, DOUBTFUL): (
        lambda deg: evidence(lag=GaugeLag(LagSource.SPEEDS, np.radians(deg), 0.0, 1.0)),
        5.0,
    ),
    (CheckId.BACKWARD_FORWARD, DOUBTFUL): (
        lambda share: evidence(hysteresis=Hysteresis(share * LIMIT_MM, 0.0, 50)),
        0.1,
    ),
    (CheckId.END_FLOAT, DOUBTFUL): (lambda share: end_float(share * LIMIT_MM), 0.1),
    (CheckId.END_FLOAT, REFUSED): (lambda share: end_float(share * LIMIT_MM), 0.5),
}
FEWER: dict[tuple[CheckId, str], tuple[Make, int]] = {
    (CheckId.GAUGE_RATE, DOUBTFUL): (lambda orders: at_rate(50, 10.0, more=0.3, highest_order=orders), 15),
    (CheckId.GAUGE_RATE, REFUSED): (lambda orders: at_rate(50, 10.0, more=0.3, highest_order=orders), 5),
}
"""Where less is worse, in whole values."""


def before(check: CheckId, begins: str) -> CheckState:
    """Return the state of a check short of the number at which a state begins; a lost frame is a doubt by itself."""
    return (
        DOUBTFUL if (begins == REFUSED and (check, DOUBTFUL) in {**AT, **FEWER}) or check == "link" else CLEAR
    )


@pytest.mark.parametrize(("check", "begins"), AT, ids="-".join)
def test_a_check_changes_its_state_at_its_threshold(check: CheckId, begins: str) -> None:
    make, number = AT[check, begins]
    after = DOUBTFUL if begins == FEW else begins
    assert state(make(number * (1 - JUST)), check) == before(check, begins)
    assert state(make(number * (1 + JUST)), check) == after


@pytest.mark.parametrize(("check", "begins"), FEWER, ids="-".join)
def test_a_check_of_fewer_changes_its_state_at_its_threshold(check: CheckId, begins: str) -> None:
    make, number = FEWER[check, begins]
    assert (state(make(number), check), state(make(number - 1), check)) == (before(check, begins), begins)


def numbers(spec: CheckSpec) -> dict[tuple[CheckId, str], float]:
    """Return every number among a check's thresholds."""
    at = spec.thresholds
    every = ((DOUBTFUL, at.doubtful), (REFUSED, at.refused), (FEW, at.few_places))
    return {(spec.id, name): bound.at for name, bound in every if np.isfinite(bound.at)}


def test_every_number_of_the_registry_is_tried_at_its_threshold() -> None:
    stated = {key: number for spec in CHECKS for key, number in numbers(spec).items()}
    assert stated == {key: number for key, (_, number) in {**AT, **FEWER}.items()}


def named_gauge(said: str) -> Capture:
    """Return a capture whose set-up says this of the register of gauges."""
    plain = MadeEvidence().capture
    return replace(plain, setup=replace(plain.setup, gauge_register=said))


# What begins a state without a number of its own.
IN_WORDS: dict[tuple[CheckId, str], MadeEvidence] = {
    (CheckId.LINK, DOUBTFUL): lost(1e-7),
    (CheckId.DIRECTION, DOUBTFUL): evidence(other_direction=1),
    (CheckId.TURNS, DOUBTFUL): evidence(turns=[turn()]),
    (CheckId.UNIT, REFUSED): evidence(jump=Jump(5.0, 0.2, JumpKind.UNIT)),
    (CheckId.STAND, REFUSED): evidence(jump=Jump(5.0, 0.2, JumpKind.STAND)),
    (CheckId.BUMPS, DOUBTFUL): evidence(bumps=(Bump(10.0, 3.0, 0.02, 3, BumpKind.NICK),)),
    (CheckId.BUMPS, REFUSED): evidence(bumps=(Bump(10.0, 3.0, -0.2, 3, BumpKind.HOLE),)),
    (CheckId.LOBES, DOUBTFUL): evidence(lobes=Lobes(((24, 0.006),), 0.0004, 60)),
    (CheckId.GAUGE_REGISTER, DOUBTFUL): evidence(capture=named_gauge("DI-07: gauge_error '1 um' was typed")),
}


@pytest.mark.parametrize(("check", "begins"), IN_WORDS, ids="-".join)
def test_what_the_words_name_begins_the_state(check: CheckId, begins: str) -> None:
    assert state(IN_WORDS[check, begins], check) == begins


def test_every_state_that_a_check_can_have_is_tried() -> None:
    possible = {
        (spec.id, name)
        for spec in CHECKS
        for name, bound in ((DOUBTFUL, spec.thresholds.doubtful), (REFUSED, spec.thresholds.refused))
        if bound is not NEVER
    }
    assert possible == {key for key in {**AT, **FEWER, **IN_WORDS} if key[1] != FEW}


def everything() -> list[Check]:
    """Return every check that is not clear, of sweeps just past each threshold."""
    made = [make(number * (1 + JUST)) for make, number in AT.values()]
    made += [make(number - 1) for make, number in FEWER.values()]
    return [
        check for one in (*made, *IN_WORDS.values()) for check in run_checks(one) if check.state is not CLEAR
    ]


@pytest.mark.parametrize("check", everything(), ids=lambda check: check.name)
def test_whatever_is_not_clear_says_in_one_line_what_it_is_and_what_to_do(check: Check) -> None:
    assert check.do
    assert "\n" not in check.text + check.do


def test_a_good_sweep_is_clear_in_every_check() -> None:
    assert {check.state for check in run_checks(evidence())} == {CLEAR}


def test_a_gauge_that_agrees_with_the_register_is_clear() -> None:
    assert state(evidence(capture=named_gauge("DI-07: agrees")), CheckId.GAUGE_REGISTER) == CLEAR


def test_a_good_sweep_is_told_what_was_looked_at() -> None:
    assert names(linked(frames=1000)) == [
        "link", "mark", "counts", "direction", "coverage", "turns", "speed", "gauge-rate", "tip", "stuck",
        "unit", "stand", "closure", "drift", "repeat", "bumps",
    ]  # fmt: skip


def test_every_check_has_one_entry_in_the_order_of_its_names() -> None:
    assert [spec.id for spec in CHECKS] == list(CheckId)


class TestFewPlaces:
    """A few places carry no faults of a stream."""

    FOUR = replace(places_apart(90.0), jump=Jump(1.0, 1.0, JumpKind.STAND))

    def test_only_what_they_can_tell_is_looked_at(self) -> None:
        assert names(self.FOUR) == ["coverage", "turns", "closure", "drift"]

    def test_places_ninety_degrees_apart_are_clear(self) -> None:
        assert state(self.FOUR, "coverage") == CLEAR

    def test_a_single_set_is_no_doubt(self) -> None:
        assert state(self.FOUR, "turns") == CLEAR


class TestOneFaultOneRefusal:
    """A refusal that another explains is taken back to doubtful."""

    JUMPED = Jump(5.0, 0.2, JumpKind.STAND)

    def test_a_stand_that_was_knocked_explains_that_turns_do_not_repeat(self) -> None:
        given = evidence(
            jump=self.JUMPED,
            repeat=Deviation(0.2),
            closure=Deviation(0.07),
            drift_per_turn=Deviation(0.1),
        )
        assert [check.name for check in run_checks(given) if check.state is REFUSED] == ["stand"]

    def test_it_says_what_explains_it(self) -> None:
        given = evidence(jump=self.JUMPED, repeat=Deviation(0.2))
        assert checked(given, "repeat").text.endswith("(see stand)")

    def test_what_is_refused_by_itself_stays_refused(self) -> None:
        assert state(evidence(repeat=Deviation(0.2)), "repeat") == REFUSED

    def test_a_doubt_explains_nothing(self) -> None:
        given = evidence(repeat=Deviation(0.2), closure=Deviation(0.01))
        assert state(given, "repeat") == REFUSED

    def test_a_knock_beside_play_is_named_as_its_possible_trace(self) -> None:
        given = evidence(bumps=(KNOCK,), hysteresis=Hysteresis(0.05, 0.001, 50))
        knock = checked(given, "bumps")
        assert (knock.state, knock.cause) == (DOUBTFUL, "backward-forward")
        assert knock.text.endswith("(see backward-forward)")

    def test_a_late_gauge_comes_before_play(self) -> None:
        late = GaugeLag(LagSource.SPEEDS, 0.2, 0.001, 1.0)
        given = evidence(bumps=(KNOCK,), hysteresis=Hysteresis(0.05, 0.001, 50), lag=late)
        assert checked(given, "bumps").cause == "lag"

    def test_what_is_on_every_turn_is_no_trace(self) -> None:
        ridge = replace(KNOCK, kind=BumpKind.RIDGE, turns=2)
        given = evidence(bumps=(ridge,), hysteresis=Hysteresis(0.05, 0.001, 50))
        assert checked(given, "bumps").cause == ""

    def test_a_knock_without_play_or_lag_has_no_other_cause(self) -> None:
        assert checked(evidence(bumps=(KNOCK,)), "bumps").cause == ""

    def test_no_check_explains_itself_in_a_circle(self) -> None:
        by = {spec.id: spec.explained_by for spec in CHECKS}

        def causes(check: CheckId) -> set[CheckId]:
            return set(by[check]).union(*(causes(cause) for cause in by[check]))

        assert all(check not in causes(check) for check in CheckId)

    def test_only_a_check_that_can_be_refused_is_explained_by_checks_that_can(self) -> None:
        explained = {spec.id for spec in CHECKS if spec.explained_by}
        causes = {cause for spec in CHECKS for cause in spec.explained_by}
        assert all(thresholds_of(check).refused is not NEVER for check in explained | causes)


class TestFaultsOfTheBench:
    """The virtual bench imports no check: its table names them in words."""

    def test_every_check_that_a_fault_names_is_one(self) -> None:
        assert {fault.check for fault in FAULTS.values() if fault.check} <= set(CheckId)

    @pytest.mark.parametrize("spec", [spec for spec in CHECKS if spec.raised_by], ids=lambda spec: spec.id)
    def test_the_fault_that_raises_a_check_names_it(self, spec: CheckSpec) -> None:
        assert FAULTS[spec.raised_by].check == spec.id

    def test_every_check_that_a_fault_names_is_raised_by_one(self) -> None:
        assert {spec.id for spec in CHECKS if spec.raised_by} == {
            fault.check for fault in FAULTS.values() if fault.check
        }


@pytest.mark.parametrize(("share", "begins"), [(0.1, DOUBTFUL), (0.5, REFUSED)])
def test_end_float_by_itself_is_judged_as_the_check_judges_it(share: float, begins: CheckState) -> None:
    t_s, nothing = np.arange(600) / 20.0, np.zeros(600)
    pushed_mm = np.where((t_s // 5) % 2 == 0, 0.0, 0.03)
    one_boot, nowhere = np.zeros(600, np.int16), np.zeros(600, bool)
    standing = Samples(t_s, nothing, pushed_mm, ~nowhere, nowhere, one_boot)
    capture = captured(samples=standing, resolution_mm=0.0)
    states = [judged_end_float(capture, 0.03 / (share * (1 + side))).state for side in (-JUST, JUST)]
    assert states == [CLEAR if begins is DOUBTFUL else DOUBTFUL, begins]


def row(spec: CheckSpec) -> str:
    """Return the row of a check in the developers' table."""
    at: Thresholds = spec.thresholds
    doubt = str(at.doubtful) if at.few_places is NEVER else f"{at.doubtful}; few places: {at.few_places}"
    causes = ", ".join(spec.explained_by) or "-"
    return f"| {spec.id} | {spec.looks_at} | {doubt} | {at.refused} | {causes} |"


def test_the_table_for_developers_is_the_registry() -> None:
    lines = (ROOT / "DEVELOPERS.md").read_text().splitlines()
    head = lines.index("| check | looks at | doubtful | refused | explained by |")
    rows = lines[head + 2 : lines.index("", head)]
    assert rows == [row(spec) for spec in CHECKS]
