"""Read a recording from its file, in order, in blocks, with the same small memory however long it is.

Knows nothing of what the bytes mean. The file may still be growing, cut short or damaged.
"""

import hashlib
from collections.abc import Generator, Iterable, Iterator
from contextlib import contextmanager
from io import FileIO
from itertools import chain
from pathlib import Path

from analysis.errors import RecordingError
from logger.recording.decoder import MAGIC, RecordingDecoder
from logger.recording.layout import FORMAT, PROFILE, Origin
from logger.stream import Item, LinkBytes, RecordedEvent, SetupChange

BLOCK = 1 << 18
"""Bytes read at once; the same block is all of a file that is ever held, but for one unfinished record."""
_SEARCH = 1 << 20
"""How far into a damaged file something of ours is looked for before it is called a stranger's."""


class RecordingReader:
    """A recording that can be read, as often as wished.

    Parameters: ``path`` of the file. Attributes after construction: ``origin``, ``setup`` (the first
    set-up); after ``items`` was read to its end: ``closed``, ``messages``, ``bytes``, ``skipped_bytes``
    (bytes of no record that proved itself) and ``encodings`` (link number to encoding). Raises
    RecordingError when nothing can be read: no file, empty, not a recording, or of a newer format.
    """

    def __init__(self, path: str | Path) -> None:
        self.path = Path(path)
        self.decoder = self._head()

    @property
    def origin(self) -> Origin:
        """Where the recording comes from."""
        return self.decoder.head.origin

    @property
    def setup(self) -> dict[str, str]:
        """The set-up that holds from the first message, text to text; empty where the file has none."""
        return dict(self.decoder.head.setup)

    @property
    def encodings(self) -> dict[int, str]:
        """The encoding of each link seen so far."""
        return dict(self.decoder.head.encodings)

    @property
    def closed(self) -> bool:
        """Whether the closing records are there; without them the recording broke off or still goes on."""
        return self.decoder.closed

    @property
    def messages(self) -> int:
        """Messages read so far."""
        return self.decoder.messages

    @property
    def bytes(self) -> int:
        """Bytes read so far."""
        return self.decoder.bytes

    @property
    def skipped_bytes(self) -> int:
        """Bytes stepped over so far because no record there proved itself."""
        return self.decoder.skipped_bytes

    def items(self, *, joined: bool = False) -> Generator[Item, None, None]:
        """Yield everything in the file in the order it was written; each call starts at the beginning.

        ``joined``: with the bytes of links that carry frames joined to long blocks, for decoders that want
        them; events and set-ups keep their place among the bytes, which decode to the same.
        """
        self.decoder = decoder = RecordingDecoder(joined=joined)
        for block in _blocks(self.path):
            yield from decoder.feed(block)
        yield from decoder.finish()

    def notes(self) -> Iterator[RecordedEvent | SetupChange]:
        """Yield events and set-ups alone, quickly and unproven: of a damaged file some may be missed."""
        self.decoder = decoder = RecordingDecoder(notes_only=True)
        for block in chain(_blocks(self.path), [None]):
            for item in decoder.finish() if block is None else decoder.feed(block):
                if not isinstance(item, LinkBytes):
                    yield item

    def _head(self) -> RecordingDecoder:
        """Read as far as the first message, and refuse what is no recording of ours."""
        decoder = RecordingDecoder()
        start = b""
        for block in _blocks(self.path, 1 << 14):
            start = start or block[: len(MAGIC)]
            decoder.feed(block)
            if (decoder.head.ours and decoder.messages) or decoder.bytes >= _SEARCH:
                break
        else:
            decoder.finish()
        if not decoder.bytes:
            raise RecordingError(f"{self.path} is empty: nothing was ever recorded in it; name another file")
        if not decoder.head.ours:
            raise RecordingError(_stranger(self.path, start, decoder))
        written = decoder.head.origin.format
        if written > FORMAT:
            raise RecordingError(
                f"{self.path} is a recording of format {written}, this program reads up to format {FORMAT}: "
                "read it with a newer version of fullturn"
            )
        return decoder


def read_items(path: str | Path) -> Iterator[Item]:
    """Yield the items of a recording in the order they were written. Raises RecordingError."""
    yield from RecordingReader(path).items()


def in_blocks(items: Iterable[Item], *, most: int = BLOCK) -> Iterator[Item]:
    """Yield the same items with the bytes of each link joined to long blocks, for decoders that want them.

    Parameters: ``most`` bytes after which a block ends. A block is dated by its last byte; events and
    set-ups keep their place among the bytes. Joining and then decoding gives what decoding gives.
    """
    held: dict[int, list[LinkBytes]] = {}
    size = 0
    for item in items:
        if isinstance(item, LinkBytes):
            held.setdefault(item.link, []).append(item)
            size += len(item.data)
            if size < most:
                continue
        for link, parts in held.items():
            yield LinkBytes(parts[-1].host, b"".join(part.data for part in parts), link)
        held.clear()
        size = 0
        if not isinstance(item, LinkBytes):
            yield item
    for link, parts in held.items():
        yield LinkBytes(parts[-1].host, b"".join(part.data for part in parts), link)


def sha256_of(path: str | Path) -> str:
    """Return the SHA-256 of a file as 64 hex digits. Raises RecordingError when it cannot be read."""
    digest = hashlib.sha256()
    for block in _blocks(Path(path)):
        digest.update(block)
    return digest.hexdigest()


@contextmanager
def reading(path: Path) -> Iterator[FileIO]:
    """Open a file to be read block by block, and turn every failure of opening or reading into words."""
    try:
        with open(path, "rb", buffering=0) as file:
            yield file
    except FileNotFoundError as error:
        raise RecordingError(f"no file {path}: name a recording that exists") from error
    except IsADirectoryError as error:
        raise RecordingError(f"{path} is a folder: name one recording in it") from error
    except PermissionError as error:
        raise RecordingError(f"no permission to read {path}: ask its owner, or copy it first") from error
    except OSError as error:
        reason = error.strerror or str(error)
        raise RecordingError(f"{path} cannot be read ({reason}): name another, or copy it first") from error


def _blocks(path: Path, size: int = BLOCK) -> Iterator[bytes]:
    """Yield the bytes of a file block by block."""
    if "\0" in str(path):
        raise RecordingError(f"{str(path)!r} is no file name: name a recording that exists")
    with reading(path) as file:
        while block := file.read(size):
            yield block


def _stranger(path: Path, start: bytes, decoder: RecordingDecoder) -> str:
    """Say what was found where a recording was expected."""
    if decoder.head.profile is not None:
        found = f"an MCAP file with profile {_shown(decoder.head.profile)}, expected profile {PROFILE}"
    elif start.startswith(MAGIC[:5]) or MAGIC.startswith(start):
        found = "cut off before its first record"
    else:
        found = f"no recording: it begins with {_shown(start.decode('latin-1'))}, expected an MCAP file"
    return f"{path} is {found}; name a file that fullturn recorded"


def _shown(text: str) -> str:
    """Return foreign text fit for one line of a terminal."""
    return ascii(text[:40])
