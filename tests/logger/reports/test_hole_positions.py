"""The text of the positions of a bolted-on part: the best first, then every one."""

from dataclasses import replace

from example_results import own, positions

from logger.reports import hole_positions
from logger.reports.phrases import ALONE


def test_the_best_hole_is_the_answer_with_the_worst_beside_it() -> None:
    report = hole_positions.as_text(positions(), [own()], ["taken as plane"], "mm")
    assert report.answer.startswith("Best position: hole ")
    assert report.trust[-1].do == "bolt it on there, sweep it, and see whether it reads so"
    assert len(report.sections[0].rows) == 1 + 3
    assert report.sections[0].notes == ("Note: taken as plane.", ALONE)


def test_where_no_best_one_is_told_all_that_can_be_are_named_and_the_sweep_that_decides() -> None:
    found = positions()
    first, second = (replace(one, tir=None) for one in found.positions[:2])
    report = hole_positions.as_text(replace(found, best=None, between=(first, second)), [own()], [], "mm")
    assert report.answer == "Best position not decided: hole 1 or 2 can be the least."
    assert report.trust[-1].do.startswith("one more assembled sweep, at hole 1")
