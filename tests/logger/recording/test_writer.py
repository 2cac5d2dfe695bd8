"""The writer keeps the layout that is promised, gathers, flushes, and fails in words."""

import json
import resource
import subprocess
import sys
from io import BytesIO
from pathlib import Path

import pytest
from faulty_folders import needs_small_disk, open_folder, small_disk, without_rights
from mcap.records import Channel, Header, Message, Metadata
from mcap.stream_reader import StreamReader
from places import ROOT
from small_recordings import RECORDING_ID, SETUP, STARTED, bench_items, bytes_of, host, put, write

from analysis.capture.event_words import UnknownEvent
from analysis.capture.events import ExtremesCleared, Pushed
from analysis.errors import BadInput, RecordingError
from analysis.setup import setup_crc32
from logger.recording import RecordingWriter, read_items
from logger.stream import HostTime, LinkBytes, RecordedEvent, SetupChange


def _records(path: Path) -> list[object]:
    """Read with the container's own reader, all its checksums on: the outside judge of the layout."""
    return list(StreamReader(BytesIO(path.read_bytes()), validate_crcs=True).records)


def _messages(path: Path, topic: str) -> list[Message]:
    records = _records(path)
    ids = {record.id for record in records if isinstance(record, Channel) and record.topic == topic}
    return [record for record in records if isinstance(record, Message) and record.channel_id in ids]


def _open(path: Path, clock_ms: float = 0, fsync=lambda _: None) -> RecordingWriter:
    return RecordingWriter(
        path,
        setup=SETUP,
        recording_id=RECORDING_ID,
        started=STARTED,
        version="0.1.0",
        clock=lambda: host(clock_ms),
        fsync=fsync,
    )


def test_the_profile_is_fullturn(tmp_path):
    header = _records(write(tmp_path / "a.mcap", bench_items()))[0]
    assert isinstance(header, Header)
    assert header.profile == "fullturn"


def test_topics_and_encodings_are_those_of_the_layout(tmp_path):
    items = [LinkBytes(host(0), b"a\x00"), LinkBytes(host(1), b"1.250 mm\n", link=1)]
    path = write(tmp_path / "a.mcap", items, encodings={1: "lines"})
    channels = {r.topic: r.message_encoding for r in _records(path) if isinstance(r, Channel)}
    assert channels == {"events": "json", "link/0": "cobs-crc16-v1", "link/1": "lines"}


def test_nothing_is_chunked(tmp_path):
    data = write(tmp_path / "a.mcap", bench_items()).read_bytes()
    kinds = {type(r).__name__ for r in StreamReader(BytesIO(data), emit_chunks=True).records}
    assert "Chunk" not in kinds


def test_a_message_has_the_wall_clock_as_log_time_and_the_monotonic_one_as_publish_time(tmp_path):
    path = write(tmp_path / "a.mcap", [RecordedEvent(HostTime(111, 222), ExtremesCleared())])
    (message,) = _messages(path, "events")
    assert (message.log_time, message.publish_time) == (111, 222)


def test_the_origin_says_whence_it_comes(tmp_path):
    path = write(tmp_path / "a.mcap", [])
    (origin,) = (r for r in _records(path) if isinstance(r, Metadata) and r.name == "origin")
    written = {key: value for key, value in origin.metadata.items() if key != "crc32"}
    assert written == {
        "recording_id": RECORDING_ID,
        "started": STARTED,
        "fullturn": "0.1.0",
        "format": "1",
    }


def test_each_set_up_carries_its_checksum(tmp_path):
    second = {"part": "rotor 4", "operator": "Ö."}
    path = write(tmp_path / "a.mcap", [SetupChange(host(5), second)])
    kept = [r.metadata for r in _records(path) if isinstance(r, Metadata) and r.name == "setup"]
    assert kept == [{**SETUP, "crc32": setup_crc32(SETUP)}, {**second, "crc32": setup_crc32(second)}]


