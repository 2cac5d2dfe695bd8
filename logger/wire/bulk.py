"""A whole buffer of frames decoded at once with numpy: for recordings, where the live loop would be slow.

This contract stands over everything here: fed the same bytes, in whatever pieces, BulkDecoder counts the
same ``frames``, ``bad`` and ``pending`` as ``messages.MessageDecoder`` and gives the same messages in the
same order; only their shape differs. Samples, also those in batches, come as one structured array; the few
others as messages. Times and counts are as sent, not unwrapped. No input raises. A call needs memory for
about six times its bytes: feed it a few MiB at a time.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from logger.wire.bulk_runs import Bools, Bytes, Integers, Words, gather_columns, open_columns
from logger.wire.framing import MAX_RUN, MIN_RUN, open_run
from logger.wire.layout import MAX_BATCH, TYPE_BATCH, TYPE_SAMPLE
from logger.wire.messages import Batch, Message, Sample
from logger.wire.parsing import parse_body

SAMPLE_DTYPE = np.dtype(
    [
        ("ordinal", "<i8"),
        ("type", "u1"),
        ("flags", "u1"),
        ("seq", "<u2"),
        ("t_us", "<u4"),
        ("count", "<i4"),
        ("value", "<i4"),
    ]
)
"""One sample: which good frame of this call it came in (from 0), then the body of an S frame as it lies on
the wire. ``type`` is ``S`` or ``B``, the frame it came in."""

RunTable = NDArray[np.void]
_Rows = NDArray[np.uint64]

_BODY_AT = 8
_SAMPLE_BODY = 16
_BATCH_HEAD = 16
_WORDS = SAMPLE_DTYPE.itemsize // 8
_BLOCK_BYTES = 300_000
"""Bytes of runs opened at once: they and what is made of them stay within a core's own cache."""
_LOOP_BELOW = 64
"""Runs of one length from which the arrays beat the loop; each length costs some hundred numpy calls."""


@dataclass(frozen=True)
class Decoded:
    """What one call of ``BulkDecoder.feed`` found."""

    samples: RunTable
    """All samples in order, dtype ``SAMPLE_DTYPE``, shape (n,)."""
    seqs: Words
    """seq of every good frame in order, shape (frames of this call,)."""
    others: list[tuple[int, Message]]
    """All messages that are no samples, in order, each with the ordinal of its frame."""


class BulkDecoder:
    """Takes bytes in large pieces and gives samples as arrays.

    ``loop_below`` is the number of runs of one length under which they are opened one by one; it changes
    the speed and nothing else.
    """

    def __init__(self, loop_below: int = _LOOP_BELOW) -> None:
        self.frames = 0
        """Good frames so far, unknown types among them."""
        self.bad = 0
        """Bad frames so far."""
        self._run = b""
        self._throwing_away = False
        self._loop_below = loop_below

    @property
    def pending(self) -> int:
        """Bytes held of a frame not finished yet, at most ``MAX_RUN``; 0 while bytes are thrown away."""
        return len(self._run)

    def feed(self, data: bytes) -> Decoded:
        """Take the next bytes and return what their good frames say."""
        buffer = np.frombuffer(self._run + data if self._run else data, np.uint8)
        if self._throwing_away:
            zero = data.find(b"\x00")
            buffer = buffer[zero + 1 :] if zero >= 0 else buffer[:0]
            self._throwing_away = zero < 0
        ends = np.flatnonzero(buffer == 0)
        starts = np.empty_like(ends)
        starts[:1] = 0
        np.add(ends[:-1], 1, out=starts[1:])
        self._keep(buffer[ends[-1] + 1 :] if len(ends) else buffer)
        lengths = ends - starts
        decoded = _Opened(buffer, starts).open_all(lengths, self._loop_below)
        self.frames += len(decoded.seqs)
        self.bad += int(np.count_nonzero(lengths)) - len(decoded.seqs)
        return decoded

    def _keep(self, tail: Bytes) -> None:
        if len(tail) > MAX_RUN:
            self.bad += 1
            self._throwing_away = True
        self._run = b"" if self._throwing_away else tail.tobytes()


