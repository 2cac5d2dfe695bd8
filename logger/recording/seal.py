"""Whether a closed recording has the bytes it was closed with: by the container's checksums at its end.

Every message proves itself as it is read; these tell of everything else too. A recording that broke off has
none, and nothing is told of it.
"""

import struct
import zlib
from io import FileIO
from pathlib import Path

from logger.recording.decoder import MAGIC
from logger.recording.reader import BLOCK, reading

_FOOTER = struct.Struct("<BQQQI")
"""Opcode, length, where the summary begins, where its offsets begin, checksum of the summary."""
_DATA_END = struct.Struct("<BQI")
"""Opcode, length, checksum of all that stands before it."""
_FOOTER_HEAD = (0x02, 20)
_DATA_END_HEAD = (0x0F, 4)


def is_altered(path: Path) -> bool:
    """Tell whether a closed recording's checksums do not hold. Raises RecordingError."""
    with reading(path) as file:
        size = file.seek(0, 2)
        at = size - len(MAGIC) - _FOOTER.size
        if at < len(MAGIC):
            return False
        file.seek(at)
        tail = file.read()
        opcode, length, summary, _, summary_crc = _FOOTER.unpack_from(tail)
        if tail[_FOOTER.size :] != MAGIC or (opcode, length) != _FOOTER_HEAD:
            return False
        data_end = (summary or at) - _DATA_END.size
        if not len(MAGIC) <= data_end <= at - _DATA_END.size:
            return True
        file.seek(data_end)
        opcode, length, data_crc = _DATA_END.unpack(file.read(_DATA_END.size))
        if (opcode, length) != _DATA_END_HEAD:
            return True
        # A checksum of 0 was not made.
        if data_crc and _crc(file, 0, data_end) != data_crc:
            return True
        return bool(summary_crc and _crc(file, summary, size - len(MAGIC) - 4) != summary_crc)


def _crc(file: FileIO, start: int, end: int) -> int:
    file.seek(start)
    crc, left = 0, end - start
    while left > 0 and (block := file.read(min(BLOCK, left))):
        crc = zlib.crc32(block, crc)
        left -= len(block)
    return crc
