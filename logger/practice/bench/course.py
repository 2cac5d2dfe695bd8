"""Where the part is at a time: a motion's pieces looked up, and the moments it passes the index.

Times are microseconds from the beginning of the motion. Knows nothing of counts.
"""

import math
from collections import deque
from collections.abc import Iterator
from typing import NamedTuple

from logger.practice.bench.motion import Piece

_KEEP = 64
"""Pieces kept behind the present one: a gauge that is late still asks about them."""


class Place(NamedTuple):
    """Where the part is."""

    turns: float
    axial_mm: float


class Pulse(NamedTuple):
    """The index passing its pick-up."""

    t_us: int
    number: int
    """Which whole turn it belongs to."""
    direction: int
    """+1 forward, -1 back."""


class Course:
    """Follows one endless row of pieces; asked in growing time, or a few pieces back."""

    def __init__(self, pieces: Iterator[Piece], pulse_width_turns: float = 0.0) -> None:
        self._source = pieces
        self._width = pulse_width_turns
        self._pieces: deque[Piece] = deque()
        self._at = 0
        self.pulses: deque[Pulse] = deque()
        """Passes of the index known so far, rising in time; whoever handles one takes it off."""
        self.known_until_us = 0
        """End of the last piece looked at: all passes before it are known."""

    def place(self, t_us: int) -> Place:
        """Return angle and axial place; before the beginning the part stands where it begins."""
        piece = self._piece(t_us)
        if t_us <= piece.start_us:
            return Place(piece.turns[0], piece.axial_mm[0])
        share = piece.share(t_us)
        (turns, to_turns), (axial, to_axial) = piece.turns, piece.axial_mm
        return Place(turns + (to_turns - turns) * share, axial + (to_axial - axial) * share)

    def time_of(self, done: float) -> int:
        """Return when so much of the work (turns or cycles) was first done; asked before it is long past."""
        k = 0
        while True:
            while k >= len(self._pieces):
                self._next_piece()
            start, end = self._pieces[k].done
            if end >= done and (end > start or done <= start):
                return self._pieces[k].when((done - start) / (end - start) if end > start else 0.0)
            k += 1

    def know_until(self, t_us: int) -> None:
        """Look far enough ahead that every pass of the index up to this time is known."""
        while self.known_until_us < t_us:
            self._next_piece()

    def _piece(self, t_us: int) -> Piece:
        while self._at > 0 and t_us < self._pieces[self._at].start_us:
            self._at -= 1
        while True:
            while self._at >= len(self._pieces):
                self._next_piece()
            if t_us < self._pieces[self._at].end_us:
                break
            self._at += 1
        while self._at > _KEEP:
            self._pieces.popleft()
            self._at -= 1
        return self._pieces[self._at]

    def _next_piece(self) -> None:
        piece = next(self._source)
        self._pieces.append(piece)
        self.known_until_us = piece.end_us
        start, end = piece.turns
        direction = 1 if end > start else -1
        # Forward the pulse begins at the whole turn, back at its other edge; an edge belongs to the piece
        # that ends on it, so that two pieces joined there make one pulse.
        edge = 0.0 if direction > 0 else self._width
        if direction > 0:
            numbers = range(math.floor(start) + 1, math.floor(end) + 1)
        else:
            numbers = range(math.ceil(start - edge) - 1, math.ceil(end - edge) - 1, -1)
        for number in numbers:
            self.pulses.append(Pulse(piece.when((number + edge - start) / (end - start)), number, direction))
