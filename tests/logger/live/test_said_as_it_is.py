"""What stands on a page is so at this moment: of a restart, of an answer that lags behind, of keys, of places."""

from dataclasses import replace
from pathlib import Path

import pytest
from live_values import live_state
from screens import Seat, practice_seat

from logger.live.drawing.display_options import DisplayOptions
from logger.live.pages.wall import wall
from logger.live.state.state import LinkState
from logger.live.state.view import Moment
from logger.live.state.view_builder import view_of


def until(seat: Seat, words: str, most_s: float = 60.0) -> None:
    """Let time pass until these words stand on the page."""
    for _ in range(round(most_s)):
        seat.go(1.0)
        if words in seat.text():
            return
    pytest.fail(f"{words!r} never came")


def test_after_a_restart_no_count_stands_for_the_mark(tmp_path: Path) -> None:
    seat = practice_seat(tmp_path, fault="restart")
    until(seat, "BROKEN")
    seat.go(5.0)
    assert "BROKEN" in seat.text()
    assert "press M" in seat.text()
    assert "count 0 stands for it" not in seat.text()
    seat.close()


def test_of_a_broken_sweep_no_high_so_far_is_marked(tmp_path: Path) -> None:
    seat = practice_seat(tmp_path, fault="unit-pressed")
    until(seat, "so far")
    until(seat, "BROKEN")
    seat.go(5.0)
    assert "BROKEN" in seat.text()
    assert "so far" not in seat.text()
    seat.close()


def test_an_answer_that_lags_behind_says_so(tmp_path: Path) -> None:
    seat = practice_seat(tmp_path)
    seat.turn(1)
    runtime = seat.console.runtime
    assert "being worked out" not in seat.text()
    while len(runtime.state.sweep.turns) < 3:
        seat.go(0.5, analyse=False)
    assert "The turns since are being worked out." in seat.text().replace("\n  ", " ")
    seat.analyse()
    assert "being worked out" not in seat.text()
    seat.close()


def test_while_a_reading_is_typed_no_letter_is_offered(tmp_path: Path) -> None:
    seat = practice_seat(tmp_path)
    seat.press("t")
    assert " Q quit " in seat.text()
    seat.press("space")
    assert "place 1 of 4" in seat.text()
    last = seat.text().rstrip("\n").splitlines()[-1]
    assert last.split() == ["SPACE", "take", "this", "reading"]
    seat.press("escape")
    assert " Q quit " in seat.text()
    seat.close()


def test_no_spot_of_find_is_cut_at_80(tmp_path: Path) -> None:
    seat = practice_seat(tmp_path)
    seat.turn(1)
    seat.press("f")
    rows = [row.rstrip() for row in seat.text().splitlines()]
    (low,) = [row for row in rows if "low point" in row]
    assert low.endswith(" in")
    assert any("past the part's mark" in row for row in rows)
    seat.close()


def test_the_wall_leaves_a_ports_name_as_it_is_written() -> None:
    state = replace(live_state(), link=LinkState.GONE, name="/dev/ttyUSB0")
    rows = wall(view_of(state, Moment(1.0, None)), DisplayOptions(), 120, 40)  # type: ignore[arg-type]
    text = "\n".join("".join(part for part, _ in row) for row in rows)
    assert "BOARD GONE" in text
    assert "(/dev/ttyUSB0)" in text


def test_the_wall_tells_no_angle_of_a_refused_sweep_in_large_letters(tmp_path: Path) -> None:
    seat = practice_seat(tmp_path, "wind-pump/as-left", fault="lost-counts")
    until(seat, "REFUSED")
    refused = seat.console.runtime.view()
    assert refused.result is not None
    rows = wall(refused, DisplayOptions(ascii_only=True), 200, 50)
    text = ["".join(part for part, _ in row).rstrip() for row in rows]
    large = [row for row in text if "##" in row]
    # The word REFUSED is 54 columns wide; an angle would stand to the right of it.
    assert max(len(row) for row in large[-5:]) < 70
    seat.close()
