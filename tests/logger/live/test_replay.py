"""Replay on the screen: pause, a little further, speed, the start of any turn; the numbers of ``sweep``."""

import re
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from places import RECORDINGS
from screens import Seat, recording_seat

from analysis.errors import BadInput
from logger.live.state.replay_control import turns_recorded
from logger.live.state.runtime import LiveRuntime

RECORDING = RECORDINGS / "wind-pump-as-found" / "recording.mcap"


@pytest.fixture
def seat(tmp_path: Path) -> Iterator[Seat]:
    copy = tmp_path / "copy.mcap"
    shutil.copy(RECORDING, copy)
    made = recording_seat(copy, tmp_path, follow=False)
    replay = made.live_session.replay
    assert replay is not None
    replay._source._clock = made.clock
    replay._source._wait = lambda s: None
    replay._source._looked_s = made.clock()
    replay.recorded = turns_recorded(copy)
    yield made
    made.console.runtime.worker._greeting.farewell()


def test_a_replay_takes_as_long_as_life(seat: Seat) -> None:
    seat.go(3.0)
    view = seat.console.view()
    assert view.replaying is not None
    assert 2.5 < view.replaying.at_s < 3.5
    assert "REPLAY 0:02 of 0:39" in seat.text()
    assert seat.text().splitlines()[0].rstrip().endswith(" x1")


def test_a_paused_replay_stands_and_steps(seat: Seat) -> None:
    seat.go(2.0)
    seat.press("p")
    before = seat.console.view().replaying
    seat.go(2.0)
    after = seat.console.view().replaying
    assert before is not None
    assert after is not None
    assert (after.paused, after.at_s) == (True, before.at_s)
    seat.press(".")
    further = seat.console.view().replaying
    assert further is not None
    assert 0.05 < further.at_s - before.at_s < 0.2


def test_a_paused_replay_shows_no_dashes(seat: Seat) -> None:
    seat.go(2.0)
    seat.press("p")
    seat.go(5.0)
    assert seat.console.runtime.view().live


@pytest.mark.parametrize(("key", "speed"), [("+", 2.0), ("-", 0.5)])
def test_the_speed_is_doubled_and_halved(seat: Seat, key: str, speed: float) -> None:
    seat.go(0.2)
    seat.press(key)
    view = seat.console.view()
    assert view.replaying is not None
    assert view.replaying.speed == speed


def test_every_turn_of_the_recording_can_be_jumped_to(seat: Seat) -> None:
    replay = seat.live_session.replay
    assert replay is not None
    assert replay.turns == 5
    assert sorted(replay.recorded.starts_ns) == list(replay.recorded.starts_ns)


def test_a_turn_that_is_not_there_is_told(seat: Seat) -> None:
    seat.go(0.2)
    seat.press("j")
    prompt = seat.console.prompt
    assert prompt is not None
    with pytest.raises(BadInput, match="has turns 1 to 5"):
        prompt.take("9")


def test_nothing_is_kept_of_what_is_done_in_a_replay(seat: Seat) -> None:
    before = Path(seat.console.runtime.source.name).read_bytes()
    seat.go(0.5)
    stood = seat.console.view()
    seat.press("z", "m", "a", "c")
    assert "a replay: it counts as it was recorded" in seat.text()
    view = seat.console.view()
    assert (view.zero_mm, view.marked) == (0.0, stood.marked)
    assert Path(seat.console.runtime.source.name).read_bytes() == before


def test_the_footer_offers_what_a_replay_does(seat: Seat) -> None:
    seat.go(2.0)
    text = seat.text().splitlines()
    assert (
        text[23].rstrip() == " SPACE pause  <- -> turn  . on  - + speed  J jump  Q end                 H help"
    )
    assert re.match(r"  turns  ━*1?━*●┈+2┈+3┈+4┈+5┈+$", text[22].rstrip())
    seat.press("space")
    replaying = seat.console.view().replaying
    assert replaying is not None
    assert replaying.paused
    assert " SPACE go on " in seat.text()


