"""The practice bench in the process moves on with the job: each step gets its own sweep of the story.

A new sweep is a new sitting with a recording of its own, as on another day; the one before is closed beside
the painting.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from analysis.setup import KEYS_OF_ONE_SWEEP, LIMIT_KEYS
from logger.live.opening import PRACTICE, LiveSession, open_practice
from logger.live.state.runtime import LiveRuntime
from logger.practice import SCENARIOS
from logger.settings import Settings

SWEEPS: Mapping[str, tuple[str, ...]] = {
    "end-float": ("end-float",),
    "as-found": ("as-found",),
    "arbor": ("arbor",),
    "mounting": ("mount-1", "mount-2"),
    "half-before": ("half-turn-before", "half-turn"),
    "predicted": ("mount-2", "mount-1"),
    "after-cut": ("after-cut",),
    "half-after": ("half-turn-after",),
    "as-left": ("as-left",),
}
"""What a story calls the sweep of each step; of several mountings the first time the first, then the next."""
MORE = "-shop"
"""Ends the name of a job that has more sweeps of the same story."""


def sweep_of_step(job: str, step: str, attempt: int) -> str | None:
    """Return the scenario of a job's story that has this step's sweep; None where it tells none."""
    jobs = (job, f"{job}{MORE}")
    there = [
        f"{each}/{name}" for name in SWEEPS.get(step, ()) for each in jobs if f"{each}/{name}" in SCENARIOS
    ]
    if not there:
        return None
    return there[min(attempt, len(there)) - 1] if step == "mounting" else there[0]


@dataclass
class PracticeStory:
    """The story a sitting at the practice bench walks through."""

    live_session: LiveSession
    job: str
    """Name of the job, as ``wind-pump``."""
    open_session: Callable[[str, int, Mapping[str, str]], LiveSession]
    """Opens scenario, seed and set-up on top of it."""
    begin: Callable[[LiveRuntime], None] = LiveRuntime.start
    """Lets a new desk read."""
    end: Callable[[LiveSession], None] | None = None
    """Closes a sitting that is over; None as it closes itself."""

    def __post_init__(self) -> None:
        self._over: list[LiveSession] = []

    def sweep(self, step: str, attempt: int) -> str | None:
        """Return what the bench will turn for this step; None where the story has nothing for it."""
        return sweep_of_step(self.job, step, attempt)

    def move(self, name: str, seed: int, job: Mapping[str, str]) -> LiveRuntime:
        """Set the bench up for a scenario and return its desk; raises FullturnError, changing nothing.

        ``job``: part and job number, which stay whatever the scenario is a sweep of.
        """
        old = self.live_session.runtime
        given = getattr(old.source, "setup", {})
        typed = {
            key: value
            for key, value in old.session.setup.text.items()
            if given.get(key) != value and key not in KEYS_OF_ONE_SWEEP
        }
        limit = {key: value for key, value in old.session.setup.text.items() if key in LIMIT_KEYS}
        new = self.open_session(name, seed, {**limit, **typed, **job})
        self._over.append(LiveSession(old, self.live_session.turn_store))
        old.worker.stop()
        self.live_session.runtime, self.live_session.turn_store = new.runtime, new.turn_store
        self.begin(new.runtime)
        return new.runtime

    @property
    def wants_closing(self) -> bool:
        """Tell whether a sitting that is over has not been closed yet."""
        return bool(self._over)

    def close_old(self) -> None:
        """Close sittings that are over; beside the painting."""
        while self._over:
            one = self._over.pop(0)
            if self.end is not None:
                self.end(one)
            elif one.turn_store is not None:
                one.turn_store.finish()
            else:
                one.runtime.close()


def story_of(
    live_session: LiveSession, settings: Settings, version: str, clock: Callable[[], float]
) -> PracticeStory | None:
    """Return the story a sitting walks through; None where it is no practice bench in this process."""
    if live_session.runtime.kind != "practice":
        return None

    def open_session(name: str, seed: int, typed: Mapping[str, str]) -> LiveSession:
        return open_practice(f"{PRACTICE}{name}", settings, version, typed, seed=seed, clock=clock)

    job = live_session.runtime.source.name.removeprefix(PRACTICE).split("/")[0]
    return PracticeStory(live_session, job, open_session)
