"""The full turns of one run, a stretch in which the hand went one way, cut while it goes on.

Fed with the run's fresh ground in pieces of any size. Knows nothing of where runs begin and end.
"""

import math
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from analysis.capture.fresh_ground import Ground, GroundPile
from analysis.capture.samples import Floats, Samples
from analysis.capture.turns import FULL_TURN_RAD, Turn

WIDEST_END_GAP_RAD = math.radians(30.0)
"""The most that may be missing at either end of a turn that samples are too sparse to close exactly."""
LEAST_STEP_RAD = FULL_TURN_RAD * 1e-6
"""A step below this is a rounding error or a hand at rest."""
FEWEST_SAMPLES = 3
"""Fewer make no turn."""


@dataclass(frozen=True)
class TurnSamples:
    """One full turn with its own samples."""

    turn: Turn
    """``where`` holds the running numbers of its samples, the first sample ever fed being number 0."""
    samples: Samples
    """In the order taken, ground trodden twice left out."""


def one_turn_of(samples: Samples) -> TurnSamples:
    """Return samples at places as one turn: they go round without ever passing the mark."""
    return TurnSamples(Turn(0, 1, 0, np.arange(len(samples)), 0.0, 0.0), samples)


@dataclass(slots=True)
class _Unpassed:
    """A turn all of whose samples have come, while the time of passing its last boundary is not known."""

    number: int
    before: tuple[float, float] | None
    ground: Ground
    after: list[tuple[float, float]] = field(default_factory=list)


class TurnsOfRun:
    """Cuts one run.

    ``at_once``: a turn is given with the sample that ends it, by what is known then. Otherwise when nothing
    that comes can change it: once its last boundary is left behind, and a run's first turn, where the run
    began past its boundary, at the run's end, when the typical step is known.
    """

    def __init__(self, direction: int, segment: int, *, at_once: bool, most_steps: int | None) -> None:
        self._direction, self._segment, self._at_once = direction, segment, at_once
        self._steps = TypicalStep(most_steps)
        self._first_rad = 0.0
        """Where the run began."""
        self._number: int | None = None
        """Turn in which the hand is, counted in its own direction; None before the first sample."""
        self._newest = (0.0, 0.0)
        """How far the hand had come and the time, by the newest sample."""
        self._furthest = self._newest
        """The same by the sample that first came as far as any."""
        self._before: tuple[float, float] | None = None
        """The same by the last sample before the turn under way; None where the run began in it."""
        self._ground = GroundPile()
        self._until_furthest = 0
        """Samples of the turn under way up to the one that first came as far as any."""
        self._unpassed: _Unpassed | None = None
        self._held: list[tuple[int, TurnSamples]] = []
        """Turns that hang on the typical step, by their number."""

    def take(self, ground: Ground) -> list[TurnSamples]:
        """Take the next fresh ground and return the turns that it ends."""
        furthest, t_s = ground.furthest_rad, ground.samples.t_s
        if self._number is None:
            self._first_rad = float(furthest[0])
            self._number = turn_of(self._first_rad)
            self._newest = (self._first_rad, float(t_s[0]))
        steps = furthest.copy()
        steps[1:] -= furthest[:-1]
        steps[0] -= self._newest[0]
        ended: list[TurnSamples] = []
        if self._unpassed is not None:
            ended += self._pass_boundary(furthest, t_s)
        begun = stepped_on = 0
        for edge in self._edges(furthest):
            self._ground.add(ground.part(slice(begun, edge)))
            whole = self._ground.joined()
            if whole is not None:
                self._unpassed = _Unpassed(self._number, self._before, whole)
            self._steps.take(steps[stepped_on : edge + 1])
            stepped_on = edge + 1
            self._before = (float(furthest[edge - 1]), float(t_s[edge - 1])) if edge else self._newest
            self._number, self._ground, begun = turn_of(float(furthest[edge])), GroundPile(), edge
            ended += self._pass_boundary(furthest[edge:], t_s[edge:])
        self._steps.take(steps[stepped_on:])
        if furthest[-1] > self._newest[0] or not len(self._ground):
            first = int(np.searchsorted(furthest, furthest[-1]))
            self._until_furthest = len(self._ground) + first - begun + 1
            self._furthest = (float(furthest[first]), float(t_s[first]))
        self._ground.add(ground.part(slice(begun, None)) if begun else ground)
        self._newest = (float(furthest[-1]), float(t_s[-1]))
        return ended

    def end(self, *, turned_back: bool) -> list[TurnSamples]:
        """Return the turns that the end of the run closes.

        ``turned_back``: the run ends with the sample that first came as far as any; what was taken after that
        one belongs to the run the other way.
        """
        if not self._steps.known:
            return []
        newest = self._furthest if turned_back else self._newest
        ended: list[TurnSamples] = []
        if self._unpassed is not None:
            self._unpassed.after[1:] = [newest]
            ended += self._decide(self._unpassed)
        ended += [turn for number, turn in self._held if self._begins(number, self._slack_rad())]
        number = self._number
        if number is None or not self._closes(number, newest[0], WIDEST_END_GAP_RAD):
            return ended  # whatever the typical step is
        ground = self._ground.joined()
        if ground is not None and self._closes(number, newest[0], self._slack_rad()):
            until = self._until_furthest if turned_back else len(ground)
            ended += self._turn(_Unpassed(number, self._before, ground.part(slice(0, until))))
        return ended

    def _edges(self, furthest: Floats) -> list[int]:
        """Return where the hand comes into another turn."""
        if turn_of(float(furthest[-1])) == self._number:
            return []
        numbers = np.floor(furthest / FULL_TURN_RAD + 1e-9)
        return np.flatnonzero(np.diff(numbers, prepend=float(self._number or 0))).tolist()

    def _pass_boundary(self, furthest: Floats, t_s: Floats) -> list[TurnSamples]:
        """Look among the next samples for those between which the last boundary was left behind."""
        whole = self._unpassed
        if whole is None:
            return []
        beyond = int(np.searchsorted(furthest, (whole.number + 1) * FULL_TURN_RAD, side="right"))
        here = [(float(furthest[at]), float(t_s[at])) for at in (0, beyond - 1, beyond) if 0 <= at < len(t_s)]
        if self._at_once:
            whole.after = here[:1]
        elif beyond < len(t_s):
            whole.after += here
        else:
            whole.after = [(whole.after or here)[0], here[-1]]
            return []
        self._unpassed = None
        return self._decide(whole)

    def _decide(self, whole: _Unpassed) -> list[TurnSamples]:
        """Return an ended turn, or hold it back where it hangs on a typical step that is not known yet."""
        turns, number = self._turn(whole), whole.number
        if not turns or not self._begins(number, WIDEST_END_GAP_RAD):
            return []
        if self._steps.known and (
            self._begins(number, LEAST_STEP_RAD)
            or (self._at_once and self._begins(number, self._slack_rad()))
        ):
            return turns
        self._held.append((number, turns[0]))
        return []

    def _turn(self, whole: _Unpassed) -> list[TurnSamples]:
        ground, number = whole.ground, whole.number
        if len(ground) < FEWEST_SAMPLES:
            return []
        around = [] if whole.before is None else [whole.before]
        furthest, times = (
            np.concatenate([[one[at] for one in around], inside, [one[at] for one in whole.after]])
            for at, inside in ((0, ground.furthest_rad), (1, ground.samples.t_s))
        )
        boundaries = [number * FULL_TURN_RAD, (number + 1) * FULL_TURN_RAD]
        start_s, end_s = np.interp(boundaries, furthest, times)
        from_mark = number if self._direction > 0 else -number - 1
        turn = Turn(from_mark, self._direction, self._segment, ground.number, float(start_s), float(end_s))
        return [TurnSamples(turn, ground.samples)]

    def _slack_rad(self) -> float:
        return min(1.5 * self._steps.median_rad(), WIDEST_END_GAP_RAD)

    def _begins(self, number: int, slack_rad: float) -> bool:
        """Tell whether the run began at this turn's first boundary or within the slack of it."""
        return math.ceil((self._first_rad - slack_rad) / FULL_TURN_RAD) <= number

    def _closes(self, number: int, furthest_rad: float, slack_rad: float) -> bool:
        """Tell whether a run that came so far is full of this turn, its last one."""
        past_end = math.floor((furthest_rad + slack_rad) / FULL_TURN_RAD) > number
        return past_end and self._begins(number, slack_rad)


