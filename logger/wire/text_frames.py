"""Text mode: one readable line a sample, for a terminal and for home-made boards.

``S seq t_us count value flags*CRC4``: decimal numbers, one space between, then four capital hex digits of
the crc16 of all before the ``*``. This contract stands over both functions here: numbers have the ranges of
an S frame and no other spelling than the shortest, so a sample has exactly one line; ``format_line`` raises
ValueError for what does not fit, ``parse_line`` never raises.
"""

import re

from logger.wire.framing import crc16
from logger.wire.messages import Sample

_NUMBER = "(-?[1-9][0-9]{0,9}|0)"
_LINE = re.compile(rf"S {_NUMBER} {_NUMBER} {_NUMBER} {_NUMBER} {_NUMBER}\*([0-9A-F]{{4}})")


def format_line(seq: int, t_us: int, count: int, value: int, flags: int) -> bytes:
    """Return the line of one sample, with its LF."""
    Sample(seq, t_us, flags, count, value).encode()  # refuses numbers that do not fit their fields
    text = f"S {seq} {t_us} {count} {value} {flags}".encode("ascii")
    return text + b"*%04X\n" % crc16(text)


def parse_line(text: str) -> Sample | None:
    """Return the sample of a line, with or without its line end, or None if it is damaged or no sample."""
    line = text.removesuffix("\n").removesuffix("\r")
    matched = _LINE.fullmatch(line)
    if matched is None or int(matched[6], 16) != crc16(line[: line.index("*")].encode("ascii")):
        return None
    seq, t_us, count, value, flags = (int(digits) for digits in matched.groups()[:5])
    sample = Sample(seq, t_us, flags, count, value)
    try:
        sample.encode()
    except ValueError:
        return None
    return sample
