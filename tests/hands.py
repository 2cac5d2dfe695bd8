"""A hand on the practice bench's part that does what a test says: turn, stand, go to a place."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from pathlib import Path

from screens import Seat, practice_seat

from logger.practice.bench.bench import Bench
from logger.practice.bench.faults import fault as find_fault
from logger.practice.bench.motion import Piece
from logger.practice.stories.catalogue import scenario as find_scenario

PIECE_US = 10_000


@dataclass
class Hand:
    """A motion of small pieces, each as fast as the test wants it then."""

    rpm: float = 0.0
    to_turns: float | None = None
    """Where it stops by itself; None: nowhere."""
    turns: float = 0.0
    """Where the part is."""
    pauses: Callable[[], bool] = lambda: False
    """While this is true it stands, whatever its speed."""

    def pieces(self, seed: str) -> Iterator[Piece]:
        """Return the endless row of pieces."""
        del seed
        t_us = 0
        while True:
            rpm = 0.0 if self.pauses() else self.rpm
            before, after = self.turns, self.turns + rpm * PIECE_US / 60e6
            if self.to_turns is not None and after >= self.to_turns:
                after, self.rpm, self.to_turns = self.to_turns, 0.0, None
            self.turns = after
            yield Piece(t_us, t_us + PIECE_US, (before, after), done=(before, after))
            t_us += PIECE_US

    def turn(self, seat: Seat, turns: float, rpm: float = 8.0) -> None:
        """Turn so far on from where the part is now, and stand for a second."""
        self.rpm, self.to_turns = rpm, self.turns + turns
        seat.go(60.0 / rpm * turns + 1.2)


def bench_by_hand(
    scenario: str = "wind-pump/as-found", fault: str | None = None, rpm: float = 0.0
) -> tuple[Hand, Bench]:
    """Return a bench whose part moves as the hand is told to, and only then.

    A fault lies at a place of the turning: then it has to turn from the beginning.
    """
    hand = Hand(rpm)
    made = Bench(replace(find_scenario(scenario), motion=hand), 1, find_fault(fault) if fault else None)
    return hand, made


def seat_by_hand(
    folder: Path, scenario: str = "wind-pump/as-found", fault: str | None = None, **setup: str
) -> tuple[Hand, Seat]:
    """Return a hand, and a seat at its bench where the part has stood for a second; with a fault it turns."""
    hand, bench = bench_by_hand(scenario, fault, rpm=8.0 if fault else 0.0)
    seat = practice_seat(folder, scenario, bench=bench, override=setup)
    seat.go(1.0)
    return hand, seat


def seat_that_stops_for_marks(folder: Path, fault: str | None = None) -> Seat:
    """Return a seat at a bench that turns, and stands while a job asks for a mark."""
    hand, bench = bench_by_hand(fault=fault, rpm=8.0)
    seat = practice_seat(folder, bench=bench)
    hand.pauses = lambda: seat.console.guide.phase in ("mark", "confirm")
    return seat
