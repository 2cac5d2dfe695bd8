"""Which turns of a sweep count: those at the newest zero, the way most were turned, seen all round.

A turn that was not seen all round is refused, not the sweep: it is left out where others remain.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Protocol

import numpy as np

from analysis.capture import Samples, Turn, Window, reason_broken, reason_left_out
from analysis.capture.events import TimedEvent
from analysis.errors import BadInput
from analysis.sweep.reduced_turns import ReducedTurns
from analysis.sweep.turn_results import CountedTurn, values_that_count
from analysis.units import format_count

REFUSED_GAP_DEG = 30.0
"""A turn with a wider gap is not counted in while others remain."""


class ChoiceSettings(Protocol):
    """What the choice depends on."""

    @property
    def resolution_mm(self) -> float: ...
    @property
    def counts_per_turn(self) -> float: ...
    @property
    def orders(self) -> int | None: ...
    @property
    def windows(self) -> Sequence[Window]: ...
    @property
    def excluding(self) -> Sequence[TimedEvent]: ...


@dataclass
class _OneDirection:
    """The turns at the newest zero that went one way."""

    seen: ReducedTurns
    """Those seen all round."""
    gaps: ReducedTurns | None
    """The others, so long as there is none that was."""
    found: int = 0
    refused: list[str] = field(default_factory=list)


class ChosenTurns:
    """Takes the full turns of a sweep as they end, with their samples, and reduces them."""

    def __init__(self, settings: ChoiceSettings) -> None:
        self._settings = settings
        self.found = 0
        """Full turns, whether they count or not."""
        self._segment: int | None = None
        """The stretch of the newest zero."""
        self._directions: dict[int, _OneDirection] = {}
        self._at_older = 0
        """Turns before the newest zero."""
        self._left_out: list[tuple[Turn, str]] = []

    def add(self, turn: Turn, samples: Samples) -> bool:
        """Take the next turn, and return whether it counts unless another takes its place."""
        settings = self._settings
        self.found += 1
        why = reason_left_out(turn, settings.excluding)
        turn = replace(turn, where=np.empty(0, np.intp))  # samples are not asked for any more
        if why is not None:
            self._left_out.append((turn, why))
            return False
        if self._segment is None or turn.segment > self._segment:
            self._at_older += sum(one.found for one in self._directions.values())
            self._segment, self._directions = turn.segment, {}
        elif turn.segment < self._segment:
            self._at_older += 1
            return False
        if turn.direction not in self._directions:
            self._directions[turn.direction] = _OneDirection(self._nothing(), self._nothing())
        same = self._directions[turn.direction]
        same.found += 1
        values = values_that_count(samples, settings.windows)
        known = CountedTurn.of(turn, samples, values)
        if known.largest_gap_deg <= REFUSED_GAP_DEG:
            same.seen.add(known, values)
            same.gaps = None
        else:
            if same.gaps is not None and len(values):
                same.gaps.add(known, values)
            same.refused.append(f"turn {same.found} is left out: a gap of {known.largest_gap_deg:.0f} deg")
        return True

    @property
    def _main(self) -> _OneDirection:
        forward = self._directions[1].found if 1 in self._directions else 0
        return self._directions[1 if 2 * forward >= self._found_at_newest else -1]

    @property
    def _found_at_newest(self) -> int:
        return sum(one.found for one in self._directions.values())

    @property
    def reduced(self) -> ReducedTurns:
        """The turns that count, reduced. Raises BadInput where there are none."""
        if not self._directions:
            raise BadInput(
                "every full turn was left out by a person's word: turn once more, or take one back"
            )
        main = self._main
        turns = main.seen if main.gaps is None else main.gaps
        if not turns.counted_turns:
            raise BadInput(
                "no reading of any full turn counts: all are beyond the gauge's range, held or left out; set "
                "the gauge nearer to the middle of its range, and sweep again"
            )
        return turns

    @property
    def other_direction(self) -> int:
        """Full turns at the newest zero against the main direction."""
        return self._found_at_newest - self._main.found

    @property
    def refused(self) -> tuple[str, ...]:
        """What is to be said of turns that were left out."""
        main = self._main
        refused = list(main.refused) if main.gaps is None else []
        for gone, why in self._left_out:
            who = "a person" if reason_broken(gone, self._settings.excluding) is None else "the program"
            refused.append(f"turn {gone.number + 1} is left out by {who}: {why}")
        if self._at_older:
            refused.append(f"{format_count(self._at_older, 'turn')} before the newest mark left out")
        return tuple(refused)

    def _nothing(self) -> ReducedTurns:
        settings = self._settings
        return ReducedTurns(
            step_mm=settings.resolution_mm,
            counts_per_turn=settings.counts_per_turn,
            orders=settings.orders,
        )
