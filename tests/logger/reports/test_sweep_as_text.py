"""Results as sentences: the answer first, both systems, whose angle, whether to believe it."""

import math
import re
from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from analysis.decision.rule import Decision, DecisionState
from analysis.numerics import Component, UncertainNumber
from analysis.results import Check, CheckState, SweepResult
from analysis.sweep.pipeline import analyse, fit_sweep
from logger.inputs.csv_file import typed_capture
from logger.reports import sweep
from logger.reports.phrases import layout
from logger.reports.sweep import answer_sentence, check_rows, trust_lines

FACE = (("surface", "face"),)


def sweep_text(result: SweepResult, unit: str = "mm", *, stages: bool = False) -> str:
    return layout(sweep.as_text(result, unit, stages=stages))


@cache
def wobble(keys: tuple[tuple[str, str], ...] = FACE, limit: str | None = None) -> SweepResult:
    """Return a sweep of 0.100 mm TIR, high at 50 degrees, three turns, noise of 0.0005 mm."""
    rng = np.random.default_rng(1)
    angle = np.linspace(0, 6 * math.pi, 3 * 180 + 1)
    reading = 0.05 * np.cos(angle - math.radians(50)) + rng.normal(0, 0.0005, len(angle))
    t_s = np.linspace(0, 24, len(angle))
    return fit_sweep(angle, np.round(reading, 3), t_s, setup=dict(keys), limit=limit, resolution_mm=0.001)


def decided(state: DecisionState, quantity: str = "tir", **more: object) -> SweepResult:
    number = UncertainNumber(0.1, {"scatter": Component(0.001)})
    decision = Decision(quantity, number, 0.1, "0.1 mm", 0.002, state, "so", None)
    return replace(wobble(), decision=replace(decision, **more))  # type: ignore[arg-type]


def test_the_answer_is_one_sentence_in_both_systems_with_whose_angle():
    # Of so plain a wobble the top is known to a few degrees: it is made of fifteen orders and noise.
    assert re.fullmatch(
        r"Face runout 0\.100 mm \(3\.9 thou\) TIR, high point (4[6-9]|5[0-4]) deg past the part's mark, "
        r"95 % \d+ to \d+ deg: over the entered limit 0\.05 mm \(1\.97 thou\)\.",
        answer_sentence(wobble(FACE, "0.05 mm"), "mm"),
    )


def test_what_does_not_stand_out_of_the_noise_is_at_most_so_much_and_high_nowhere():
    rng = np.random.default_rng(2)
    angle = np.linspace(0, 6 * math.pi, 3 * 180 + 1)
    level = np.round(rng.normal(0, 0.0005, len(angle)), 4)
    result = fit_sweep(angle, level, np.linspace(0, 24, len(angle)), setup=dict(FACE), resolution_mm=0.0001)
    most = f"{result.pooled.tir_fit.interval()[1]:.4f}"
    assert answer_sentence(result, "mm").startswith(
        f"Face runout at most {most} mm TIR, no place stands out as high"
    )


def test_within():
    assert answer_sentence(wobble(FACE, "5 thou"), "mm").endswith(
        ": within the entered limit 5 thou (0.1270 mm)."
    )


def test_not_decided_names_what_it_was_held_against():
    assert answer_sentence(decided(DecisionState.UNDECIDED), "mm").endswith(
        ": not decided against the entered limit 0.1 mm (3.94 thou)."
    )


def test_without_a_limit_nothing_is_decided():
    assert answer_sentence(wobble(), "mm").endswith(" deg; no limit was entered.")


IN_UNITS = {
    "mm": "0.100 mm (3.9 thou)",
    "um": "100 um (3.9 thou)",
    "in": "0.0039 in (0.100 mm)",
    "thou": "3.9 thou (0.100 mm)",
}


@pytest.mark.parametrize(("unit", "words"), IN_UNITS.items())
def test_the_answer_in_the_wanted_unit(unit: str, words: str):
    assert words in answer_sentence(wobble(), unit)


@pytest.mark.parametrize(
    ("surface", "words"), [("face", "Face runout"), ("outside", "Runout"), ("bore", "Bore runout")]
)
def test_the_surface_is_named(surface: str, words: str):
    assert answer_sentence(wobble((("surface", surface),)), "mm").startswith(f"{words} 0.100 mm")


@pytest.mark.parametrize(("surface", "toward"), [("outside", "50"), ("bore", "230")])
def test_the_centre_of_a_bore_lies_opposite_the_high_side(surface: str, toward: str):
    keys = (("surface", surface), ("limit_quantity", "eccentricity"))
    said = answer_sentence(wobble(keys, "0.01 mm"), "mm")
    assert said.startswith("Eccentricity 0.050 mm (2.0 thou), centre toward")
    assert f"toward {toward} deg past the part's mark: over" in said


@pytest.mark.parametrize(("quantity", "words"), [("tir_first", "TIR of order 1"), ("form", "form")])
def test_another_quantity_is_named(quantity: str, words: str):
    assert answer_sentence(decided(DecisionState.OVER, quantity), "mm").startswith(
        f"Face runout 0.100 mm (3.9 thou) {words}, high point 49 deg past the part's mark, 95 % 44 to 55 deg: over"
    )


def test_after_the_cut_the_answer_says_what_it_is_no_evidence_of():
    said = answer_sentence(wobble((("stage", "after cut"),)), "mm")
    assert "on the cutting mount: not evidence of the result" in said