@pytest.mark.usefixtures("by_hand")
def test_arrows_lead_to_the_turn_after_and_before(seat: Seat) -> None:
    seat.go(0.3)
    seat.press("space")
    turns = []
    for key in ("right", "right", "left"):
        seat.press(key)
        replaying = seat.console.view().replaying
        assert replaying is not None
        turns.append(replaying.turn)
    assert turns == [2, 3, 2]


@pytest.fixture
def by_hand(monkeypatch: pytest.MonkeyPatch) -> None:
    """No thread reads: the test does."""
    monkeypatch.setattr(LiveRuntime, "start", lambda self: None)


@pytest.mark.usefixtures("by_hand")
def test_a_jump_stands_at_the_start_of_the_turn_and_goes_on_from_there(seat: Seat) -> None:
    seat.go(0.3)
    seat.press("p", "j")
    seat.enter("3")
    replay = seat.live_session.replay
    assert replay is not None
    view = seat.console.view()
    assert view.replaying is not None
    expected = (replay.recorded.starts_ns[2] - replay.first_ns) * 1e-9
    assert view.replaying.at_s == pytest.approx(expected, abs=0.2)  # a piece of the recording is 20 ms
    assert view.replaying.paused
    replay._source._clock = seat.clock
    replay._source._wait = lambda s: None
    replay._source._looked_s = seat.clock()
    before = len(seat.console.runtime.state.sweep.turns)
    seat.press("p")
    seat.go(9.0)  # a turn takes some 8 s
    assert len(seat.console.runtime.state.sweep.turns) > before


@pytest.mark.usefixtures("by_hand")
def test_a_jump_back_is_possible(seat: Seat) -> None:
    seat.go(0.3)
    for turn in ("4", "1"):
        seat.press("j")
        seat.enter(turn)
    replay = seat.live_session.replay
    assert replay is not None
    at_s = replay.position(seat.console.runtime.session_tap.last_heard_ns).at_s
    assert at_s == pytest.approx((replay.recorded.starts_ns[0] - replay.first_ns) * 1e-9, abs=0.5)


def to_the_end(seat: Seat) -> None:
    """Replay as fast as it goes."""
    seat.press(*["+"] * 6)
    for _ in range(4000):
        seat.go(0.05, analyse=False)
        if seat.console.runtime.source.at_end:
            break
    seat.console.runtime.worker._run()
    seat.analyse()
    seat.console.tick()


def test_the_whole_replay_gives_the_numbers_of_sweep_and_they_stay(seat: Seat) -> None:
    from analysis.sweep.pipeline import analyse
    from logger.inputs.loading import load_sweep

    to_the_end(seat)
    analysis = seat.console.runtime.state.analysis
    assert analysis is not None
    assert analysis.result is not None
    again = analyse(load_sweep(str(RECORDING), {}).capture)
    mine, its = analysis.result.pooled, again.pooled
    # The same code on the same samples: nothing but the order of sums may differ.
    assert mine.tir_fit.value == pytest.approx(its.tir_fit.value, rel=1e-9)
    assert mine.high_side.value == pytest.approx(its.high_side.value, rel=1e-9)
    text = seat.text()
    assert "the recording has ended" in text
    assert "TIR   0.1" in text


def test_compare_numbers_and_find_work_in_a_replay(seat: Seat) -> None:
    to_the_end(seat)
    seat.press("6")
    assert "TIR of the fitted curve" in seat.text()
    seat.press("f")
    assert "high point" in seat.text()
    seat.press("4")
    assert "4 Compare" in seat.text()


def test_a_set_up_changed_in_a_replay_is_not_kept(seat: Seat, tmp_path: Path) -> None:
    seat.go(0.3)
    seat.press("2", "down", "down", "right")
    assert "a replay: not kept" in seat.text()
    assert not (tmp_path / "config" / "setups").exists()
