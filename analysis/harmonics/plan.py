"""What is fitted to a sweep: decided once, so that fit, interval, lag and bumps are of one model."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class FitPlan:
    """The model of one sweep, and what its turns allow to be told."""

    highest_order: int
    turns: int
    few_places: bool = False
    """True where a few places were read one after the other: nothing that moves in time is told from them."""
    even_angles: bool = True
    """False where angles are told by time: uneven turning bends the part's own orders into what looks like
    lines that do not repeat with the turn, and makes turns differ."""
    every_turn: bool = True
    """False where the readings at hand are of some turns of a long sweep only: over so many, what does not
    repeat with the turn averages out."""
    added_orders: tuple[int, ...] = ()
    """Single orders above the highest that stand out of the noise: lobes of the part."""

    @property
    def drift(self) -> bool:
        """True where a drift is fitted: one turn alone shows none that its own form could not be."""
        return self.turns >= 2 and not self.few_places

    @property
    def lines(self) -> bool:
        """True where lines that do not repeat with the turn are looked for."""
        return self.drift and self.even_angles and self.every_turn

    @property
    def one_turn(self) -> bool:
        """True where motion may hide in a single turn: there is no other to differ from."""
        return self.turns == 1 and not self.few_places