def test_an_angle_on_the_arbor_is_called_so():
    assert "deg past the arbor's mark" in answer_sentence(wobble((("mark_on", "arbor"),)), "mm")


# --- whether to believe it --------------------------------------------------------------------------------


def with_checks(*checks: Check, result: SweepResult | None = None) -> SweepResult:
    return replace(result or decided(DecisionState.OVER), checks=checks)


CLEAR = Check("turns", CheckState.CLEAR, "3 full turns")
DOUBTFUL = Check("speed", CheckState.DOUBTFUL, "turned unevenly", "turn evenly")
REFUSED = Check("tip", CheckState.REFUSED, "the tip lifted off", "set the tip again")


def test_clear_checks_are_counted():
    assert trust_lines(with_checks(CLEAR, CLEAR)) == ["All 2 checks are clear."]


def test_doubt_is_told_with_the_one_thing_to_do():
    assert trust_lines(with_checks(CLEAR, DOUBTFUL)) == [
        "Doubtful: turned unevenly.",
        "Do this: turn evenly.",
    ]


def test_a_refusal_goes_before_a_doubt():
    assert trust_lines(with_checks(DOUBTFUL, REFUSED)) == [
        "Do not rely on it: the tip lifted off.",
        "Do this: set the tip again.",
    ]


def test_why_it_is_not_decided_is_told():
    lines = trust_lines(
        with_checks(CLEAR, result=decided(DecisionState.UNDECIDED, why="too near", more_turns=4))
    )
    assert lines[1:] == [
        "Not decided because: too near.",
        "4 more turns would decide, if only scatter stands in the way.",
    ]


def test_the_answer_is_line_one_and_belief_line_two():
    lines = sweep_text(wobble(FACE, "0.05 mm")).splitlines()
    assert lines[0] == answer_sentence(wobble(FACE, "0.05 mm"), "mm")
    assert lines[1] == trust_lines(wobble(FACE, "0.05 mm"))[0]


def test_the_text_says_what_its_intervals_are():
    assert "intervals above are 95 %" in sweep_text(wobble())


def test_the_text_says_what_a_sweep_cannot_see():
    assert sweep_text(wobble()).splitlines()[-1].endswith("The shim test sees scale.")


def test_stages_are_shown_when_asked_for():
    assert "Stages:" not in sweep_text(wobble())
    assert "Stages:" in sweep_text(wobble(), stages=True)


@pytest.mark.parametrize("unit", ["mm", "um", "in", "thou"])
def test_lengths_of_the_text_are_in_the_wanted_unit(unit: str):
    rows = sweep_text(wobble(FACE, "0.05 mm"), unit).splitlines()
    (fitted,) = (row for row in rows if "TIR of the fitted curve" in row)
    assert re.search(rf"[0-9.]+ {unit} +95 %: [0-9.]+ {unit} to [0-9.]+ {unit}$", fitted)


def test_a_set_up_key_nobody_knows_is_noted():
    assert "Note: set-up keys kept but not understood: colour." in sweep_text(wobble((("colour", "red"),)))


def test_nothing_in_the_text_is_not_a_number():
    assert not re.search(r"\b(nan|inf|None)\b", sweep_text(wobble(FACE, "0.05 mm"), stages=True))


# --- text of files and devices is data --------------------------------------------------------------------

STEERING = "\x1b]0;mine\x07\x1b[2J\r\u202e"


def test_text_of_a_set_up_steers_nothing():
    text = sweep_text(wobble(((f"key{STEERING}", "x"), ("part", STEERING))), stages=True)
    assert all(character.isprintable() or character == "\n" for character in text)


def test_words_of_a_check_steer_nothing():
    result = with_checks(replace(REFUSED, text=f"unit {STEERING}", do=STEERING))
    assert all(character.isprintable() or character == "\n" for character in sweep_text(result))


# --- few places -------------------------------------------------------------------------------------------


def typed_text(readings: str) -> str:
    return sweep_text(analyse(typed_capture(readings, {})))


def test_of_few_places_the_readings_themselves_are_the_answer_without_a_limit_too():
    assert typed_text("0:0 90:+3 180:-2 270:+3 thou").startswith("Face runout 0.127 mm (5.0 thou) TIR")


def test_of_few_places_no_fitted_curve_is_told():
    assert "fitted curve" not in typed_text("0:0 90:+3 180:-2 270:+3 thou")


def test_three_readings_are_not_called_a_wobble():
    assert "order 1" not in typed_text("0:0 120:+3 240:-2 thou")


def test_a_side_that_nothing_tells_has_no_numbers():
    (side,) = (
        line for line in typed_text("0:0 90:+3 180:-2 270:+3 thou").splitlines() if "high side" in line
    )
    assert "not told" in side


def test_a_hair_under_a_whole_turn_is_printed_as_0():
    assert re.search(r"high side +0\.0 deg", typed_text("0:4 90:0 180:-4 270:0 thou"))


def test_what_is_clear_folds_into_one_line_and_doubts_never():
    kinds = (
        ("counts", CheckState.REFUSED),
        ("lag", CheckState.DOUBTFUL),
        ("link", CheckState.CLEAR),
        ("mark", CheckState.CLEAR),
    )
    rows = check_rows([Check(name, state, f"{name} said", "") for name, state in kinds])
    assert [row.split() for row in rows] == [
        ["refused", "counts", "counts", "said"],
        ["doubtful", "lag", "lag", "said"],
        ["clear", "link,", "mark"],
    ]
