"""What of a hand's way is trodden for the first time in one direction, with the samples taken on it.

Fed with pieces of any size. Knows nothing of turns.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analysis.capture.samples import Floats, Samples, joined

TREMBLE_RAD = 2.0 * np.pi * 1e-4
"""Up to so far behind is a hand that trembles by a count, not one that goes back."""


@dataclass(frozen=True, slots=True)
class Ground:
    """Samples in the order taken, none behind the furthest by more than a tremble; all of shape (n,)."""

    number: NDArray[np.intp]
    """Running numbers of the samples."""
    furthest_rad: Floats
    """How far the hand had come by each, counted in its direction: never falls."""
    samples: Samples

    def __len__(self) -> int:
        return len(self.number)

    def part(self, where: slice | NDArray[np.intp]) -> "Ground":
        """Return a part of it; a slice shares its memory."""
        return Ground(self.number[where], self.furthest_rad[where], self.samples.take(where))


class GroundPile:
    """Pieces of ground one behind another, joined as they come so that many small ones stay few."""

    def __init__(self) -> None:
        self._pieces: list[Ground] = []
        self._size = 0

    def __len__(self) -> int:
        return self._size

    def add(self, piece: Ground) -> None:
        """Put a piece behind the others: each sample is copied a few times at most, also of small pieces."""
        if not len(piece):
            return
        self._size += len(piece)
        last = [piece]
        size = len(piece)
        while self._pieces and len(self._pieces[-1]) <= size:
            last.append(self._pieces.pop())
            size += len(last[-1])
        self._pieces.append(join_ground(last[::-1]))

    def joined(self) -> Ground | None:
        """Return all of it as one piece; None where there is nothing."""
        return join_ground(self._pieces) if self._pieces else None


def join_ground(pieces: Sequence[Ground]) -> Ground:
    """Return pieces as one; a single one as it is."""
    if len(pieces) == 1:
        return pieces[0]
    return Ground(
        np.concatenate([piece.number for piece in pieces]),
        np.concatenate([piece.furthest_rad for piece in pieces]),
        joined(piece.samples for piece in pieces),
    )


class FreshGround:
    """Leaves out what is trodden again, in one direction from one sample on."""

    def __init__(self, direction: int, most_at_rest: int | None) -> None:
        self.direction = direction
        """+1 with growing angle, -1 against it."""
        self.furthest_rad = -np.inf
        self._most_at_rest = most_at_rest
        self._at_rest = 0
        """Fresh samples since the hand last came further."""

    def furthest_of(self, travel_rad: Floats) -> Floats:
        """Return how far the hand has come by each of the next samples; they are not taken yet."""
        furthest = np.maximum.accumulate(travel_rad)
        if len(furthest) and furthest[0] < self.furthest_rad:
            np.maximum(furthest, self.furthest_rad, out=furthest)
        return furthest

    def take(
        self, number: NDArray[np.intp], samples: Samples, travel_rad: Floats, furthest_rad: Floats
    ) -> Ground:
        """Take the next samples and return those that lie on fresh ground."""
        ground = Ground(number, furthest_rad, samples)
        if not len(ground):
            return ground
        fresh = travel_rad >= furthest_rad - TREMBLE_RAD
        if not fresh.all():
            ground = ground.part(np.flatnonzero(fresh))
        if len(ground):
            ground = self._not_too_long_at_rest(ground)
            self.furthest_rad = float(furthest_rad[-1])
        return ground

    def _not_too_long_at_rest(self, ground: Ground) -> Ground:
        furthest = ground.furthest_rad
        newest = int(np.searchsorted(furthest, furthest[-1]))
        further = furthest[-1] > self.furthest_rad
        before = self._at_rest
        self._at_rest = len(ground) - newest - 1 if further else before + len(ground)
        if self._most_at_rest is None or before + len(ground) <= self._most_at_rest:
            return ground
        place = np.arange(len(ground))
        came_further = np.diff(furthest, prepend=self.furthest_rad) > 0
        rested = place - np.maximum.accumulate(np.where(came_further, place, -1 - before))
        return ground.part(np.flatnonzero(rested <= self._most_at_rest))
