"""What is said of a sweep: the TIR that is the answer, and how far a check lets it be believed."""

import json
from dataclasses import replace

import pytest
from made_sweeps import capture, made, wobble

from analysis.capture.angle_source import AngleSource
from analysis.results import CheckState, SweepResult
from analysis.sweep.pipeline import analyse

SWEEP = made(wobble(0.142), noise_mm=0.001)


def analysed(**setup: str) -> SweepResult:
    return analyse(capture(SWEEP, **setup))


def test_states_of_a_check_are_in_order_from_best_to_worst() -> None:
    assert [state.rank for state in CheckState] == [0, 1, 2]
    assert max((CheckState.REFUSED, CheckState.CLEAR), key=lambda state: state.rank) is CheckState.REFUSED


@pytest.mark.parametrize("state", CheckState)
def test_a_state_is_printed_and_written_as_its_word(state: CheckState) -> None:
    assert f"{state}" == json.loads(json.dumps(state)) == state.value


def test_without_a_limit_the_fitted_tir_is_the_answer() -> None:
    result = analysed()
    assert result.answer_tir_mm == result.pooled.tir_fit.value


def test_the_tir_that_was_decided_on_is_the_answer() -> None:
    result = analysed(limit="0.2 mm")
    assert result.decision is not None
    other = replace(result.decision, number=replace(result.decision.number, value=0.123))
    assert replace(result, decision=other).answer_tir_mm == 0.123


def test_a_decision_on_another_quantity_is_not_the_answer() -> None:
    result = analysed(limit="0.2 mm", limit_quantity="tir_first")
    assert result.answer_tir_mm == result.pooled.tir_fit.value


def test_of_few_places_the_readings_are_the_answer() -> None:
    few = replace(
        capture(made(wobble(0.142), turns=1, per_turn=8), 0.01), angle_source=AngleSource.TYPED, timed=False
    )
    result = analyse(few)
    assert result.few_places
    assert result.answer_tir_mm == result.pooled.tir_raw_mm
