"""A recording as a source: all of it, in order, at any speed, or as it grows."""

import pytest
from small_recordings import RECORDING_ID, SETUP, STARTED, bench_items, host, put, write

from analysis.errors import RecordingError
from logger.recording import RecordingReader, RecordingWriter
from logger.sources.replay import BATCH, TICK_S, FollowSource, ReplaySource
from logger.stream import Item, LinkBytes


class Clock:
    """Seconds that pass only in a wait."""

    def __init__(self) -> None:
        self.s = 50.0
        self.waits: list[float] = []

    def __call__(self) -> float:
        return self.s

    def wait(self, seconds: float) -> None:
        self.waits.append(seconds)
        self.s += seconds


def _drain(source: ReplaySource | FollowSource) -> list[Item]:
    items: list[Item] = []
    while not source.at_end:
        items += source.read(0)
    return items


@pytest.fixture
def reader(tmp_path) -> RecordingReader:
    return RecordingReader(write(tmp_path / "a.mcap", bench_items()))


def test_everything_comes_in_order(reader):
    assert _drain(ReplaySource(reader)) == bench_items()


def test_it_is_at_its_end_only_after_the_last_item(reader):
    source = ReplaySource(reader)
    before = source.at_end
    _drain(source)
    assert (before, source.at_end) == (False, True)


def test_an_empty_recording_is_at_its_end_at_once(tmp_path):
    assert ReplaySource(RecordingReader(write(tmp_path / "a.mcap", []))).at_end


def test_one_read_hands_on_no_more_than_a_batch(tmp_path):
    items = [LinkBytes(host(25 * k), b"x") for k in range(BATCH + 10)]
    source = ReplaySource(RecordingReader(write(tmp_path / "a.mcap", items)))
    assert [len(source.read(0)) for _ in range(2)] == [BATCH, 10]


def test_its_clock_is_the_recordings(reader):
    source = ReplaySource(reader)
    _drain(source)
    assert source.now() == bench_items()[-1].host


def test_at_the_speed_of_life_items_come_when_they_came(reader):
    clock = Clock()
    source = ReplaySource(reader, speed=1, clock=clock, wait=clock.wait)
    came_s: list[float] = []
    while not source.at_end:
        came_s += [clock.s - 50 for _ in source.read(1)]
    wanted_s = [(item.host.monotonic_ns - host(0).monotonic_ns) / 1e9 for item in bench_items()]
    assert came_s == pytest.approx(wanted_s, abs=TICK_S)  # the shortest wait


def test_at_twice_the_speed_it_takes_half_as_long(reader):
    clock = Clock()
    source = ReplaySource(reader, speed=2, clock=clock, wait=clock.wait)
    while not source.at_end:
        source.read(1)
    lasted_s = (bench_items()[-1].host.monotonic_ns - host(0).monotonic_ns) / 1e9
    assert clock.s - 50 == pytest.approx(lasted_s / 2, abs=TICK_S)  # as above


def test_a_wait_is_no_longer_than_was_asked(reader):
    clock = Clock()
    source = ReplaySource(reader, speed=0.001, clock=clock, wait=clock.wait)
    source.read(0.1)
    source.read(0.1)
    assert clock.waits == [0.1]


def test_a_paused_replay_gives_nothing_after_its_first_item(reader):
    clock = Clock()
    source = ReplaySource(reader, speed=0, clock=clock, wait=clock.wait)
    assert [len(source.read(1)) for _ in range(3)] == [1, 0, 0]


def test_a_step_gives_one_item_of_a_paused_replay(reader):
    clock = Clock()
    source = ReplaySource(reader, speed=0, clock=clock, wait=clock.wait)
    assert source.step() + source.step() == bench_items()[:2]


def test_the_speed_may_change_on_the_way(reader):
    clock = Clock()
    source = ReplaySource(reader, speed=0, clock=clock, wait=clock.wait)
    first = source.read(1)
    source.speed = float("inf")
    assert first + _drain(source) == bench_items()


def test_skipping_makes_everything_before_due_at_once(reader):
    clock = Clock()
    source = ReplaySource(reader, speed=0, clock=clock, wait=clock.wait)
    source.skip_to(host(250).monotonic_ns)
    skipped = source.read(1)
    assert skipped == [item for item in bench_items() if item.host <= host(250)]


def test_a_replay_cannot_be_talked_to(reader):
    source = ReplaySource(reader)
    source.write(b"start\n")
    assert _drain(source) == bench_items()


def test_a_closed_replay_is_at_its_end(reader):
    source = ReplaySource(reader)
    source.read(0)
    source.close()
    source.close()
    assert source.at_end


def test_a_growing_recording_is_followed_to_its_closing_records(tmp_path):
    clock = Clock()
    writer = RecordingWriter(
        tmp_path / "a.mcap",
        setup=SETUP,
        recording_id=RECORDING_ID,
        started=STARTED,
        version="0.1.0",
        clock=lambda: host(0),
        fsync=lambda _: None,
    )
    source = FollowSource(RecordingReader(writer.path), wait=clock.wait)
    seen: list[Item] = []
    for item in bench_items():
        put(writer, [item])
        writer.flush()
        seen += source.read(0)
        assert not source.at_end
    assert source.read(1) == []
    writer.close()
    seen += _drain(source)
    assert seen == bench_items()


def test_following_waits_when_nothing_new_was_written(tmp_path):
    clock = Clock()
    source = FollowSource(RecordingReader(write(tmp_path / "a.mcap", [], close=False)), wait=clock.wait)
    source.read(5)
    source.read(5)
    assert clock.waits == [0.02]


def test_a_followed_file_that_is_taken_away_is_told(tmp_path):
    path = write(tmp_path / "a.mcap", bench_items(), close=False)
    source = FollowSource(RecordingReader(path))
    path.unlink()
    with pytest.raises(RecordingError, match="no file"):
        source.read(0)


def test_a_follower_that_was_closed_looks_no_more(reader):
    source = FollowSource(reader)
    source.close()
    assert (source.at_end, source.read(0)) == (True, [])
