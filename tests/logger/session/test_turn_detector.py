"""The detector: every full turn is told once, as it ends, whatever the pieces; nothing is told twice."""

from collections.abc import Iterable
from itertools import pairwise

import numpy as np
import pytest
from boards import PER_TURN, ScriptedBoard, counts, host, wobble

from analysis.capture import Samples, Turn, cut_turns
from analysis.capture.events import MarkTouched
from analysis.setup import MarkSide
from logger.session import turn_detector
from logger.session.session import Session
from logger.session.turn_detector import FinishedTurnSamples, TurnDetector


class Bench:
    """A session with its detector, and a board that turns."""

    def __init__(self) -> None:
        self.session, self.detector, self.board = Session(), TurnDetector(), ScriptedBoard()
        self.ended: list[FinishedTurnSamples] = []
        self._us = 0
        self.board.greet()
        self.board.describe()

    def turn(self, through: Iterable[int], piece: int = 1) -> None:
        """Send readings at these counts, so many in one piece."""
        row = [int(count) for count in through]
        for start in range(0, len(row), piece):
            for count in row[start : start + piece]:
                self.board.sample(self._us, count, wobble(count))
                self._us += 20_000
            self._take()

    def mark(self, count: int) -> None:
        self.session.take_event(MarkTouched(MarkSide.PART, count))

    def restart(self) -> None:
        self.board.greet(boot_id=8)
        self.board.describe()
        self._take()

    def _take(self) -> None:
        now = host(self._us * 1e-6)
        self.session.feed(now, self.board.take())
        self.ended += self.detector.look(self.session, now)

    def angles(self) -> list[tuple[float, float]]:
        """Return where each turn begins and ends, degrees."""
        found = []
        for one in self.ended:
            deg = np.degrees(one.capture.samples.angle_rad[one.turn.where])
            found.append((float(deg.min().round(6)), float(deg.max().round(6))))
        return found


@pytest.fixture
def bench() -> Bench:
    return Bench()


@pytest.mark.parametrize("piece", [1, 7, 61, 1000])
def test_every_turn_is_told_once(bench: Bench, piece: int):
    bench.turn(counts(3.2), piece)
    assert [one.turn.number for one in bench.ended] == [0, 1, 2]
    assert [one.number for one in bench.ended] == [0, 1, 2]


def test_a_turn_is_told_at_the_reading_that_ends_it(bench: Bench):
    bench.turn(counts(1)[:-1])
    assert bench.ended == []
    bench.turn(counts(1)[-1:])
    assert len(bench.ended) == 1


def test_less_than_a_turn_is_none(bench: Bench):
    bench.turn(counts(0.9))
    assert bench.ended == []


def test_a_turn_goes_from_mark_to_mark(bench: Bench):
    bench.turn(counts(0.5))
    bench.mark(600)
    bench.turn(counts(2, first=1240))
    assert bench.angles() == [(0.0, 354.0), (360.0, 714.0)]


def test_a_turn_has_all_its_readings(bench: Bench):
    bench.turn(counts(2.1))
    # 60 readings from mark to mark; the one at the closing mark may belong to either turn.
    assert [len(one.turn.where) for one in bench.ended] == [pytest.approx(60, abs=1)] * 2


def test_a_hand_that_hesitates_at_the_mark_ends_the_turn_once(bench: Bench):
    bench.turn(counts(1.02))
    bench.turn(reversed(counts(1.02)[-10:]))
    bench.turn(counts(1.1)[50:])
    assert [one.turn.number for one in bench.ended] == [0]


def test_turns_the_other_way_are_told_too(bench: Bench):
    bench.turn(-counts(2.1))
    assert [(one.turn.number, one.turn.direction) for one in bench.ended] == [(-1, -1), (-2, -1)]


def test_a_turn_there_and_a_turn_back_are_two(bench: Bench):
    bench.turn(counts(1.1))
    bench.turn(counts(1.1)[::-1])
    bench.turn(-counts(0.1))
    assert [one.turn.direction for one in bench.ended] == [1, -1]


def test_after_a_restart_nothing_is_told_before_a_mark_is_touched(bench: Bench):
    bench.turn(counts(1.1))
    bench.restart()
    bench.turn(counts(2.2))
    assert len(bench.ended) == 1


