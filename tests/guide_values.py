"""A guided job at a moment, as values: where it stands, what is around it, a sweep in the middle."""

from live_values import live_state

from logger.job.finding import Finding
from logger.job.job import Job, JobSweep
from logger.job.steps import STEPS
from logger.live.job.guide_state import GuideState, Surroundings
from logger.live.job.sweep_in_progress import SweepInProgress
from logger.live.state.state import Role

ALL_READ = tuple(key for step in STEPS for key in step.cautions)
FOUND = Finding("All is well.", "within")


def job_at(step: str, *steps: str, **more: object) -> Job:
    """Return a job that stands at a step, its cautions read, with one sweep of each of these steps."""
    sweeps = tuple(JobSweep(f"id-{key}", key, 1, "a.mcap", "rec", 0, 2, "2026") for key in steps)
    return Job("hub", "7", at=step, taken=sweeps, acknowledged=ALL_READ, **more)  # type: ignore[arg-type]


def around(role: Role = Role.OWNER, **more: object) -> Surroundings:
    """Return the surroundings of a window with an encoder, all well, before any turn."""
    values: dict[str, object] = {"live": live_state(role, turns=0), "now_ns": 10**9, "new_id": "sweep-1"}
    return Surroundings(**{**values, **more})  # type: ignore[arg-type]


def taking(step: str = "as-found", **more: object) -> GuideState:
    """Return a guide in the middle of a step's sweep."""
    job = job_at(step)
    values: dict[str, object] = {
        "id": "sweep-1", "step": step, "attempt": 1, "takes": job.takes, "begun_ns": 10**9,
    }  # fmt: skip
    return GuideState(job, sweep=SweepInProgress(**{**values, **more}))  # type: ignore[arg-type]