def test_reads_within_20_ms_become_one_message(tmp_path):
    items = [LinkBytes(host(ms), bytes([65 + ms])) for ms in (0, 10, 20, 21, 41, 42)]
    messages = _messages(write(tmp_path / "a.mcap", items), "link/0")
    assert [m.data for m in messages] == [b"AKU", b"Vj", b"k"]


def test_a_message_is_dated_by_its_last_byte(tmp_path):
    items = [LinkBytes(host(0), b"a"), LinkBytes(host(15), b"b")]
    (message,) = _messages(write(tmp_path / "a.mcap", items), "link/0")
    assert message.publish_time == host(15).monotonic_ns


def test_no_message_is_longer_than_4_kib(tmp_path):
    data = bytes(range(256)) * 41
    messages = _messages(
        write(tmp_path / "a.mcap", [LinkBytes(host(0), data), LinkBytes(host(1), data)]), "link/0"
    )
    assert max(len(m.data) for m in messages) == 4096
    assert b"".join(m.data for m in messages) == data + data


def test_lines_are_written_read_by_read_for_their_time_is_the_hosts(tmp_path):
    items = [LinkBytes(host(0), b"1.0\n"), LinkBytes(host(5), b"1.1\n")]
    messages = _messages(write(tmp_path / "a.mcap", items, encodings={0: "lines"}), "link/0")
    assert [m.publish_time for m in messages] == [host(0).monotonic_ns, host(5).monotonic_ns]


def test_an_event_stands_after_the_bytes_that_came_before_it(tmp_path):
    items = [LinkBytes(host(0), b"abc"), RecordedEvent(host(1), Pushed()), LinkBytes(host(2), b"def")]
    assert list(read_items(write(tmp_path / "a.mcap", items))) == items


def test_bytes_are_in_the_file_after_flush_while_it_is_still_open(tmp_path):
    with _open(tmp_path / "a.mcap") as writer:
        writer.link_bytes(LinkBytes(host(0), b"seen"))
        writer.flush()
        assert bytes_of(read_items(writer.path)) == b"seen"


def test_poll_writes_what_waited_for_20_ms(tmp_path):
    with _open(tmp_path / "a.mcap", clock_ms=20) as writer:
        writer.link_bytes(LinkBytes(host(0), b"old"))
        writer.poll()
        assert bytes_of(read_items(writer.path)) == b"old"


def test_poll_leaves_what_came_just_now(tmp_path):
    with _open(tmp_path / "a.mcap", clock_ms=19) as writer:
        writer.link_bytes(LinkBytes(host(0), b"new"))
        writer.poll()
        assert bytes_of(read_items(writer.path)) == b""


def test_the_disk_is_waited_for_once_a_second_and_at_the_end(tmp_path):
    waits: list[int] = []
    with _open(tmp_path / "a.mcap", fsync=waits.append) as writer:
        for ms in range(0, 3001, 100):
            writer.event(RecordedEvent(host(ms), ExtremesCleared()))
        assert len(waits) == 3
    assert len(waits) == 4


def test_the_same_items_make_the_same_file(tmp_path):
    first, second = (write(tmp_path / name, bench_items()).read_bytes() for name in ("a.mcap", "b.mcap"))
    assert first == second


def test_a_file_that_exists_is_refused(tmp_path):
    path = tmp_path / "a.mcap"
    path.write_bytes(b"kept")
    with pytest.raises(RecordingError, match="exists already"):
        _open(path)
    assert path.read_bytes() == b"kept"


def test_a_missing_folder_is_named(tmp_path):
    with pytest.raises(RecordingError, match="no folder"):
        _open(tmp_path / "none" / "a.mcap")


def test_an_event_that_is_no_json_is_refused_and_the_recording_goes_on(tmp_path):
    with _open(tmp_path / "a.mcap") as writer:
        with pytest.raises(BadInput, match="cannot be written"):
            writer.event(
                RecordedEvent(host(0), UnknownEvent({"event": "temperature", "celsius": float("nan")}))
            )
        writer.event(RecordedEvent(host(0), UnknownEvent({"event": "temperature", "celsius": 21.5})))
    assert [json.loads(m.data) for m in _messages(writer.path, "events")] == [
        {"event": "temperature", "celsius": 21.5}
    ]


