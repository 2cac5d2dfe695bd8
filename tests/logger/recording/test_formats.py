"""Every format of recordings that was ever written stays readable; the files are frozen."""

from places import REFERENCE
from small_recordings import bytes_of, host, sample

from analysis.capture.events import MarkTouched
from analysis.setup import MarkSide
from logger.recording import RecordingReader, check_file, sha256_of
from logger.recording.layout import Origin
from logger.stream import LinkBytes, RecordedEvent, SetupChange

FORMAT_1 = REFERENCE / "recording_format_1.mcap"


def test_the_frozen_file_of_format_1_is_untouched():
    # The digest of the file as it was committed.
    assert sha256_of(FORMAT_1) == "a0f859de7ce65f1190d74219918b4edd6877f34c473832834c74bc267742fd4f"


def test_format_1_tells_whence_it_comes():
    assert RecordingReader(FORMAT_1).origin == Origin(
        "5f0c0e9e-6f0e-4c6a-9f5f-0d9a2f1b7c11", "2024-03-01T09:30:00Z", "0.1.0", 1
    )


def test_format_1_has_its_set_up():
    assert RecordingReader(FORMAT_1).setup == {"part": "rotor 3", "limit": "0.05 mm", "surface": "face"}


def test_format_1_has_its_frames():
    frames = b"".join(sample(k, 25_000 * k, 300 * k, 10 * k - 40) for k in range(1, 9))
    assert bytes_of(RecordingReader(FORMAT_1).items()).endswith(frames)


def test_format_1_has_its_event_and_its_changed_set_up_in_their_place():
    items = list(RecordingReader(FORMAT_1).items())
    at = next(k for k, item in enumerate(items) if isinstance(item, RecordedEvent))
    assert items[at] == RecordedEvent(host(101), MarkTouched(MarkSide.PART, 1200))
    assert items[at + 1] == SetupChange(host(101), {"part": "rotor 3", "stage": "as left"})
    assert len(bytes_of(items[:at])) == len(bytes_of(items)) - 4 * len(sample(5, 125_000, 1500, 10))


def test_format_1_has_its_second_link():
    assert list(RecordingReader(FORMAT_1).items())[-1] == LinkBytes(host(210), b"21.5 C\n", 1)


def test_format_1_is_whole():
    found = check_file(FORMAT_1)
    assert (found.frames, found.bad, found.lost, found.skipped_bytes, found.closed) == (10, 0, 0, 0, True)
