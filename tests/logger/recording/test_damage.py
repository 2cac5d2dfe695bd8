"""Whatever happens to a recording, it opens or is refused in words, and nothing is made up."""

import random
import re
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path

import pytest
from faulty_folders import open_folder
from small_recordings import SETUP, bench_items, bytes_of, host, write
from work_done import at_most

from analysis.capture.events import Pushed
from analysis.errors import RecordingError
from logger.recording import RecordingReader
from logger.recording.decoder import MAGIC, TRIED_AT_ONCE, TRIED_PER_BYTE, RecordingDecoder
from logger.recording.layout import RECORD_LIMIT
from logger.stream import Item, LinkBytes, RecordedEvent, SetupChange

ITEMS = bench_items(22)
SETUPS = [SETUP, {**SETUP, "stage": "as left"}]


@pytest.fixture(scope="module")
def whole() -> Iterator[bytes]:
    """The bytes of a closed recording of ITEMS."""
    with open_folder() as folder:
        yield write(folder / "a.mcap", ITEMS).read_bytes()


def _decode(data: bytes) -> tuple[list[Item], RecordingDecoder]:
    decoder = RecordingDecoder()
    return decoder.feed(data) + decoder.finish(), decoder


def _key(item: Item) -> object:
    """What must be as written; a set-up is dated by the message before it, which may be lost."""
    return dict(item.setup) if isinstance(item, SetupChange) else item


WRITTEN = [*map(_key, ITEMS), SETUP]
"""A copy of the head inside the file repeats its set-up: that too was written."""


def _was_written(items: list[Item]) -> bool:
    """Say whether these are some of ITEMS, each whole, in order, none twice."""
    written = iter([_key(item) for item in ITEMS])
    return all(any(_key(item) == other for other in written) for item in items)