def test_a_mark_touched_after_a_restart_holds_for_its_whole_boot(bench: Bench):
    bench.restart()
    bench.turn(counts(1.1))
    bench.mark(2640)
    bench.turn(counts(1.1, first=2640))
    # The turn up to the mark, and the one from it on.
    assert bench.angles() == [(-360.0, -6.0), (0.0, 354.0)]


def test_a_mark_touched_at_another_angle_begins_other_turns(bench: Bench):
    bench.turn(counts(1.2))
    bench.mark(1000)
    bench.turn(counts(1.6, first=2880))
    # From 0 to 2400 by the old zero; by the new one from 3400 to 5800.
    assert [int(one.capture.samples.angle_rad[one.turn.where[0]] * 10) for one in bench.ended] == [0, 62]


def test_a_look_costs_no_more_in_a_long_recording(bench: Bench):
    bench.turn(counts(12.1))
    # Of each look only what came since the turn before was taken up: two turns at most.
    assert max(len(one.capture.samples) for one in bench.ended) <= 2 * 61


def test_readings_of_the_turn_are_those_of_the_gauge(bench: Bench):
    bench.turn(counts(1.1))
    (one,) = bench.ended
    reading = one.capture.samples.reading_mm[one.turn.where]
    # A wobble of 0.100 mm, read to 0.001 mm at 60 places.
    assert np.ptp(reading) == pytest.approx(0.100, abs=0.001)


def test_before_the_board_says_how_it_scales_nothing_is_told():
    bench = Bench()
    bench.board.take()
    bench.turn(range(0, 2 * PER_TURN, 40))
    assert bench.ended == []


# --- where no turn ends ---------------------------------------------------------------------------------------


def hand(seed: int) -> list[int]:
    """Counts of a hand that goes on, rests and trembles, and goes back, now and then by more than a turn."""
    rng = np.random.default_rng(seed)
    stops = np.cumsum(
        rng.choice([0.1, 0.4, 0.9, 2.3, -0.2, -0.7, -1.6], 30, p=[0.2, 0.2, 0.2, 0.1, 0.1, 0.1, 0.1])
    )
    pieces = [np.arange(a, b, np.copysign(1 / 60, b - a)) for a, b in pairwise([0.0, *stops])]
    return [round(PER_TURN * turns) + int(rng.integers(-1, 2)) for turns in np.concatenate(pieces)]


@pytest.mark.parametrize("piece", [1, 37])
@pytest.mark.parametrize("seed", range(10))
def test_however_a_hand_turns_the_turns_told_are_those_of_the_whole(bench: Bench, seed: int, piece: int):
    bench.turn(hand(seed), piece)
    found = [(one.turn.number, one.turn.direction) for one in bench.ended]
    whole = [(turn.number, turn.direction) for turn in cut_turns(bench.session.capture().samples)]
    assert found == list(dict.fromkeys(whole))


def looked_at(through: Iterable[int], monkeypatch: pytest.MonkeyPatch) -> int:
    """Return how many readings the detector cut in all, a reading at a time."""
    cut = 0

    def counted(samples: Samples) -> list[Turn]:
        nonlocal cut
        cut += len(samples)
        return cut_turns(samples)

    monkeypatch.setattr(turn_detector, "cut_turns", counted)
    Bench().turn(through)
    return cut


NO_TURN_ENDS = {
    "runs on 6.7 turns and jumps back": [*range(0, 16_000, 40)] * 8,
    "trembles about the mark": [0, -1] * 1600,
    "begins past the mark and trembles at the next": [*range(300, 2400, 40), *([2401, 2399] * 1500)],
    "goes to and fro over the mark": [*range(-1000, 1000, 40), *range(1000, -1000, -40)] * 32,
    "at random": [int(count) for count in np.random.default_rng(4).integers(-(2**31), 2**31, 3200)],
    "ever on in steps of half the counter": [k * 2**31 for k in range(3200)],
}


@pytest.mark.parametrize("through", NO_TURN_ENDS.values(), ids=NO_TURN_ENDS)
def test_where_no_turn_ends_a_look_costs_no_more_as_time_goes_on(
    through: list[int], monkeypatch: pytest.MonkeyPatch
):
    half = looked_at(through[: len(through) // 2], monkeypatch)
    # Twice the readings, twice the work: 4 times where every look went back to the last turn that ended.
    assert looked_at(through, monkeypatch) <= 2.3 * half + 100
    assert half <= 4 * len(through)
