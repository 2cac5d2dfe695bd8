"""One recording: where it goes, who it is, and that its file is closed whatever happens."""

from datetime import datetime
from pathlib import Path

import pytest
from boards import host

from analysis.errors import BadInput, LinkError, RecordingError
from logger.acquisition.recorder import (
    Identity,
    Recorder,
    check_out,
    default_path,
    make_folder,
    new_identity,
    seeded_identity,
)
from logger.acquisition.recording_end import Until
from logger.acquisition.worker_messages import BoardStarted, WorkerEnded
from logger.practice.serving.simulated_source import PracticeSource
from logger.recording import RecordingReader
from logger.stream import HostTime, Item, LinkBytes

NOW = datetime(2026, 1, 5, 8, 30, 15)
NEVER = HostTime(1_767_600_000_123_456_789, 5)


def recorder(path: Path, *, turns: int = 1, until: Until | None = None, threaded: bool = False) -> Recorder:
    source = PracticeSource("wind-pump/as-found", turns=turns)
    identity = seeded_identity(source.name, 1, None, source.now())
    return Recorder(
        source, path, setup=source.setup, identity=identity, version="0", until=until, threaded=threaded
    )


# --- names ------------------------------------------------------------------------------------------------


def test_a_recording_is_named_by_date_time_and_part(tmp_path: Path):
    assert default_path(tmp_path, "Bull-gear Flange", NOW).name == "2026-01-05-083015-bull-gear-flange.mcap"


def test_a_recording_of_no_part_is_named_by_date_and_time(tmp_path: Path):
    assert default_path(tmp_path, "", NOW).name == "2026-01-05-083015.mcap"


def test_two_recordings_of_one_second_do_not_share_a_name(tmp_path: Path):
    names = []
    for _ in range(3):
        path = default_path(tmp_path, "disc", NOW)
        path.touch()
        names.append(path.name)
    assert names == [f"2026-01-05-083015-disc{number}.mcap" for number in ("", "-2", "-3")]


@pytest.mark.parametrize(
    "part", ["../../etc/passwd", "/abs", "a\x00b", "..", "\u202egnp", "x" * 300, "C:\\up"]
)
def test_no_name_of_a_part_leaves_the_folder(tmp_path: Path, part: str):
    path = default_path(tmp_path, part, NOW)
    assert path.parent == tmp_path
    path.touch()  # a name that a file can have
    assert path.resolve().parent == tmp_path.resolve()


def test_a_file_that_exists_is_refused(tmp_path: Path):
    (tmp_path / "a.mcap").touch()
    with pytest.raises(BadInput, match="exists already: recordings are never overwritten"):
        check_out(tmp_path / "a.mcap")


def test_a_folder_that_is_not_there_is_refused(tmp_path: Path):
    with pytest.raises(BadInput, match="does not exist: make it, or name another file"):
        check_out(tmp_path / "none" / "a.mcap")


def test_the_data_folder_is_made(tmp_path: Path):
    make_folder(tmp_path / "a" / "b")
    assert (tmp_path / "a" / "b").is_dir()


def test_a_data_folder_that_cannot_be_made_is_refused(tmp_path: Path):
    (tmp_path / "a").touch()
    with pytest.raises(RecordingError, match="cannot be made: Not a directory; name another"):
        make_folder(tmp_path / "a" / "b")


# --- identity ---------------------------------------------------------------------------------------------


def test_every_recording_is_another():
    assert new_identity(NEVER).recording_id != new_identity(NEVER).recording_id


def test_it_says_when_it_began_in_utc():
    assert new_identity(NEVER).started == "2026-01-05T08:00:00.123Z"


def test_the_identity_of_a_written_bench_comes_from_its_seed():
    assert seeded_identity("wind-pump", 1, None, NEVER) == seeded_identity("wind-pump", 1, None, NEVER)