class _Opened:
    """The runs of one buffer and what has been found in them so far, each under the number of its run."""

    def __init__(self, buffer: Bytes, starts: Integers) -> None:
        self._buffer = buffer
        self._starts = starts
        self._good: Bools = np.zeros(len(starts), np.bool_)
        self._seq: Words = np.zeros(len(starts), np.uint16)
        self._rows: list[_Rows] = []
        self._others: list[tuple[int, Message]] = []

    def open_all(self, lengths: Integers, loop_below: int) -> Decoded:
        """Open every run, those of one length together, and put what they hold in the order of the runs."""
        short = np.minimum(lengths, MAX_RUN + 1).astype(np.uint8)
        how_many = np.bincount(short, minlength=MAX_RUN + 1)
        for length in range(MIN_RUN, MAX_RUN + 1):
            if how_many[length] == 0:
                continue
            which = np.flatnonzero(short == length)
            if len(which) < loop_below:
                self._open_in_loop(which, length)
                continue
            block = _BLOCK_BYTES // length
            for first in range(0, len(which), block):
                self._open_in_columns(which[first : first + block], length)
        ordinal = np.cumsum(self._good) - 1
        others = [(int(ordinal[run]), message) for run, message in sorted(self._others, key=_run)]
        return Decoded(self._ordered_samples(ordinal), self._seq[self._good], others)

    def _ordered_samples(self, ordinal: Integers) -> RunTable:
        if not self._rows:
            return np.empty(0, SAMPLE_DTYPE)
        # Plain words, not records: numpy copies records field by field, an order of magnitude slower.
        rows = np.concatenate(self._rows)
        if np.any(rows[1:, 0] < rows[:-1, 0]):
            rows = rows.take(np.argsort(rows[:, 0], kind="stable"), axis=0)
        rows[:, 0] = ordinal[rows[:, 0].astype(np.int64)]
        return rows.view(SAMPLE_DTYPE)[:, 0]

    def _open_in_loop(self, which: Integers, length: int) -> None:
        runs: list[int] = []
        bodies = bytearray()
        data = self._buffer.data
        for run, start in zip(which.tolist(), self._starts[which].tolist(), strict=True):
            body = open_run(bytes(data[start : start + length]))
            message = None if body is None else parse_body(body)
            if body is None or message is None:
                continue
            self._good[run] = True
            self._seq[run] = message.seq
            if isinstance(message, Sample):
                runs.append(run)
                bodies += body
            elif isinstance(message, Batch):
                for sample in message.expand():
                    runs.append(run)
                    bodies.append(TYPE_BATCH)
                    bodies += sample.encode()[1:]
            else:
                self._others.append((run, message))
        rows = np.frombuffer(bytes(bodies), np.uint8).reshape(-1, _SAMPLE_BODY)
        self._add_samples(np.array(runs, np.int64), rows)

    def _open_in_columns(self, which: Integers, length: int) -> None:
        body, good = open_columns(gather_columns(self._buffer, self._starts[which], length))
        sample = good & (body[0] == TYPE_SAMPLE)
        batch = good & (body[0] == TYPE_BATCH)
        other = good & ~(sample | batch)
        if len(body) == _SAMPLE_BODY:
            self._add_samples(which, body.T, None if sample.all() else np.flatnonzero(sample))
        else:
            good &= ~sample
        if batch.any():
            possible = batch & _has_batch_length(body)
            good &= possible | ~batch
            if possible.any():
                self._add_batches(which[possible], body[:, possible])
        for at in np.flatnonzero(other).tolist():
            message = parse_body(body[:, at].tobytes())
            if message is None:
                good[at] = False
            else:
                self._others.append((int(which[at]), message))
        self._good[which] = good
        self._seq[which] = body[2] | body[3].astype(np.uint16) << np.uint16(8)

    def _add_samples(self, runs: Integers, bodies: Bytes, only: Integers | None = None) -> None:
        """Take bodies of S frames, shape (n, 16), or only those at some places."""
        rows = np.empty((len(runs), _WORDS), "<u8")
        rows[:, 0] = runs
        rows.view(np.uint8)[:, _BODY_AT:] = bodies
        self._rows.append(rows if only is None else rows.take(only, axis=0))

    def _add_batches(self, runs: Integers, body: Bytes) -> None:
        """Take bodies of B frames, all with the same number n of samples: shape (16 + 3 n, frames)."""
        head = np.ascontiguousarray(body[:_BATCH_HEAD].T)
        pairs = np.ascontiguousarray(body[_BATCH_HEAD:].T).reshape(len(runs), -1, 3)
        n = pairs.shape[1]
        t_us = head[:, 4:8].copy().view("<u4")
        count0 = head[:, 8:12].copy().view("<i4")
        dt_us = head[:, 13:15].copy().view("<u2").astype(np.uint32)
        table = np.empty((len(runs), n), SAMPLE_DTYPE)
        table["ordinal"] = runs[:, None]
        table["type"] = TYPE_BATCH
        table["flags"] = head[:, 1:2]
        table["seq"] = head[:, 2:4].copy().view("<u2")
        table["t_us"] = t_us + dt_us * np.arange(n, dtype=np.uint32)
        table["count"] = count0 + np.cumsum(pairs[:, :, 0].view(np.int8), axis=1, dtype=np.int32)
        table["value"] = np.ascontiguousarray(pairs[:, :, 1:]).view("<i2")[:, :, 0]
        self._rows.append(table.reshape(-1).view("<u8").reshape(-1, _WORDS))


def _has_batch_length(body: Bytes) -> Bools:
    """Return which B bodies of this one length hold as many samples as they say."""
    n, left_over = divmod(len(body) - _BATCH_HEAD, 3)
    if left_over or not 1 <= n <= MAX_BATCH:
        return np.zeros(body.shape[1], np.bool_)
    same: Bools = body[12] == n
    return same


def _run(found: tuple[int, Message]) -> int:
    return found[0]
