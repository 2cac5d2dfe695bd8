"""How the part is turned or pushed: by hand, by a lathe, to and fro along its axis, piece by piece.

A motion is an endless row of pieces. Angles are in turns, so that the mark is met at whole numbers
exactly; times are whole microseconds from the beginning. Every turn draws from its own random numbers:
what comes later never depends on how far ahead somebody looked.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import count
from random import Random
from typing import Protocol

REST_S = 0.25
"""The part stands still this long before it is moved at all."""
US = 1_000_000


@dataclass(frozen=True, slots=True)
class Piece:
    """One smooth piece of motion."""

    start_us: int
    end_us: int
    turns: tuple[float, float]
    """Angle at its start and end, turns."""
    axial_mm: tuple[float, float] = (0.0, 0.0)
    """Shaft toward the indicator at its start and end, mm."""
    done: tuple[float, float] = (0.0, 0.0)
    """How much of the work is done at its start and end, turns (or push-pull cycles); never falls."""
    ripple: float = 0.0
    """Speed goes from 1 - ripple of its mean at both ends to 1 + ripple in the middle."""

    def share(self, t_us: float) -> float:
        """Return how much of the way (0 to 1) is behind at a time within the piece."""
        part = (t_us - self.start_us) / (self.end_us - self.start_us)
        return part - self.ripple * math.sin(math.tau * part) / math.tau

    def when(self, share: float) -> int:
        """Return the first microsecond at which this share of the way is behind."""
        low, high = self.start_us, self.end_us
        while low < high:
            middle = (low + high) // 2
            if self.share(middle) >= share:
                high = middle
            else:
                low = middle + 1
        return low


class Motion(Protocol):
    """Anything that moves the part."""

    def pieces(self, seed: str) -> Iterator[Piece]:
        """Return the endless row of pieces that this seed gives."""


class _Chain:
    """Joins pieces end to end."""

    def __init__(self) -> None:
        self.t_us = 0
        self.turns = 0.0
        self.axial_mm = 0.0
        self.done = 0.0

    def go(
        self,
        seconds: float,
        turns: float | None = None,
        *,
        axial_mm: float | None = None,
        done: float | None = None,
        ripple: float = 0.0,
    ) -> Piece:
        """Return the next piece: to a place, or a rest where none is given."""
        end_us = self.t_us + max(1, round(seconds * US))
        turns = self.turns if turns is None else turns
        axial_mm = self.axial_mm if axial_mm is None else axial_mm
        done = self.done if done is None else done
        changes = (self.turns, turns), (self.axial_mm, axial_mm), (self.done, done)
        piece = Piece(self.t_us, end_us, *changes, ripple)
        self.t_us, self.turns, self.axial_mm, self.done = end_us, turns, axial_mm, done
        return piece


@dataclass(frozen=True)
class Hand:
    """A hand that turns grip by grip, rests now and then, and once in a while goes back a little."""

    turn_s: tuple[float, float] = (6.2, 8.4)
    """Shortest and longest time of a turn without its rests, s; with everything no turn takes 12 s."""
    grips: int = 4
    ripple: float = 0.35
    rest_chance: float = 0.4
    """How likely a turn has a rest in it."""
    back_turn: int = 2
    """Turn (from 0, and every fifth after it) in which the hand goes back and on again."""
    reverse_from: int | None = None
    """Turn (from 0) from which the hand turns the other way for good."""

    def pieces(self, seed: str) -> Iterator[Piece]:
        """Return the endless row of pieces that this seed gives."""
        chain = _Chain()
        yield chain.go(REST_S)
        for number in count():
            direction = 1
            if self.reverse_from is not None and number >= self.reverse_from:
                direction = -1
                if number == self.reverse_from:
                    yield chain.go(0.4)
            yield from self._turn(chain, number, direction, Random(f"{seed}:hand:{number}"))

    def _turn(self, chain: _Chain, number: int, direction: int, random: Random) -> Iterator[Piece]:
        base = chain.turns
        seconds = random.uniform(*self.turn_s)
        grips = [random.uniform(0.8, 1.2) for _ in range(self.grips)]
        paces = [grip * random.uniform(0.85, 1.15) for grip in grips]
        rest_after = random.randrange(self.grips) if random.random() < self.rest_chance else -1
        rest_s = random.uniform(0.3, 0.9)
        back_turns, back_s = random.uniform(20.0, 32.0) / 360.0, random.uniform(0.6, 0.9)
        for k in range(self.grips):
            last = k == self.grips - 1
            share = 1.0 if last else sum(grips[: k + 1]) / sum(grips)
            yield chain.go(
                seconds * paces[k] / sum(paces),
                base + direction if last else base + direction * share,
                done=number + share,
                ripple=self.ripple,
            )
            if k == rest_after:
                yield chain.go(rest_s)
            if k == 1 and number % 5 == self.back_turn:
                here = chain.turns
                yield chain.go(back_s, here - direction * back_turns, ripple=self.ripple)
                yield chain.go(0.2)
                yield chain.go(back_s, here, ripple=self.ripple)


@dataclass(frozen=True)
class Lathe:
    """A lathe at creep speed, with a little ripple of its belt and a pace that wanders."""

    rpm: float = 7.5
    ripple: float = 0.03
    wander: float = 0.01
    """Standard deviation of a turn's time, relative."""
    direction: int = 1
    """-1 where it turns the other way."""

    def pieces(self, seed: str) -> Iterator[Piece]:
        """Return the endless row of pieces that this seed gives."""
        chain = _Chain()
        yield chain.go(REST_S)
        for number in count():
            wander = max(-3.0, min(3.0, Random(f"{seed}:lathe:{number}").gauss(0.0, 1.0)))
            seconds = 60.0 / self.rpm * (1.0 + self.wander * wander)
            for k in (1, 2, 3):
                to = number + (k / 3.0 if k < 3 else 1.0)
                yield chain.go(seconds / 3.0, self.direction * to, done=to, ripple=self.ripple)


@dataclass(frozen=True)
class PushPull:
    """A shaft pushed home and pulled out again, cycle after cycle, without turning."""

    float_mm: float
    """How far it comes toward the indicator."""
    hold_s: float = 1.6
    move_s: float = 0.4

    def pieces(self, seed: str) -> Iterator[Piece]:
        """Return the endless row of pieces; nothing in them is random."""
        chain = _Chain()
        yield chain.go(REST_S)
        for number in count():
            for k, axial_mm in enumerate((0.0, self.float_mm)):
                start = number + 0.5 * k
                yield chain.go(self.move_s, axial_mm=axial_mm, done=start + 0.1, ripple=0.9)
                yield chain.go(self.hold_s, done=start + 0.5)
