"""Marks, screws and the 20-second check count only while the part stands, told from its counts."""

from dataclasses import replace
from datetime import date
from pathlib import Path

import numpy as np
import pytest
from hands import seat_by_hand
from live_values import live_state
from screens import Seat

from analysis.capture.events import CheckDone, MarkTouched
from analysis.setup.choices import MarkSide
from logger.decoding.standing import STANDS_S, counts_moved, stands
from logger.live.drawing.display_options import DisplayOptions
from logger.live.drawing.rows import plain
from logger.live.pages.turning import turn_row
from logger.live.state.messages import ShowText, TouchMark
from logger.live.state.update import update
from logger.live.state.view import Moment
from logger.live.state.view_builder import view_of

PER_TURN = 2400.0
SCREWS = {"screws": "0 120 240"}


def recorded(seat: Seat, kind: type) -> list[object]:
    """Return the events of one kind in the recording."""
    return [one[0] for one in seat.console.runtime.session._events if isinstance(one[0], kind)]


def shown(seat: Seat) -> str:
    return " ".join(seat.text().split())


# --- the function ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("per_turn", "moved", "stood"),
    [
        (2400.0, 2.0, True),  # 0.3 deg
        (2400.0, 2.1, False),
        (100.0, 1.0, True),  # one count is 3.6 deg
        (100.0, 2.0, False),
        (0.0, 2.0, False),  # no encoder is known, and yet something counts
        (0.0, 0.0, None),
        (2400.0, None, None),
    ],
)
def test_a_part_stands_within_the_larger_of_three_tenths_of_a_degree_and_one_count(
    per_turn: float, moved: float | None, stood: bool | None
) -> None:
    assert stands(moved, per_turn) is stood


def test_only_the_newest_half_second_counts_and_to_and_fro_is_moving() -> None:
    t_s = np.arange(0.0, 2.0, 0.01)
    stopped = np.where(t_s < 2.0 - STANDS_S - 0.02, 1000.0 * t_s, 1480.0)
    assert counts_moved(t_s, stopped) == 0.0
    assert counts_moved(t_s, 5.0 * np.sin(20.0 * t_s)) == pytest.approx(10.0, rel=0.02)
    assert counts_moved(t_s[:40], stopped[:40]) is None


def test_a_gauge_of_two_values_a_second_is_looked_at_over_its_last_two() -> None:
    assert counts_moved([0.0, 0.6, 1.2], [0.0, 50.0, 50.0]) == 0.0
    assert counts_moved([0.0, 0.6, 1.2], [0.0, 50.0, 90.0]) == 40.0


# --- a mark ------------------------------------------------------------------------------------------


@pytest.mark.slow
@pytest.mark.parametrize("seconds", [2.0, 5.3, 7.9, 11.2])
def test_a_mark_touched_while_it_turns_is_not_taken_and_said(tmp_path: Path, seconds: float) -> None:
    hand, seat = seat_by_hand(tmp_path)
    hand.rpm = 9.0
    seat.go(seconds)
    seat.press("m")
    assert recorded(seat, MarkTouched) == []
    assert "it turns: stand the mark under the tip, then M" in shown(seat)
    seat.close()


def test_a_mark_touched_standing_is_taken(tmp_path: Path) -> None:
    hand, seat = seat_by_hand(tmp_path)
    hand.turn(seat, 0.3)
    seat.press("m")
    assert len(recorded(seat, MarkTouched)) == 1
    assert seat.console.runtime.state.sweep.marked
    seat.close()


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"counts_moved": 2.1}, "it turns: stand the mark under the tip, then M"),
        ({"counts_moved": None}, "it has not stood for half a second yet"),
        ({"new_ns": -(10**10)}, "no reading comes"),
    ],
)
def test_a_mark_needs_a_part_that_stands_and_a_gauge_that_speaks(
    changes: dict[str, object], words: str
) -> None:
    state = live_state()
    state = replace(state, reading=replace(state.reading, **changes))  # type: ignore[arg-type]
    (said,) = update(state, TouchMark(MarkSide.PART))[1]
    assert isinstance(said, ShowText)
    assert said.words.startswith(words)


# --- after a restart ---------------------------------------------------------------------------------


@pytest.mark.slow
def test_after_a_restart_the_speed_is_known_and_space_standing_is_the_mark(tmp_path: Path) -> None:
    hand, seat = seat_by_hand(tmp_path, fault="restart")
    for _ in range(600):
        seat.go(0.1, analyse=False)
        if seat.console.runtime.state.sweep.broken:
            break
    seat.go(3.0)
    rpm = seat.console.runtime.view().rpm
    assert rpm == pytest.approx(8.0, rel=0.05)
    assert " 0.0 rpm" not in seat.text()
    seat.press("space")
    assert recorded(seat, MarkTouched) == []
    assert "it turns" in shown(seat)
    hand.rpm = 0.0
    seat.go(1.5)
    seat.press("space")
    assert len(recorded(seat, MarkTouched)) == 1
    hand.turn(seat, 1.1)
    assert seat.console.runtime.view().last is not None
    seat.close()


