"""Checking a recording counts frames good, bad and lost, and says where and why."""

import hashlib
from pathlib import Path

import pytest
from small_recordings import bench_items, heartbeat, hello, host, sample, write

from analysis.capture.events import GapCause, LinkLost, LinkReopened
from analysis.capture.samples import Gap
from analysis.errors import RecordingError
from logger.recording import check_file
from logger.stream import Item, LinkBytes, RecordedEvent


def _steady(first: int, last: int, *, start_ms: float = 0, lost: frozenset[int] = frozenset()) -> list[Item]:
    """Return one sample every millisecond, numbers first..last-1, without those that were lost."""
    return [
        LinkBytes(host(start_ms + seq), sample(seq, 1000 * seq))
        for seq in range(first, last)
        if seq not in lost
    ]


def test_a_clean_recording_has_nothing_bad_and_nothing_lost(tmp_path):
    found = check_file(write(tmp_path / "a.mcap", bench_items(30)))
    assert (found.frames, found.bad, found.lost, found.gaps) == (1 + 29 * 4, 0, 0, ())


def test_the_file_itself_is_described(tmp_path):
    path = write(tmp_path / "a.mcap", bench_items(30))
    found = check_file(path)
    assert (found.closed, found.bytes, found.skipped_bytes) == (True, path.stat().st_size, 0)
    assert found.sha256 == hashlib.sha256(path.read_bytes()).hexdigest()
    assert found.messages == 30 + 2


def test_lost_frames_are_counted_by_the_numbers_around_them(tmp_path):
    items = _steady(0, 100, lost=frozenset(range(40, 47)))
    found = check_file(write(tmp_path / "a.mcap", items))
    assert found.lost == 7
    assert found.gaps == (Gap(0.039, 0.047, 7, GapCause.LOST),)


def test_numbers_that_wrap_are_no_loss(tmp_path):
    found = check_file(write(tmp_path / "a.mcap", _steady(65500, 65600)))
    assert (found.lost, found.gaps) == (0, ())


def test_a_frame_that_fails_its_check_is_bad_and_lost(tmp_path):
    damaged = bytearray(sample(1, 1000))
    damaged[9] ^= 0x04
    items = [LinkBytes(host(0), sample(0, 0) + bytes(damaged) + sample(2, 2000))]
    found = check_file(write(tmp_path / "a.mcap", items))
    assert (found.frames, found.bad, found.lost) == (2, 1, 1)


def test_a_restart_is_no_loss_and_time_goes_on(tmp_path):
    before = [LinkBytes(host(0), hello(0, 0, boot_id=7)), *_steady(1, 50)]
    after = [LinkBytes(host(60), hello(0, 0, boot_id=8)), *_steady(1, 20, start_ms=60, lost=frozenset({10}))]
    found = check_file(write(tmp_path / "a.mcap", [*before, *after]))
    assert found.lost == 1
    (gap,) = found.gaps
    # From the first sample 48 ms to the last before the restart, then 8 ms on the new clock; whole
    # microseconds as floats of seconds are exact to far less than 1 ns.
    assert gap.start_s == pytest.approx(0.048 + 0.008, abs=1e-9)


def test_a_hello_of_the_same_board_is_no_restart(tmp_path):
    items = [LinkBytes(host(0), hello(0, 0) + sample(1, 0) + hello(2, 0) + sample(5, 5000))]
    assert check_file(write(tmp_path / "a.mcap", items)).lost == 2


def test_an_unplugged_cable_is_a_gap_with_its_reason(tmp_path):
    gap = RecordedEvent(host(60), LinkLost(GapCause.UNPLUGGED))
    back = RecordedEvent(host(400), LinkReopened())
    items = [*_steady(0, 50), gap, back, *_steady(400, 450)]
    found = check_file(write(tmp_path / "a.mcap", items))
    assert found.gaps == (Gap(0.049, 0.4, 350, GapCause.UNPLUGGED),)


def test_two_seconds_of_silence_are_a_stall(tmp_path):
    items = [*_steady(0, 50), LinkBytes(host(2100), heartbeat(50, 2_100_000)), *_steady(2101, 2102)]
    found = check_file(write(tmp_path / "a.mcap", items))
    assert found.gaps[0] == Gap(0.049, 2.1, 0, GapCause.STALLED)


def test_the_clock_of_the_board_may_wrap(tmp_path):
    start = (1 << 32) - 5000
    items = [LinkBytes(host(k), sample(k + (k > 7), start + 1000 * k)) for k in range(12)]
    found = check_file(write(tmp_path / "a.mcap", items))
    assert found.gaps == (Gap(0.007, 0.008, 1, GapCause.LOST),)


def test_readable_lines_count_as_frames_and_others_as_bad(tmp_path):
    items = [LinkBytes(host(0), b"+1.250 mm\r\n\xff\xfe\r\n+1.2"), LinkBytes(host(100), b"51 mm\r\n")]
    found = check_file(write(tmp_path / "a.mcap", items, encodings={0: "lines"}))
    assert (found.frames, found.bad, found.lost) == (2, 1, 0)


def test_a_line_of_text_mode_with_a_wrong_check_is_bad(tmp_path):
    items = [LinkBytes(host(0), b"S 1 1000 5 70 0*0000\n")]
    found = check_file(write(tmp_path / "a.mcap", items, encodings={0: "lines"}))
    assert (found.frames, found.bad) == (0, 1)


def test_two_links_are_counted_together(tmp_path):
    items = [LinkBytes(host(0), sample(0, 0)), LinkBytes(host(0), b"1.0\n", link=1)]
    found = check_file(write(tmp_path / "a.mcap", items, encodings={1: "lines"}))
    assert found.frames == 2


def test_an_unclosed_recording_is_checked_and_said_to_be_so(tmp_path):
    assert not check_file(write(tmp_path / "a.mcap", bench_items(), close=False)).closed


def test_skipped_bytes_are_counted(tmp_path):
    path = write(tmp_path / "a.mcap", bench_items())
    data = path.read_bytes()
    path.write_bytes(data[:2000] + b"damage" + data[2000:])
    assert check_file(path).skipped_bytes > 6


def test_what_is_no_recording_is_refused(tmp_path):
    path: Path = tmp_path / "a.mcap"
    path.write_text("nothing of the kind")
    with pytest.raises(RecordingError):
        check_file(path)