def _damaged(data: bytes, rng: random.Random) -> bytes:
    """Flip, drop and insert bytes at places that the seed chooses."""
    changed = bytearray(data)
    for _ in range(rng.choice((1, 1, 2, 5, 30))):
        at = rng.randrange(len(changed))
        length = rng.choice((1, 1, 3, 20, 200))
        what = rng.randrange(4)
        if what == 0:
            changed[at] ^= 1 << rng.randrange(8)
        elif what == 1:
            del changed[at : at + length]
        elif what == 2:
            changed[at:at] = rng.randbytes(length)
        else:
            changed[at:at] = changed[at // 2 : at // 2 + length]
    return bytes(changed)


def test_a_recording_cut_anywhere_gives_all_that_was_whole_before_the_cut(whole):
    for cut in range(len(whole) + 1):
        items, decoder = _decode(whole[:cut])
        assert items == ITEMS[: len(items)]
        assert decoder.closed == (cut == len(whole))
        assert decoder.bytes == cut


def test_a_cut_loses_no_more_than_the_record_it_goes_through(whole):
    shorter = [len(_decode(whole[:cut])[0]) for cut in range(len(whole) + 1)]
    assert all(0 <= after - before <= 1 for before, after in pairwise(shorter))


def test_a_cut_file_opens_or_is_refused_in_words(whole, tmp_path):
    path = tmp_path / "a.mcap"
    header_end = len(MAGIC) + 9 + int.from_bytes(whole[9:17], "little")
    for cut in (*range(300), *range(300, len(whole), 17)):
        path.write_bytes(whole[:cut])
        if cut < header_end:  # until then nothing says whose file this is
            with pytest.raises(RecordingError):
                RecordingReader(path)
            continue
        items = list(RecordingReader(path).items())
        assert items == ITEMS[: len(items)]


def test_one_flipped_byte_costs_at_most_one_item_and_is_counted(whole):
    for at in range(len(whole)):
        damaged = bytearray(whole)
        damaged[at] ^= 0x55
        items, decoder = _decode(bytes(damaged))
        assert _was_written(items), at
        assert len(items) >= len(ITEMS) - 1, at
        assert len(items) == len(ITEMS) or decoder.skipped_bytes > 0, at


def test_one_flipped_byte_never_changes_the_set_up(whole):
    for at in range(len(whole)):
        damaged = bytearray(whole)
        damaged[at] ^= 0x20
        _, decoder = _decode(bytes(damaged))
        assert decoder.head.setup in (SETUP, {}), at


def test_one_dropped_byte_costs_at_most_one_item(whole):
    for at in range(len(whole)):
        items, _ = _decode(whole[:at] + whole[at + 1 :])
        assert _was_written(items), at
        assert len(items) >= len(ITEMS) - 1, at


def test_one_inserted_byte_costs_at_most_one_item(whole):
    for at in range(len(whole) + 1):
        items, _ = _decode(whole[:at] + b"\x05" + whole[at:])
        assert _was_written(items), at
        assert len(items) >= len(ITEMS) - 1, at


@pytest.mark.parametrize("seed", range(20))
def test_nothing_is_made_up_however_a_recording_is_damaged(whole, seed):
    rng = random.Random(seed)
    for _ in range(40):
        items, decoder = _decode(_damaged(whole, rng))
        assert all(_key(item) in WRITTEN for item in items)
        assert decoder.head.setup in (*SETUPS, {})


@pytest.mark.parametrize("seed", range(5))
def test_pieces_make_no_difference_to_a_damaged_recording(whole, seed):
    rng = random.Random(seed)
    for _ in range(10):
        data = _damaged(whole, rng)
        decoder = RecordingDecoder()
        items: list[Item] = []
        position = 0
        while position < len(data):
            size = rng.randrange(1, 300)
            items += decoder.feed(data[position : position + size])
            position += size
        items += decoder.finish()
        at_once, other = _decode(data)
        assert items == at_once
        assert (decoder.closed, decoder.skipped_bytes) == (other.closed, other.skipped_bytes)


@pytest.mark.parametrize("seed", range(10))
def test_a_damaged_file_opens_or_is_refused_in_words(whole, tmp_path, seed):
    rng = random.Random(1000 + seed)
    path = tmp_path / "a.mcap"
    for _ in range(20):
        path.write_bytes(_damaged(whole, rng))
        try:
            reader = RecordingReader(path)
            items = list(reader.items())
        except RecordingError:
            continue
        assert reader.bytes == path.stat().st_size
        assert len(bytes_of(items)) + reader.skipped_bytes <= reader.bytes


@pytest.mark.parametrize("seed", range(5))
def test_noise_alone_is_refused(tmp_path, seed):
    path = tmp_path / "noise"
    path.write_bytes(random.Random(seed).randbytes(100_000))
    with pytest.raises(RecordingError, match="no recording"):
        RecordingReader(path)


def test_records_repeated_inside_link_bytes_do_not_come_out_as_items(whole, tmp_path):
    # Link bytes that happen to hold another recording, whole: only the outer file's items count.
    items: list[Item] = [LinkBytes(host(0), whole[:4000]), RecordedEvent(host(1), Pushed())]
    path = write(tmp_path / "a.mcap", items)
    assert list(RecordingReader(path).items()) == items


def _first_message(data: bytes) -> int:
    """Return where the first message begins: its opcode, then eight bytes of length."""
    found = re.search(rb"\x05..\x00{6}", data, re.DOTALL)
    assert found is not None
    return found.start()


def test_a_length_damaged_upwards_hides_nothing_that_follows(whole, tmp_path):
    damaged = bytearray(whole)
    damaged[_first_message(whole) + 3] = 0x0F
    items, decoder = _decode(bytes(damaged))
    assert items == ITEMS[1:]
    assert 0 < decoder.skipped_bytes < 200


def test_a_length_above_the_limit_is_damage(whole):
    at = _first_message(whole)
    damaged = bytearray(whole)
    damaged[at + 1 : at + 9] = (RECORD_LIMIT + 1).to_bytes(8, "little")
    decoder = RecordingDecoder()
    assert len(decoder.feed(bytes(damaged))) == len(ITEMS) - 1


def test_a_damaged_channel_record_loses_no_message(whole):
    at = whole.index(b"link/0")
    damaged = bytearray(whole)
    damaged[at + 5] = ord("1")
    items, _ = _decode(bytes(damaged))
    assert items == ITEMS


def test_a_damaged_header_does_not_make_a_stranger_of_the_file(whole, tmp_path):
    path = tmp_path / "a.mcap"
    path.write_bytes(bytes(20) + whole[20:])
    assert list(RecordingReader(path).items()) == ITEMS


def test_bytes_added_after_the_end_are_counted_and_the_file_counts_as_not_closed(whole):
    items, decoder = _decode(whole + b"more")
    assert items == ITEMS
    assert (decoder.closed, decoder.skipped_bytes) == (False, 4)


def test_a_file_with_its_head_cut_off_still_gives_its_messages(whole, tmp_path):
    path: Path = tmp_path / "a.mcap"
    items, decoder = _decode(whole[whole.index(b"setup") + 40 :])
    assert items == ITEMS
    assert not decoder.head.ours
    path.write_bytes(whole[whole.index(b"setup") + 40 :])
    with pytest.raises(RecordingError):
        RecordingReader(path)


# --- files that were made to be slow ------------------------------------------------------------------------

HOSTILE = {
    "a message of nearly 1 MiB in every eleven bytes": bytes.fromhex("0500FF0F00000000000200"),
    "an event of half a MiB in every eleven bytes": bytes.fromhex("0500000800000000000100"),
    "a set-up of nearly 1 MiB in every nine bytes": bytes.fromhex("0C00FF0F0000000000"),
    "a channel of nearly 1 MiB in every nine bytes": bytes.fromhex("0400FF0F0000000000"),
    "a channel in every record": bytes.fromhex("0400020000000000000000"),
    "zeros": bytes(11),
    "opcodes": b"\x05" * 11,
}


@pytest.mark.parametrize("repeated", HOSTILE.values(), ids=HOSTILE)
def test_hostile_bytes_are_tried_no_more_often_than_they_are_many(whole, repeated):
    data = whole[:600] + repeated * ((1 << 20) // len(repeated))
    # What is tried in vain is bound by the bytes there are: it was half the file for every record in it.
    assert _decode(data)[1].tried_bytes <= TRIED_PER_BYTE * len(data) + 17 * TRIED_AT_ONCE
    with at_most(30 * (1 << 16)):
        _decode(data[: 1 << 16])


@pytest.mark.parametrize("repeated", HOSTILE.values(), ids=HOSTILE)
def test_pieces_make_no_difference_to_what_is_tried(whole, repeated):
    data = whole[:600] + repeated * 40_000 + whole[600:]
    decoder = RecordingDecoder()
    items = [item for at in range(0, len(data), 100_001) for item in decoder.feed(data[at : at + 100_001])]
    items += decoder.finish()
    at_once, other = _decode(data)
    assert items == at_once
    assert (decoder.tried_bytes, decoder.skipped_bytes) == (other.tried_bytes, other.skipped_bytes)
