"""Replay on the screen: pause, a little further, speed, the start of any turn; the numbers of ``sweep``."""

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from screens import Seat, recording_seat

from analysis.errors import BadInput
from logger.live.replaying import starts_of_turns

RECORDING = Path(__file__).parents[2] / "recordings" / "wind-pump-as-found" / "recording.mcap"


@pytest.fixture
def seat(tmp_path: Path) -> Iterator[Seat]:
    copy = tmp_path / "copy.mcap"
    shutil.copy(RECORDING, copy)
    made = recording_seat(copy, tmp_path, follow=False)
    replay = made.sitting.replay
    assert replay is not None
    replay._source._clock = made.clock
    replay._source._wait = lambda s: None
    replay._source._looked_s = made.clock()
    replay.starts_ns = starts_of_turns(copy)
    yield made
    made.console.desk.worker._farewell()


def test_a_replay_takes_as_long_as_life(seat: Seat) -> None:
    seat.go(3.0)
    view = seat.console.view()
    assert view.replaying is not None
    assert 2.5 < view.replaying.at_s < 3.5
    assert "REPLAY x1" in seat.text()


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
    stepped = seat.console.view().replaying
    assert stepped is not None
    assert 0.05 < stepped.at_s - before.at_s < 0.2


def test_a_paused_replay_shows_no_dashes(seat: Seat) -> None:
    seat.go(2.0)
    seat.press("p")
    seat.go(5.0)
    assert seat.console.desk.view().live


@pytest.mark.parametrize(("key", "speed"), [("+", 2.0), ("-", 0.5)])
def test_the_speed_is_doubled_and_halved(seat: Seat, key: str, speed: float) -> None:
    seat.go(0.2)
    seat.press(key)
    view = seat.console.view()
    assert view.replaying is not None
    assert view.replaying.speed == speed


def test_every_turn_of_the_recording_can_be_jumped_to(seat: Seat) -> None:
    replay = seat.sitting.replay
    assert replay is not None
    assert replay.turns == 5
    assert sorted(replay.starts_ns) == replay.starts_ns


def test_a_turn_that_is_not_there_is_told(seat: Seat) -> None:
    seat.go(0.2)
    seat.press("j")
    asking = seat.console.asking
    assert asking is not None
    with pytest.raises(BadInput, match="has turns 1 to 5"):
        asking.take("9")


def test_nothing_is_kept_of_what_is_done_in_a_replay(seat: Seat) -> None:
    before = Path(seat.console.desk.source.name).read_bytes()
    seat.go(0.5)
    seat.press("z")
    assert "a replay: not kept" in seat.text()
    assert Path(seat.console.desk.source.name).read_bytes() == before
