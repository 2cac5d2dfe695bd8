"""The reader gives back what was written, open or closed, and says in one line what it cannot read."""

import itertools
import tracemalloc
from collections.abc import Callable, Iterator
from io import BytesIO
from pathlib import Path

import pytest
from faulty_folders import open_folder, without_rights
from hypothesis import given, settings, strategies as st
from mcap.records import Channel, Message
from mcap.stream_reader import StreamReader
from mcap.writer import Writer
from small_recordings import RECORDING_ID, SETUP, STARTED, bench_items, bytes_of, host, write

from analysis.capture.events import Pushed
from analysis.errors import RecordingError
from analysis.setup import setup_crc32
from logger.recording import RecordingReader, read_items, sha256_of
from logger.recording.decoder import RecordingDecoder
from logger.recording.layout import Origin
from logger.recording.reader import BLOCK, in_blocks
from logger.stream import Item, LinkBytes, RecordedEvent, SetupChange


def _foreign(path: Path, fill: Callable[[Writer], None], profile: str = "fullturn") -> Path:
    """Write a file with the container's own writer and nothing of ours: no checks, plain counters."""
    with open(path, "xb") as file:
        writer = Writer(file, use_chunking=False, enable_data_crcs=True)
        writer.start(profile)
        fill(writer)
        writer.finish()
    return path


def _plain(writer: Writer, version: str = "1") -> None:
    origin = {"recording_id": RECORDING_ID, "started": STARTED, "fullturn": "0.1.0", "format": version}
    writer.add_metadata("origin", origin)
    writer.add_metadata("setup", {**SETUP, "crc32": setup_crc32(SETUP)})
    link = writer.register_channel("link/0", "cobs-crc16-v1", 0)
    events = writer.register_channel("events", "json", 0)
    writer.add_message(link, host(0).wall_ns, b"abc\x00", host(0).monotonic_ns, 0)
    writer.add_message(events, host(1).wall_ns, b'{"event": "push"}', host(1).monotonic_ns, 0)
    writer.add_message(link, host(2).wall_ns, b"def\x00", host(2).monotonic_ns, 1)


def test_items_come_back_as_they_were_written(tmp_path):
    items = bench_items()
    assert list(read_items(write(tmp_path / "a.mcap", items))) == items


def test_the_first_set_up_is_there_before_anything_is_read(tmp_path):
    assert RecordingReader(write(tmp_path / "a.mcap", bench_items())).setup == SETUP


def test_the_origin_is_there_before_anything_is_read(tmp_path):
    reader = RecordingReader(write(tmp_path / "a.mcap", bench_items()))
    assert reader.origin == Origin(RECORDING_ID, STARTED, "0.1.0", 1)


def test_a_set_up_changed_before_the_first_message_is_the_first_set_up(tmp_path):
    path = write(tmp_path / "a.mcap", [SetupChange(host(0), {"part": "b"}), LinkBytes(host(1), b"x")])
    assert RecordingReader(path).setup == {"part": "b"}
    assert list(read_items(path)) == [LinkBytes(host(1), b"x")]


def test_a_later_set_up_stands_where_it_was_written(tmp_path):
    items: list[Item] = [
        LinkBytes(host(0), b"a"),
        SetupChange(host(0), {"part": "b"}),
        LinkBytes(host(9), b"c"),
    ]
    assert list(read_items(write(tmp_path / "a.mcap", items))) == items


def test_a_closed_file_is_closed_with_nothing_skipped(tmp_path):
    reader = RecordingReader(write(tmp_path / "a.mcap", bench_items()))
    items = list(reader.items())
    assert (reader.closed, reader.skipped_bytes, reader.bytes) == (True, 0, reader.path.stat().st_size)
    assert reader.messages == sum(not isinstance(item, SetupChange) for item in items)


def test_a_file_without_closing_records_reads_whole_and_is_not_closed(tmp_path):
    items = bench_items()
    reader = RecordingReader(write(tmp_path / "a.mcap", items, close=False))
    assert list(reader.items()) == items
    assert (reader.closed, reader.skipped_bytes) == (False, 0)


def test_reading_twice_gives_the_same(tmp_path):
    reader = RecordingReader(write(tmp_path / "a.mcap", bench_items()))
    assert list(reader.items()) == list(reader.items())


def test_the_encoding_of_each_link_is_known(tmp_path):
    path = write(tmp_path / "a.mcap", [LinkBytes(host(0), b"1.0\n", 1)], encodings={1: "lines"})
    assert RecordingReader(path).encodings == {0: "cobs-crc16-v1", 1: "lines"}


