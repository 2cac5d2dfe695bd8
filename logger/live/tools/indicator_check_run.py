"""The 20-second check, step by step: what to do, when to press, and what it showed."""

from dataclasses import dataclass, field

import numpy as np

from analysis.capture import Floats
from analysis.checks import check_returns, check_sense, check_shim, check_still
from analysis.results import Check, CheckState

STILL_S = 4.0
NEEDED = "the check needs a part that stands and a gauge that speaks"
STEPS = (
    ("still", "Touch nothing. Press SPACE, then wait four seconds."),
    ("tap", "Tap the stand lightly, let it settle for a second, press SPACE."),
    ("lift", "Lift the tip, let it down gently, wait a second, press SPACE."),
    ("sense", "Push the tip in by hand, hold it there, press SPACE."),
    ("shim", "Slide a shim or gauge block under the tip, press SPACE, type its thickness."),
)


@dataclass
class IndicatorCheckRun:
    """One run of the check."""

    step_mm: float
    """Step of the gauge."""
    at: int = 0
    done: list[Check] = field(default_factory=list)
    began_t: float | None = None
    """Board time at which the four still seconds began."""
    base_mm: Floats = field(default_factory=lambda: np.empty(0))
    """Readings before anybody touched anything."""
    since_t: float = 0.0
    """Board time at which this step began: what it judges has to be seen after it."""
    problem: str = ""
    """Why the last press did nothing; empty where it did."""

    @property
    def over(self) -> bool:
        """Tell whether every step is done."""
        return self.at >= len(STEPS)

    @property
    def waiting(self) -> bool:
        """Tell whether the still seconds are running."""
        return self.began_t is not None

    @property
    def wants_thickness(self) -> bool:
        """Tell whether the next press asks for the shim's thickness."""
        return not self.over and STEPS[self.at][0] == "shim"

    def tick(self, recent: tuple[Floats, Floats], moves: str = "") -> Check | None:
        """Look whether the still seconds are over; return their result once.

        ``moves``: why the part does not stand now; it has to stand for all of them.
        """
        t_s, reading = recent
        if self.began_t is not None and moves:
            self.began_t, self.problem = None, f"{moves}: {NEEDED}"
        if self.began_t is None or not len(t_s) or t_s[-1] - self.began_t < STILL_S:
            return None
        inside = t_s >= self.began_t
        self.began_t = None
        self.base_mm = reading[inside][-50:]
        return self._add(check_still(t_s[inside], reading[inside], self.step_mm), float(t_s[-1]))

    def press(
        self, recent: tuple[Floats, Floats], thickness_mm: float | None = None, moves: str = ""
    ) -> Check | None:
        """Take a press; return what this step showed, None while it still runs.

        ``moves``: why the part does not stand now; then nothing is judged.
        """
        t_s, reading = recent
        if self.over or self.waiting or not len(t_s):
            return None
        self.problem = f"{moves}: {NEEDED}" if moves else ""
        if moves:
            return None
        name = STEPS[self.at][0]
        if name == "still":
            self.began_t = float(t_s[-1])
            return None
        now_t = float(t_s[-1])
        newest, meanwhile = reading[t_s > now_t - 0.6], reading[t_s > self.since_t]
        if name in ("tap", "lift"):
            check = check_returns(name, self.base_mm, meanwhile, newest, self.step_mm)
            self.base_mm = newest if len(newest) >= 5 else self.base_mm
            return self._add(check, now_t)
        if name == "sense":
            return self._add(check_sense(self.base_mm, newest, self.step_mm), now_t)
        if thickness_mm is None:
            left_out = Check("shim", CheckState.DOUBTFUL, "left out", "the scale was not looked at")
            return self._add(left_out, now_t)
        return self._add(check_shim(self.base_mm, newest, thickness_mm), now_t)

    def _add(self, check: Check, now_t: float) -> Check:
        self.done.append(check)
        self.at += 1
        self.since_t = now_t
        return check