class TypicalStep:
    """The median of the steps by which a hand came further, over all of a run."""

    _AT_ONCE = 1 << 16

    def __init__(self, most: int | None) -> None:
        self._most = most
        self._gathered: list[Floats] = []
        self._gathered_size = 0
        self._values: Floats = np.empty(0)
        self._times: NDArray[np.int64] = np.empty(0, np.int64)

    @property
    def known(self) -> bool:
        """Whether there was any step."""
        return self._gathered_size > 0 or len(self._values) > 0

    def take(self, steps_rad: Floats) -> None:
        """Take the next steps; those too small for one are left out."""
        steps = steps_rad[steps_rad > LEAST_STEP_RAD]
        if self._most is None:
            self._gather(steps)
            return
        while len(steps) and len(self._values) < self._most:
            room = self._AT_ONCE - self._gathered_size
            self._gather(steps[:room])
            steps = steps[room:]
            if self._gathered_size == self._AT_ONCE:
                self._count()

    def median_rad(self) -> float:
        """Return the median step."""
        if self._most is None:
            return float(np.median(np.concatenate(self._gathered)))
        self._count()
        upto = np.cumsum(self._times)
        middle = [(upto[-1] - 1) // 2, upto[-1] // 2]
        return float(np.mean(self._values[np.searchsorted(upto, middle, side="right")]))

    def _gather(self, steps: Floats) -> None:
        if not len(steps):
            return
        self._gathered.append(steps)
        self._gathered_size += len(steps)
        if len(self._gathered) >= 256:
            self._gathered = [np.concatenate(self._gathered)]

    def _count(self) -> None:
        """Keep how often each step came instead of the steps: between counts few are different."""
        if not self._gathered:
            return
        steps = np.concatenate(self._gathered)
        self._gathered, self._gathered_size = [], 0
        if len(self._values):
            at = np.minimum(np.searchsorted(self._values, steps), len(self._values) - 1)
            known = self._values[at] == steps
            self._times += np.bincount(at[known], minlength=len(self._values))
            steps = steps[~known]
        different, times = np.unique(steps, return_counts=True)
        place = np.searchsorted(self._values, different)
        self._values = np.insert(self._values, place, different)
        self._times = np.insert(self._times, place, times)


def turn_of(furthest_rad: float) -> int:
    """Return in which turn this lies; a rounding error short of a boundary is past it."""
    return math.floor(furthest_rad / FULL_TURN_RAD + 1e-9)