def test_messages_are_those_the_containers_own_stream_reader_finds(tmp_path):
    path = write(tmp_path / "a.mcap", bench_items(200))
    records = list(StreamReader(BytesIO(path.read_bytes())).records)
    (link,) = {r.id for r in records if isinstance(r, Channel) and r.topic == "link/0"}
    slow = [
        (r.log_time, r.publish_time, r.data)
        for r in records
        if isinstance(r, Message) and r.channel_id == link
    ]
    fast = [(*item.host, item.data) for item in read_items(path) if isinstance(item, LinkBytes)]
    assert fast == slow


@given(st.lists(st.integers(1, 97), min_size=1, max_size=400))
def test_the_pieces_in_which_the_file_comes_make_no_difference(sizes):
    data = _bench_file()
    decoder = RecordingDecoder()
    items: list[Item] = []
    position = 0
    for size in itertools.cycle(sizes):
        if position >= len(data):
            break
        items += decoder.feed(data[position : position + size])
        position += size
    items += decoder.finish()
    assert items == bench_items()
    assert (decoder.closed, decoder.skipped_bytes) == (True, 0)


def _joined_by_hand(items: list[Item]) -> list[Item]:
    """Join frames' bytes of a link that follow one another, but for the link's first message."""
    joined: list[Item] = []
    begun: set[int] = set()
    for item in items:
        before = joined[-1] if joined else None
        if not isinstance(item, LinkBytes) or not isinstance(before, LinkBytes):
            joined.append(item)
        elif item.link == before.link and before.link in begun:
            joined[-1] = LinkBytes(item.host, before.data + item.data, item.link)
        else:
            joined.append(item)
        if isinstance(before, LinkBytes):
            begun.add(before.link)
    return joined


@settings(max_examples=30, deadline=None)
@given(st.lists(st.tuples(st.sampled_from("01es"), st.binary(min_size=1, max_size=9)), max_size=40))
def test_joined_bytes_are_the_same_bytes_between_the_same_events(tmp_path_factory, rows):
    items: list[Item] = []
    for row, (what, data) in enumerate(rows, start=1):
        ms = 30 * row  # what comes within 20 ms is written as one message
        if what in "01":
            items.append(LinkBytes(host(ms), data, int(what)))
        else:
            change: Item = SetupChange(items[-1].host if items else host(0), {"part": data.hex()})
            items.append(RecordedEvent(host(ms), Pushed()) if what == "e" or not items else change)
    path = write(tmp_path_factory.mktemp("joined") / "a.mcap", items)
    assert list(RecordingReader(path).items(joined=True)) == _joined_by_hand(list(read_items(path)))


def test_lines_of_text_are_not_joined(tmp_path):
    # When each of them came is their only clock.
    items: list[Item] = [LinkBytes(host(30 * row), b"1.0\n", 1) for row in range(5)]
    path = write(tmp_path / "a.mcap", items, encodings={1: "lines"})
    assert list(RecordingReader(path).items(joined=True)) == items