def test_a_set_up_that_is_no_unicode_is_refused_before_anything_is_left_open(tmp_path):
    with pytest.raises(BadInput, match="no Unicode"):
        write(tmp_path / "a.mcap", [], setup={"part": "\udcff"})


def test_close_twice_is_harmless(tmp_path):
    writer = _open(tmp_path / "a.mcap")
    writer.close()
    writer.close()
    assert list(read_items(writer.path)) == []


def test_writing_after_close_is_refused(tmp_path):
    writer = _open(tmp_path / "a.mcap")
    writer.close()
    with pytest.raises(RecordingError, match="closed already"):
        writer.event(RecordedEvent(host(0), ExtremesCleared()))


@needs_small_disk
def test_a_full_disk_is_told_with_the_place_of_the_recording(tmp_path):
    with small_disk(tmp_path / "disk", kib=16) as folder:
        writer = _open(folder / "a.mcap")
        with pytest.raises(RecordingError, match=r"no room left on the disk.*a\.mcap") as refused:
            put(writer, bench_items(2000))
        writer.close()
        assert refused.value.exit_status == 2


@needs_small_disk
def test_what_was_written_before_the_disk_was_full_can_be_read(tmp_path):
    items = bench_items(2000)
    with small_disk(tmp_path / "disk", kib=16) as folder:
        with pytest.raises(RecordingError), _open(folder / "a.mcap") as writer:
            put(writer, items)
        kept = bytes_of(read_items(folder / "a.mcap"))
    assert len(kept) > 8000  # of 16 KiB, less heads of records and the page the disk keeps for itself
    assert bytes_of(items).startswith(kept)


def test_a_write_cut_short_by_a_file_size_limit_is_told_too(tmp_path):
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (5000, hard))
    try:
        with pytest.raises(RecordingError, match="stays readable"), _open(tmp_path / "a.mcap") as writer:
            put(writer, bench_items(200))
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))
    assert (tmp_path / "a.mcap").stat().st_size == 5000


@needs_small_disk
def test_a_read_only_disk_is_told(tmp_path):
    with (
        small_disk(tmp_path / "disk", kib=16, read_only=True) as folder,
        pytest.raises(RecordingError, match="read-only"),
    ):
        _open(folder / "a.mcap")


def test_a_folder_without_right_to_write_is_told():
    with open_folder() as folder:
        folder.chmod(0o555)
        with without_rights(), pytest.raises(RecordingError, match="no permission to write"):
            _open(folder / "a.mcap")
        folder.chmod(0o755)


_RECORD_UNTIL_KILLED = """
import sys
from pathlib import Path
sys.path[:0] = [{root!r}, {tests!r}]
from small_recordings import host, RECORDING_ID, SETUP, STARTED
from logger.stream import LinkBytes
from logger.recording import RecordingWriter

writer = RecordingWriter(Path(sys.argv[1]), setup=SETUP, recording_id=RECORDING_ID, started=STARTED,
                         version="0.1.0", clock=lambda: host(0))
number = 0
while True:
    writer.link_bytes(LinkBytes(host(number), b"%d\\0" % number))
    if number % 7 == 0:
        writer.flush()
        print(number, flush=True)
    number += 1
"""


@pytest.mark.parametrize("after", [1, 10, 200])
def test_what_was_flushed_is_there_after_the_process_was_killed(tmp_path, after):
    script = _RECORD_UNTIL_KILLED.format(root=str(ROOT), tests=str(ROOT / "tests"))
    path = tmp_path / "a.mcap"
    with subprocess.Popen([sys.executable, "-c", script, str(path)], stdout=subprocess.PIPE) as process:
        assert process.stdout is not None
        flushed = [int(process.stdout.readline()) for _ in range(after)][-1]
        process.kill()
        process.stdout.read()
    numbers = bytes_of(read_items(path)).split(b"\0")[:-1]
    assert numbers == [b"%d" % k for k in range(len(numbers))]
    assert len(numbers) > flushed
