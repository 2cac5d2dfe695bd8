"""At which places of the turn there are readings at all, over all turns of a sweep."""

import math

import numpy as np

from analysis.capture import Bools, Floats, largest_gap_deg

_PLACES = 360_000
"""Places nearer than a thousandth of a degree are one."""
_MOST_EXACT = 20_000
_ROUNDING_DEG = 1e-9


class OccupiedPlaces:
    """Takes the angles of turn after turn; so long as they are few, it knows them exactly."""

    def __init__(self) -> None:
        self._at = np.zeros(_PLACES, bool)
        self._degree = np.zeros(360, bool)
        self._counts: Bools | None = None
        """At which counts of the encoder, of turns that stand at whole ones."""
        self._exact: list[Floats] | None = []
        self._number = 0

    def add(self, angle_rad: Floats, at_counts: Bools | None = None) -> None:
        """Take the angles (rad) of more readings; ``at_counts``: which counts of the encoder they all are."""
        if at_counts is None:
            self._mark(angle_rad)
        else:
            self._counts = at_counts if self._counts is None else self._counts | at_counts
        self._number += len(angle_rad)
        if self._exact is not None:
            self._exact.append(angle_rad)
            if self._number > _MOST_EXACT:
                self._exact = None

    def _mark(self, angle_rad: Floats) -> None:
        deg = np.degrees(np.mod(angle_rad, 2.0 * math.pi))
        self._at[np.rint(deg * 1e3).astype(np.int64) % _PLACES] = True
        self._degree[np.floor(deg + _ROUNDING_DEG).astype(np.int64) % 360] = True

    def _mark_counts(self) -> None:
        """Take in what was only noted by count."""
        if self._counts is not None:
            self._mark(
                np.asarray(np.flatnonzero(self._counts) * (2.0 * math.pi / len(self._counts)), np.float64)
            )
            self._counts = None

    @property
    def places(self) -> int:
        """How many different places there are, to a thousandth of a degree."""
        self._mark_counts()
        return int(np.count_nonzero(self._at))

    @property
    def degrees(self) -> int:
        """In how many of the 360 degrees there is a reading."""
        self._mark_counts()
        return int(np.count_nonzero(self._degree))

    def angles_rad(self) -> Floats:
        """Return angles that stand for all, rad."""
        if self._exact is not None:
            return np.concatenate([np.empty(0), *self._exact])
        self._mark_counts()
        return np.asarray(np.radians(np.flatnonzero(self._at) / 1e3))

    @property
    def gap_deg(self) -> float:
        """Widest gap between them."""
        return largest_gap_deg(self.angles_rad())

    @property
    def most_orders(self) -> int:
        """Up to which order they carry a fit: half as many where they are even, less than half otherwise."""
        even_deg = 360.0 / max(self.places, 1)
        exact_deg = 1e-6 if self._exact is not None else 1.5e-3
        even = abs(self.gap_deg - even_deg) < exact_deg
        return self.places // 2 if even else (self.places - 1) // 2