def test_joined_bytes_come_in_blocks_of_the_file(tmp_path):
    path = write(tmp_path / "a.mcap", [LinkBytes(host(30 * row), bytes(4000)) for row in range(1000)])
    joined = list(RecordingReader(path).items(joined=True))
    assert len(joined) <= 1 + -(-path.stat().st_size // BLOCK)


_CACHE: list[bytes] = []


def _bench_file() -> bytes:
    if not _CACHE:
        with open_folder() as folder:
            _CACHE.append(write(folder / "a.mcap", bench_items()).read_bytes())
    return _CACHE[0]


def test_a_growing_file_gives_each_message_as_soon_as_it_is_whole():
    data = _bench_file()
    decoder = RecordingDecoder()
    seen = [sum(len(decoder.feed(data[k : k + 1])) for _ in (0,)) for k in range(len(data))]
    assert max(seen) == 1


def test_memory_does_not_grow_with_the_recording(tmp_path):
    def items(reads: int) -> Iterator[Item]:
        return (LinkBytes(host(25 * k), bytes(4000)) for k in range(reads))

    peaks = []
    for reads in (200, 2000):
        path = write(tmp_path / f"{reads}.mcap", items(reads))
        tracemalloc.start()
        assert sum(1 for _ in read_items(path)) == reads
        peaks.append(tracemalloc.get_traced_memory()[1])
        tracemalloc.stop()
    # Ten times the length may cost a fifth more (the goal set for a whole analysis).
    assert peaks[1] < 1.2 * peaks[0]


def test_blocks_hold_the_same_bytes_as_the_messages_they_join(tmp_path):
    items = bench_items(300)
    assert bytes_of(in_blocks(items, most=1000)) == bytes_of(items)


def test_joining_keeps_events_in_their_place_among_the_bytes():
    items = bench_items(300)
    marks = []
    for stream in (items, list(in_blocks(items))):
        at = next(k for k, item in enumerate(stream) if isinstance(item, RecordedEvent))
        marks.append(len(bytes_of(stream[:at])))
    assert marks[0] == marks[1]


def test_a_recording_another_program_wrote_by_the_layout_is_read(tmp_path):
    reader = RecordingReader(_foreign(tmp_path / "a.mcap", _plain))
    assert list(reader.items()) == [
        LinkBytes(host(0), b"abc\x00"),
        RecordedEvent(host(1), Pushed()),
        LinkBytes(host(2), b"def\x00"),
    ]
    assert (reader.setup, reader.closed, reader.skipped_bytes) == (SETUP, True, 0)


def test_the_digest_is_that_of_the_whole_file(tmp_path):
    path = tmp_path / "abc"
    path.write_bytes(b"abc")
    # FIPS 180-4, SHA-256 example of one block, from memory.
    assert sha256_of(path) == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"


def _refused(path: Path) -> str:
    with pytest.raises(RecordingError) as refused:
        RecordingReader(path)
    assert refused.value.exit_status == 2
    assert "\n" not in str(refused.value)
    return str(refused.value)


def test_an_empty_file_is_refused(tmp_path):
    (tmp_path / "a.mcap").touch()
    assert "is empty" in _refused(tmp_path / "a.mcap")


def test_a_text_file_is_refused_with_how_it_begins(tmp_path):
    (tmp_path / "a.txt").write_text("angle_deg,reading_mm\n" * 5000)
    assert "begins with 'angle_de'" in _refused(tmp_path / "a.txt")


def test_escape_sequences_of_a_strange_file_do_not_reach_the_message(tmp_path):
    (tmp_path / "a").write_bytes(b"\x1b[2Jhello")
    assert "\x1b" not in _refused(tmp_path / "a")


def test_another_programs_container_is_refused_with_its_profile(tmp_path):
    def fill(writer: Writer) -> None:
        channel = writer.register_channel("odometry", "json", 0)
        for k in range(50):
            writer.add_message(channel, k, b"{}", k)

    refused = _refused(_foreign(tmp_path / "a.mcap", fill, profile="robot"))
    assert "profile 'robot', expected profile fullturn" in refused


def test_a_newer_format_is_refused_with_what_to_do(tmp_path):
    refused = _refused(_foreign(tmp_path / "a.mcap", lambda writer: _plain(writer, "2")))
    assert "format 2" in refused
    assert "newer version of fullturn" in refused


def test_a_folder_is_refused(tmp_path):
    assert "is a folder" in _refused(tmp_path)


def test_a_missing_file_is_refused(tmp_path):
    assert "no file" in _refused(tmp_path / "none.mcap")


def test_a_name_that_no_file_can_have_is_refused(tmp_path):
    assert "is no file name" in _refused(tmp_path / "a\0b")


def test_a_file_without_right_to_read_is_refused():
    with open_folder() as folder:
        path = write(folder / "a.mcap", [])
        path.chmod(0o000)
        with without_rights():
            assert "no permission to read" in _refused(path)


def test_a_file_without_checks_gives_everything_however_long_it_is(tmp_path):
    def fill(writer: Writer) -> None:
        _plain(writer)
        for k in range(3, 203):
            writer.add_message(1, host(k).wall_ns, b"%d\x00" % k, host(k).monotonic_ns, k)

    reader = RecordingReader(_foreign(tmp_path / "a.mcap", fill))
    items = list(reader.items())
    assert bytes_of(items) == b"abc\x00def\x00" + b"".join(b"%d\x00" % k for k in range(3, 203))
    assert (reader.messages, reader.skipped_bytes) == (203, 0)


@pytest.mark.parametrize("cut", range(0, 700, 9))
def test_a_file_without_checks_may_be_cut_anywhere(tmp_path, cut):
    whole = _foreign(tmp_path / "a.mcap", _plain)
    items = list(read_items(whole))
    decoder = RecordingDecoder()
    got = decoder.feed(whole.read_bytes()[:cut]) + decoder.finish()
    assert got == items[: len(got)]
