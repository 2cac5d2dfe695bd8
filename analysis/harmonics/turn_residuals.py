"""What single turns have left of a fit over all, and what each makes of it by itself."""

from collections.abc import Iterable
from dataclasses import dataclass, fields, replace

import numpy as np
from numpy.typing import NDArray

from analysis.harmonics.design import harmonic_rows

Floats = NDArray[np.float64]

_WORST_CONDITION = 1e4
"""Condition of the normal equations above which a turn cannot speak for itself."""


@dataclass(frozen=True)
class TurnResiduals:
    """What each of several turns has left of a fit over all, as normal equations of its own orders."""

    number: NDArray[np.int64]
    """Readings, shape (turns,)."""
    gram: Floats
    """Products of the rows 1, cos, sin, cos 2, ..., shape (turns, 1 + 2 H, 1 + 2 H)."""
    right_mm: Floats
    """Products of those rows with what is left, shape (turns, 1 + 2 H)."""
    square_mm2: Floats
    """Sum of the squares of what is left, shape (turns,)."""

    @property
    def mean_mm(self) -> Floats:
        """Mean of what is left on each turn, shape (turns,)."""
        return self.right_mm[:, 0] / self.number

    def up_to(self, highest_order: int) -> "TurnResiduals":
        """Return the same with rows of fewer orders."""
        some = slice(1 + 2 * highest_order)
        return replace(self, gram=self.gram[:, some, some], right_mm=self.right_mm[:, some])

    def of_turns(self, some: NDArray[np.bool_]) -> "TurnResiduals":
        """Return the same of some of the turns; nothing is copied where it is all of them."""
        if some.all():
            return self
        return TurnResiduals(self.number[some], self.gram[some], self.right_mm[some], self.square_mm2[some])

    def less_mean(self) -> "TurnResiduals":
        """Return the same with the mean of each turn taken off what is left."""
        mean = self.mean_mm
        return replace(
            self,
            right_mm=self.right_mm - mean[:, None] * self.gram[:, 0],
            square_mm2=self.square_mm2 - self.number * mean**2,
        )

    def fits(self, highest_order: int) -> "TurnFits":
        """Return what each turn makes of orders up to the highest by itself, where it carries such a fit."""
        turns = self.up_to(highest_order)
        turns = turns.of_turns(turns.number >= turns.gram.shape[1] + 2)
        # Of symmetric matrices the eigenvalues tell the condition, sooner than singular values do.
        lowest, *_, highest = np.moveaxis(np.linalg.eigvalsh(turns.gram), -1, 0)
        turns = turns.of_turns(highest <= _WORST_CONDITION * lowest)
        inverse = np.linalg.inv(turns.gram)
        own = (inverse @ turns.right_mm[:, :, None])[:, :, 0]
        by_pair = inverse[:, 1:, 1:].reshape(-1, highest_order, 2, highest_order, 2)
        return TurnFits(
            turns.number,
            own,
            np.ascontiguousarray(np.einsum("tncnd->tncd", by_pair)),
            np.sum(turns.right_mm * own, axis=1),
            turns.square_mm2,
        )

    @staticmethod
    def of(
        angle_rad: Floats, residual_mm: Floats, turn: NDArray[np.int64], highest_order: int
    ) -> "TurnResiduals":
        """Return the same from residuals, unwrapped angles (rad) and the number of the turn of each, (n,)."""
        here = np.split(np.arange(len(turn)), np.flatnonzero(np.diff(turn)) + 1)
        rows = [harmonic_rows(angle_rad[mine], highest_order) for mine in here]
        left = [residual_mm[mine] for mine in here]
        return TurnResiduals(
            np.array([len(each) for each in left]),
            np.array([own @ own.T for own in rows]),
            np.array([own @ each for own, each in zip(rows, left, strict=True)]),
            np.array([float(each @ each) for each in left]),
        )


@dataclass(frozen=True)
class TurnFits:
    """Orders of each of several turns, fitted by itself to what a fit over all has left of it."""

    number: NDArray[np.int64]
    """Readings, shape (turns,)."""
    own_mm: Floats
    """1, a1, b1, a2, ..., shape (turns, 1 + 2 H)."""
    pair_covariances: Floats
    """Covariance of the two of each order for readings of variance 1, shape (turns, H, 2, 2)."""
    explained_mm2: Floats
    """Sum of squares that the fit takes out, shape (turns,)."""
    square_mm2: Floats
    """Sum of the squares before, shape (turns,)."""

    @staticmethod
    def joined(parts: "Iterable[TurnFits]") -> "TurnFits":
        """Put turns together."""
        all_parts = list(parts)
        names = [field.name for field in fields(TurnFits)]
        return TurnFits(*(np.concatenate([getattr(part, name) for part in all_parts]) for name in names))
