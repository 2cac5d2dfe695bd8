"""The practice bench in the process moves on with the job: each step gets its own sweep of the story.

A new sweep is a new session with a recording of its own, as on another day; the one before is closed beside
the painting.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from analysis.setup import KEYS_OF_ONE_SWEEP, LIMIT_KEYS
from logger.acquisition import SourceRequest
from logger.live.opening import open_live
from logger.live.state.ended_sessions import EndedSessions
from logger.live.state.runtime import LiveRuntime
from logger.live.state.state import Role
from logger.practice import PRACTICE, SCENARIOS
from logger.settings import Settings

SWEEPS: Mapping[str, tuple[str, ...]] = {
    "end-float": ("end-float", "end-float-shimmed"),
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
REMEDIED = ("end-float", "mounting")
"""Steps that are mended after the first time."""
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
    return there[min(attempt, len(there)) - 1] if step in REMEDIED else there[0]


@dataclass
class PracticeStory:
    """The story that the practice bench goes through with a job."""

    job: str
    """Name of the job, as ``wind-pump``."""
    open_session: Callable[[str, int, Mapping[str, str]], LiveRuntime]
    """Opens scenario, seed and set-up on top of it."""
    begin: Callable[[LiveRuntime], None] = LiveRuntime.start
    """Lets a new session read."""
    ended: EndedSessions = field(default_factory=EndedSessions)
    """Sessions that are over."""

    def sweep(self, step: str, attempt: int) -> str | None:
        """Return what the bench will turn for this step; None where the story has nothing for it."""
        return sweep_of_step(self.job, step, attempt)

    def move(self, old: LiveRuntime, name: str, seed: int, job: Mapping[str, str]) -> LiveRuntime:
        """Set the bench up for a scenario and return its session; raises FullturnError, changing nothing.

        ``old``: the session that is over then; ``job``: part and job number, which stay whatever the scenario
        is a sweep of.
        """
        given, text = getattr(old.source, "setup", {}), old.session.setup.text
        typed = {
            key: value
            for key, value in text.items()
            if given.get(key) != value and key not in KEYS_OF_ONE_SWEEP
        }
        limit = {key: value for key, value in text.items() if key in LIMIT_KEYS}
        new = self.open_session(name, seed, {**limit, **typed, **job})
        self.ended.add(old)
        old.worker.stop()
        self.begin(new)
        return new


def story_of(
    runtime: LiveRuntime, settings: Settings, version: str, clock: Callable[[], float]
) -> PracticeStory | None:
    """Return the story a session goes through; None where it is no practice bench in this process."""
    if runtime.state.role is not Role.PRACTICE:
        return None

    def open_session(name: str, seed: int, typed: Mapping[str, str]) -> LiveRuntime:
        request = SourceRequest(f"{PRACTICE}{name}", seed=seed, patient=True, watched=True)
        return open_live(request, settings, version, typed, clock=clock).runtime

    return PracticeStory(runtime.source.name.removeprefix(PRACTICE).split("/")[0], open_session)
