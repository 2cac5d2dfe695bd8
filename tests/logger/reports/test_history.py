"""What history says of a turn: how its recording ended, what was decided, by which numerics, from which mark."""

from typing import Any

import pytest
from example_results import history_row as row

from logger.reports.history import ADD, as_json, as_text

LIMIT = {"limit": "0.050 mm"}


def line(**changes: Any) -> str:
    return as_text([row(**changes)], "kept.db", "mm").rows[0]


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"state": "over"}, "over the entered limit"),
        ({"state": None, "setup": {}}, "no limit entered"),
        ({"state": None, "setup": LIMIT}, "no decision"),
        ({"state": None, "ended": "interrupted"}, "interrupted"),
        ({"state": None, "ended": "running", "setup": {}}, "not finished"),
        ({"state": "within", "ended": "interrupted"}, "within the entered limit"),
    ],
)
def test_nothing_decided_has_its_own_words_for_each_reason(changes: dict[str, Any], words: str) -> None:
    assert line(**changes).endswith(words)


def test_how_to_add_what_is_not_finished_is_said_where_there_is_such_a_turn() -> None:
    running = as_text([row(ended="running", state=None)], "kept.db", "mm")
    assert ADD in running.sections[0].notes
    assert ADD not in as_text([row()], "kept.db", "mm").sections[0].notes


def test_turns_of_one_mark_have_one_number_and_others_another() -> None:
    rows = as_text([row(1), row(2), row(3, mark="other"), row(4, mark=None)], "kept.db", "mm").rows
    assert [text.split("  mark ")[1].split()[0] for text in rows] == ["1", "1", "2", "-"]


def test_a_turn_of_before_numerics_were_counted_says_so() -> None:
    assert "numerics 2" in line()
    assert "numerics -" in line(numerics=None)


def test_the_object_carries_ending_numerics_and_mark() -> None:
    (turn,) = as_json([row()])["turns"]
    assert (turn["ended"], turn["numerics"], turn["mark"]) == ("closed", 2, "51ab0502/00000007 part count 0")