def test_where_nothing_tells_the_speed_it_is_not_known_and_never_nought() -> None:
    state = live_state()
    reading = replace(state.reading, counts_per_s=None, speed_rad_s=None)
    assert state.rpm == 0.0
    unknown = replace(state, reading=reading)
    assert unknown.rpm is None
    row = turn_row(view_of(unknown, Moment(0.0, date(2026, 1, 5))), DisplayOptions())
    assert plain(row).endswith("speed not known")  # and not "of at most", which no row has room for


# --- a screw -----------------------------------------------------------------------------------------


@pytest.mark.slow
def test_a_screw_counts_only_standing_and_at_it(tmp_path: Path) -> None:
    hand, seat = seat_by_hand(tmp_path, "telescope-worm/as-found", **SCREWS)
    hand.turn(seat, 2.55)
    seat.press("s", "space")
    run = seat.console.controllers["screws"]._run  # type: ignore[attr-defined]
    assert run is not None
    assert run.start_mm is None
    assert "the tip is not at screw 1" in shown(seat)
    hand.rpm = 8.0
    seat.go(1.0)
    seat.press("space")
    assert run.start_mm is None
    assert "it turns: stand screw 1 under the tip" in shown(seat)
    hand.rpm = 0.0
    crayon = seat.console.controllers["screws"]._finder._stop_at_deg / 360.0  # type: ignore[attr-defined]
    hand.turn(seat, (crayon - hand.turns) % 1.0)
    seat.press("space")
    assert run.start_mm is not None
    seat.close()


# --- the 20-second check -----------------------------------------------------------------------------


@pytest.mark.slow
def test_the_check_judges_nothing_while_it_turns(tmp_path: Path) -> None:
    hand, seat = seat_by_hand(tmp_path)
    hand.rpm = 8.0
    seat.go(1.0)
    seat.press("2", "up", "up", "space")
    for _ in range(6):
        seat.press("space")
        assert "it turns: the check needs a part that stands" in shown(seat)
        seat.go(1.5, analyse=False)
    assert recorded(seat, CheckDone) == []
    seat.close()


@pytest.mark.slow
def test_a_turn_in_the_four_still_seconds_begins_them_anew(tmp_path: Path) -> None:
    hand, seat = seat_by_hand(tmp_path)
    seat.press("2", "up", "up", "space", "space")
    seat.go(1.0)
    hand.turn(seat, 0.2)
    seat.go(4.0)
    assert recorded(seat, CheckDone) == []
    seat.press("space")
    seat.go(4.5)
    (still,) = recorded(seat, CheckDone)
    assert (still.name, still.state) == ("still", "clear")  # type: ignore[attr-defined]
    seat.close()


@pytest.mark.slow
def test_what_nobody_did_is_not_judged(tmp_path: Path) -> None:
    _, seat = seat_by_hand(tmp_path)
    seat.press("2", "up", "up", "space", "space")
    seat.go(4.5)
    seat.press("space", "space", "space")
    done = recorded(seat, CheckDone)
    states = [(one.name, one.state, one.text) for one in done]  # type: ignore[attr-defined]
    assert states[1:3] == [("tap", "doubtful", "no tap seen"), ("lift", "doubtful", "no lift seen")]
    assert states[3][:2] == ("sense", "doubtful")
    assert "no push seen" in states[3][2]
    seat.close()


@pytest.mark.slow
def test_a_mark_taken_back_shows_turns_tir_and_answer_as_before_within_a_second(tmp_path: Path) -> None:
    hand, seat = seat_by_hand(tmp_path)
    seat.press("m")
    hand.turn(seat, 3.2)
    seat.go(2.0)
    before, page = seat.console.runtime.state, seat.text(120, 40)
    assert before.analysis is not None
    assert "turn 3" in page
    seat.press("m")
    anew = seat.console.runtime.state
    assert (anew.sweep.turns, anew.analysis) == ((), None)
    seat.press_twice("u")
    seat.go(0.4)
    back = seat.console.runtime.state
    assert back.sweep.turns == before.sweep.turns
    assert back.board.zero_known
    assert back.analysis is not None
    assert back.analysis.result is not None
    assert before.analysis.result is not None
    assert back.analysis.result.pooled.tir_fit.value == pytest.approx(
        before.analysis.result.pooled.tir_fit.value
    )
    assert back.analysis.result.decision == before.analysis.result.decision
    for kept in ("TIR", "limit 0.050"):
        now, then = (
            [line[line.index(kept) :] for line in text.splitlines() if kept in line]
            for text in (seat.text(120, 40), page)
        )
        assert now == then
    hand.turn(seat, 1.0)
    assert len(seat.console.runtime.state.sweep.turns) == len(before.sweep.turns) + 1
    seat.close()
