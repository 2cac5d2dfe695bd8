"""A board that says in the middle of a sweep that its values scale otherwise, as in/mm on a gauge makes it."""

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from boards import PER_TURN, ScriptedBoard, counts, host, pieces, wobble
from running import inside, move_in
from small_recordings import write

from analysis.capture import Capture, cut_turns
from analysis.results import CheckState
from analysis.sweep import analyse
from logger.session.session import Session
from logger.stream import LinkBytes

LIMIT = {"limit": "0.05 mm"}
TURNS = 6


def board_that_says(*, at_turn: float, value: Callable[[int], int] = wobble, **channel: int) -> ScriptedBoard:
    """Return a board of a 0.100 mm wobble that describes its channel again after so many turns."""
    board = ScriptedBoard()
    board.greet()
    board.describe()
    row = counts(TURNS, per_turn=120)
    before = round(at_turn * 120)
    board.turn(row[:before], value=wobble)
    board.describe(**channel)
    board.turn(row[before:], first_us=20_000 * before, value=value)
    return board


def session_of(board: ScriptedBoard, *, live: bool = True, setup: dict[str, str] | None = None) -> Session:
    session = Session({**LIMIT, **(setup or {})}, live=live)
    for item in pieces(board.take(), [200]):
        session.take(item)
    session.flush()
    return session


def unit_of(capture: Capture) -> tuple[CheckState, str]:
    (found,) = (check for check in analyse(capture).checks if check.name == "unit")
    return found.state, found.text


OTHER_SCALES: dict[str, dict[str, int]] = {
    "a tenth": {"scale_nm": 100},
    "inches": {"scale_nm": 25_400},
    "the other sign": {"sign": 1},
    "no length any more": {"kind": 3},
}


@pytest.mark.parametrize("live", [True, False])
@pytest.mark.parametrize("at_turn", [1.6, 3.0, 5.5])
@pytest.mark.parametrize("channel", OTHER_SCALES.values(), ids=OTHER_SCALES)
def test_another_scale_decides_nothing_and_is_told_by_the_unit(
    channel: dict[str, int], at_turn: float, live: bool
):
    result = analyse(session_of(board_that_says(at_turn=at_turn, **channel), live=live).capture())
    assert result.decision is not None
    assert result.decision.state == "undecided"
    (unit,) = (check for check in result.checks if check.name == "unit")
    assert unit.state is CheckState.REFUSED
    assert "the unit of the readings changed" in unit.text


@pytest.mark.parametrize("at_turn", [0.6, 3.0, 5.5])
def test_every_reading_keeps_the_scale_it_was_taken_by(at_turn: float):
    # The board goes on with the same surface in tenths: every reading is the same length as without.
    board = board_that_says(at_turn=at_turn, scale_nm=100, value=lambda count: 10 * wobble(count))
    changed = session_of(board).capture().samples
    plain = ScriptedBoard()
    plain.greet()
    plain.describe()
    plain.turn(counts(TURNS, per_turn=120), value=wobble)
    same = session_of(plain).capture().samples
    np.testing.assert_allclose(changed.reading_mm, same.reading_mm, atol=1e-12)


def test_no_turn_spans_two_scales():
    capture = session_of(board_that_says(at_turn=2.5, scale_nm=100)).capture()
    step = np.flatnonzero(np.diff(capture.samples.segment))
    assert step.tolist() == [round(2.5 * 120) - 1]
    spans = [turn.where for turn in cut_turns(capture.samples)]
    assert len(spans) == 2 + 3
    assert all(len(set(capture.samples.segment[where])) == 1 for where in spans)


def test_readings_while_it_measured_no_length_are_left_out():
    capture = session_of(board_that_says(at_turn=3.0, kind=3)).capture()
    assert len(capture.samples) == 3 * 120
    assert np.isfinite(capture.samples.reading_mm).all()


def test_the_same_said_again_is_no_change():
    capture = session_of(board_that_says(at_turn=3.0, scale_nm=1000)).capture()
    assert unit_of(capture)[0] is CheckState.CLEAR
    assert set(capture.samples.segment) == {0}


def test_what_was_said_before_the_first_reading_counts_for_nothing():
    capture = session_of(board_that_says(at_turn=0.0, scale_nm=100)).capture()
    assert unit_of(capture)[0] is CheckState.CLEAR
    assert float(np.ptp(capture.samples.reading_mm)) == pytest.approx(0.010)


def test_another_channel_s_scale_is_none_of_this_one_s_business():
    capture = session_of(board_that_says(at_turn=3.0, channel=1, scale_nm=100)).capture()
    assert unit_of(capture)[0] is CheckState.CLEAR


@pytest.mark.parametrize("source", ["index", "steady"])
def test_it_is_told_where_the_angle_comes_by_time_too(source: str):
    board = ScriptedBoard(per_turn=0)
    board.greet()
    board.describe()
    row = counts(TURNS, per_turn=120)
    for k, count in enumerate(row):
        if k == 300:
            board.describe(scale_nm=100)
        if count % PER_TURN == 0:
            board.index(20_000 * k, 0, 1 + int(count) // PER_TURN)
        board.sample(20_000 * k, 0, wobble(int(count)))
    capture = session_of(board, setup={"angle_source": source}).capture()
    assert unit_of(capture)[0] is CheckState.REFUSED


def test_the_newest_reading_has_the_newest_scale():
    session = session_of(board_that_says(at_turn=3.0, scale_nm=100))
    # The last reading stands at count 0 of the turn: the high place of the wobble.
    assert session.reading_mm == pytest.approx(0.005)
    found = session.readings(TURNS * 120 - 1)
    assert found is not None
    assert found.reading_mm[-1] == pytest.approx(0.005)


def test_a_board_that_restarts_under_another_scale_is_told_too():
    board = ScriptedBoard()
    board.greet()
    board.describe()
    board.turn(counts(3, per_turn=120), value=wobble)
    board.greet(boot_id=8)
    board.describe(scale_nm=100)
    board.turn(counts(3, per_turn=120), first_us=20_000_000, value=wobble)
    session = Session(LIMIT)
    session.take(LinkBytes(host(0), board.take()))
    assert unit_of(session.capture())[0] is CheckState.REFUSED


@pytest.mark.parametrize("channel", [{"scale_nm": 100}, {"sign": 1}], ids=["a tenth", "the other sign"])
def test_the_command_decides_nothing_of_a_recording_rescaled_half_way(
    channel: dict[str, int],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
):
    # The part is at twice its limit: taken by the newest scale it would lie within.
    items = pieces(board_that_says(at_turn=3.0, **channel).take(), [200])
    write(move_in(tmp_path, monkeypatch) / "rescaled.mcap", items, setup=LIMIT)
    ran = inside(capsys, "sweep", "rescaled.mcap", "--json")
    assert ran.status == 3
    assert ran.result["decision"]["state"] == "undecided"
    (unit,) = (check for check in ran.result["checks"] if check["name"] == "unit")
    assert unit["state"] == "refused"