@pytest.mark.parametrize("other", [("wind-pump", 2, None), ("disc", 1, None), ("wind-pump", 1, "drop")])
def test_another_name_seed_or_fault_is_another_recording(other: tuple[str, int, str | None]):
    assert seeded_identity(*other, NEVER) != seeded_identity("wind-pump", 1, None, NEVER)


@pytest.mark.parametrize("identity", [new_identity(NEVER), seeded_identity("wind-pump", 1, None, NEVER)])
def test_an_identity_is_a_random_uuid_by_its_form(identity: Identity):
    import uuid

    assert uuid.UUID(identity.recording_id).version == 4


# --- a recording from beginning to end --------------------------------------------------------------------


def test_what_happens_is_handed_on_and_the_end_last(tmp_path: Path):
    one = recorder(tmp_path / "a.mcap")
    messages = list(one.messages())
    one.close()
    assert isinstance(messages[0], BoardStarted)
    assert messages[-1] == WorkerEnded(None, 1)


@pytest.mark.parametrize("threaded", [False, True], ids=["here", "in a thread"])
def test_a_recording_is_closed_and_tells_what_there_is(tmp_path: Path, threaded: bool):
    one = recorder(tmp_path / "a.mcap", threaded=threaded)
    for _ in one.messages():
        pass
    recorded = one.close()
    reader = RecordingReader(tmp_path / "a.mcap")
    data = b"".join(item.data for item in reader.items() if isinstance(item, LinkBytes))
    assert (recorded.turns, recorded.link_bytes, recorded.error) == (1, len(data), None)
    assert reader.closed
    assert reader.origin.recording_id == recorded.identity.recording_id


def test_stopped_on_the_way_it_is_closed_all_the_same(tmp_path: Path):
    one = recorder(tmp_path / "a.mcap", turns=5, until=Until(seconds=1.0))
    messages = one.messages()
    next(messages)
    one.stop()
    assert one.close().error is None
    reader = RecordingReader(tmp_path / "a.mcap")
    list(reader.items())
    assert reader.closed


class Gone:
    """A source whose board says a little and is gone for good."""

    name = "gone"
    at_end = False

    def __init__(self) -> None:
        self._said = False

    def now(self) -> HostTime:
        return host(0)

    def read(self, timeout_s: float) -> list[Item]:
        if self._said:
            raise LinkError("gone for good")
        self._said = True
        return [LinkBytes(host(0), b"a little")]

    def write(self, data: bytes) -> None:
        pass

    def close(self) -> None:
        pass


def of_the_gone(path: Path, **more: object) -> Recorder:
    return Recorder(Gone(), path, setup={}, identity=new_identity(NEVER), version="0", **more)  # type: ignore[arg-type]


def test_what_came_before_the_board_was_gone_is_kept(tmp_path: Path):
    one = of_the_gone(tmp_path / "a.mcap")
    list(one.messages())
    recorded = one.close()
    assert str(recorded.error) == "gone for good"
    reader = RecordingReader(tmp_path / "a.mcap")
    assert [item.data for item in reader.items() if isinstance(item, LinkBytes)] == [b"a little"]
    assert reader.closed


def break_down(*_: object) -> None:
    raise ZeroDivisionError("a mistake of ours")


def test_a_mistake_of_ours_is_raised_after_the_file_was_closed(tmp_path: Path):
    one = of_the_gone(tmp_path / "a.mcap", after_item=break_down)
    list(one.messages())
    with pytest.raises(ZeroDivisionError, match="a mistake of ours"):
        one.close()
    reader = RecordingReader(tmp_path / "a.mcap")
    list(reader.items())
    assert reader.closed


def test_the_same_seed_makes_the_same_bytes(tmp_path: Path):
    made = []
    for name in ("a.mcap", "b.mcap"):
        one = recorder(tmp_path / name)
        list(one.messages())
        one.close()
        made.append((tmp_path / name).read_bytes())
    assert made[0] == made[1]
