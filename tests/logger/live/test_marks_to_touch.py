"""Which marks a step of a job asks for: those that a remount, another axis or a restart has made void."""

from dataclasses import replace

import pytest
from live_values import live_state

from analysis.setup.choices import MarkSide
from logger.job.steps import BY_KEY
from logger.live.job.marks_to_touch import MarksTouched, marks_after_break, marks_for

PART, ARBOR = MarkSide.PART, MarkSide.ARBOR
HERE = MarksTouched(boots=2, arbor_boot=2, marked=True)
MARKS = [
    ("end-float", {}, HERE, ()),
    ("as-found", {}, HERE, (PART,)),
    ("as-found", {"mark": "index"}, HERE, ()),
    ("as-left", {}, HERE, (PART,)),
    ("as-found", {}, replace(HERE, by_index=True), ()),
    ("arbor", {}, HERE, (ARBOR,)),
    ("mounting", {}, MarksTouched(), (PART, ARBOR)),
    ("mounting", {}, HERE, (PART,)),
    ("mounting", {}, replace(HERE, boots=3), (PART, ARBOR)),
    ("half-before", {}, HERE, (PART,)),
    ("after-cut", {}, HERE, ()),
    ("after-cut", {}, replace(HERE, marked=False), (PART,)),
    ("after-cut", {}, replace(HERE, arbor_boot=None), (PART, ARBOR)),
    ("mounting", {}, replace(HERE, by_index=True), ()),
]


@pytest.mark.parametrize(("step", "setup", "touched", "marks"), MARKS)
def test_a_step_asks_for_the_marks_that_a_remount_another_axis_or_a_restart_has_made_void(
    step: str, setup: dict[str, str], touched: MarksTouched, marks: tuple[MarkSide, ...]
) -> None:
    assert marks_for(BY_KEY[step], live_state(setup=setup).setup, touched) == marks


@pytest.mark.parametrize(
    ("step", "marks"), [("as-found", (PART,)), ("arbor", (ARBOR,)), ("mounting", (PART, ARBOR))]
)
def test_after_a_break_every_mark_of_the_step_is_touched_again(
    step: str, marks: tuple[MarkSide, ...]
) -> None:
    assert marks_after_break(BY_KEY[step]) == marks
