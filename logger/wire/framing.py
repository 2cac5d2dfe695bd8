"""Frames on the wire: bytes in, checked bodies out. Knows nothing of what a body says.

A frame is ``COBS(body || crc16) 00`` (COBS: Cheshire and Baker, IEEE/ACM Transactions on Networking 7(2),
1999; crc16: polynomial 0x1021, start 0xFFFF, not reflected, no final xor, low byte first). This contract
stands over every function and class here, and over the bulk decoder:

* A run of bytes ended by a zero is a frame if it is well-formed COBS, its body has ``MIN_BODY`` to
  ``MAX_BODY`` bytes and the crc agrees. Any other run is one bad frame: counted, never guessed at.
* Two zeros in a row hold an empty frame, which is ignored.
* A run that grows beyond the longest frame is counted bad at that byte, once; what follows is thrown away
  up to the next zero, so a tail of it never comes back as a frame, and memory stays bounded.
* What is counted depends on the bytes alone, never on the pieces they came in.
* No input raises; only what is asked to be encoded can be refused (ValueError).
"""

from binascii import crc_hqx

MIN_BODY = 8
"""Bytes of the shortest body: the header alone."""
MAX_BODY = 100
"""Bytes of the longest body."""
CRC_BYTES = 2
MIN_RUN = MIN_BODY + CRC_BYTES + 1
"""Bytes of the shortest frame on the wire, its closing zero not counted."""
MAX_RUN = MAX_BODY + CRC_BYTES + 1
"""Bytes of the longest frame on the wire, its closing zero not counted."""
_FULL_BLOCK = 0xFF
"""COBS code of a block of 254 bytes that no zero follows; never reached within a frame."""


def crc16(data: bytes) -> int:
    """Return the CRC-16/IBM-3740 of data, 0 to 65535; of ``123456789`` it is 0x29B1."""
    return crc_hqx(data, 0xFFFF)


def cobs_encode(data: bytes) -> bytes:
    """Return data, of any length, rewritten without zero bytes; no closing zero is added."""
    out = bytearray()
    blocks = bytes(data).split(b"\x00")
    last = len(blocks) - 1
    for number, block in enumerate(blocks):
        rest = block
        while len(rest) >= _FULL_BLOCK - 1:
            out.append(_FULL_BLOCK)
            out += rest[: _FULL_BLOCK - 1]
            rest = rest[_FULL_BLOCK - 1 :]
            if not rest and number == last:
                return bytes(out)  # a full block at the very end needs no empty one after it
        out.append(len(rest) + 1)
        out += rest
    return bytes(out)


def cobs_decode(data: bytes) -> bytes:
    """Return what ``cobs_encode`` was given; ValueError if data is empty, holds a zero or ends in a block."""
    if not data:
        raise ValueError("found no bytes, expected at least one COBS code")
    if 0 in data:
        raise ValueError("found a zero byte, expected none within COBS")
    out = bytearray()
    at, size = 0, len(data)
    while at < size:
        code = data[at]
        end = at + code
        if end > size:
            raise ValueError(f"found the end {end - size} bytes inside a COBS block of {code}")
        out += data[at + 1 : end]
        if code != _FULL_BLOCK and end < size:
            out.append(0)
        at = end
    return bytes(out)


def encode_frame(body: bytes) -> bytes:
    """Return the frame of a body with its crc and closing zero; ValueError unless it has 8 to 100 bytes."""
    if not MIN_BODY <= len(body) <= MAX_BODY:
        raise ValueError(f"found a body of {len(body)} bytes, expected {MIN_BODY} to {MAX_BODY}")
    return cobs_encode(body + crc16(body).to_bytes(CRC_BYTES, "little")) + b"\x00"


def open_run(run: bytes) -> bytes | None:
    """Return the body of one run of bytes between zeros, or None if it is a bad frame."""
    size = len(run)
    if not MIN_RUN <= size <= MAX_RUN:
        return None
    # A run is too short for a full block, so every code stands where a zero stood, one byte further on.
    out = bytearray(run)
    at = run[0]
    while at < size:
        out[at] = 0
        at += run[at]
    if at != size:
        return None
    body = bytes(out[1:-CRC_BYTES])
    return body if crc_hqx(body, 0xFFFF) == out[-2] | out[-1] << 8 else None


class FrameDecoder:
    """Takes bytes in pieces of any size and gives the bodies of the frames that passed."""

    def __init__(self) -> None:
        self.frames = 0
        """Frames that passed."""
        self.bad = 0
        """Frames that did not."""
        self._run = b""
        self._throwing_away = False

    @property
    def pending(self) -> int:
        """Bytes held of a frame not finished yet, at most ``MAX_RUN``; 0 while bytes are thrown away."""
        return len(self._run)

    def feed(self, data: bytes) -> list[bytes]:
        """Take the next bytes and return the bodies that passed, in order."""
        bodies: list[bytes] = []
        *runs, tail = bytes(data).split(b"\x00")
        for part in runs:
            if self._throwing_away:
                self._throwing_away = False  # its run was counted when it grew too long
                continue
            run = self._run + part if self._run else part
            self._run = b""
            if run:
                body = open_run(run)
                if body is None:
                    self.bad += 1
                else:
                    bodies.append(body)
        self.frames += len(bodies)
        if not self._throwing_away:
            self._run += tail
            if len(self._run) > MAX_RUN:
                self.bad += 1
                self._run = b""
                self._throwing_away = True
        return bodies
