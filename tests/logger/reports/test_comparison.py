"""The text of a comparison: the change as a vector, or why none is claimed."""

from example_results import FACE, MOUNT, change, own
from indexed_sweeps import indexed_sweep

from analysis.measurands import compare
from logger.reports import comparison
from logger.reports.phrases import layout


def test_the_answer_is_before_after_and_the_change_as_a_vector() -> None:
    answer = comparison.as_text(*change(), "mm").answer
    assert answer.startswith("TIR of the fitted curve from 0.140 mm (5.5 thou) to 0.030 mm (1.2 thou); ")
    assert "on the part (as vectors, after less before; 95 %: " in answer


def test_what_differs_is_listed_with_its_effect() -> None:
    assert "noted     operator: not entered before, another after" in comparison.as_text(*change(), "mm").rows


def test_each_side_that_was_decided_says_how() -> None:
    assert comparison.as_text(*change(), "mm").rows[-1] == "own.mcap: over the entered limit."


def test_another_preload_leaves_no_change_to_claim() -> None:
    after = indexed_sweep(MOUNT, name="after.mcap", **FACE | {"preload": "set"})
    found = compare(own().result, after.result)
    lines = layout(comparison.as_text(own(), after, found, "mm")).splitlines()
    assert lines[0] == "Not comparable: preload. No before and after can be claimed, and no change is given."
    assert lines[2].startswith("Do this: ")
    assert comparison.as_json(own(), after, found)["change_first_mm"] is None
