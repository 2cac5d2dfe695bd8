"""The text of a tightening order."""

import pytest

from analysis.correction import torque_steps
from logger.reports import torque


@pytest.mark.parametrize(("thread", "words"), [("right", "clockwise"), ("left", "counter-clockwise")])
def test_bolts_are_tightened_by_the_hand_of_their_thread(thread: str, words: str) -> None:
    report = torque.as_text(torque_steps(6, ["20 Nm", "40 Nm"]), thread)
    assert f"tighten {words} ({thread}-hand thread)" in report.answer
    assert [row.split(":")[0] for row in report.rows] == ["20 Nm", "40 Nm"]
