"""Rules of one sweep of a guided job: begun, counted, broken, taken. Pure."""

from dataclasses import replace

from analysis.capture.events import BoardRestarted, EndFloatMeasured, Event, MarkTouched, SweepTaken
from analysis.setup import MarkSide
from logger.job import Job
from logger.live.job.guide_messages import GuideEffect, KeepSweep, Send
from logger.live.job.guide_state import GuideState, Surroundings
from logger.live.job.marks_to_touch import marks_after_break
from logger.live.job.sweep_in_progress import SweepInProgress
from logger.live.state.messages import Note

IN_BEARINGS = ("as-found", "as-left")
Updated = tuple[GuideState, tuple[GuideEffect, ...]]


def begin_sweep(
    guide: GuideState, around: Surroundings, job: Job, marks: tuple[MarkSide, ...], *, fresh: bool
) -> Updated:
    """Begin a step's sweep with these marks to be touched; without any it begins at once."""
    sweep = SweepInProgress(
        around.new_id, job.at, job.attempt, job.takes, marks, fresh=fresh, zero=job.step.mark_on
    )
    guide = replace(guide, sweep=sweep)
    return (guide, ()) if marks else sweep_begun(guide, around)


def sweep_begun(guide: GuideState, around: Surroundings) -> Updated:
    """Have the sweep recorded as begun now."""
    assert guide.sweep is not None
    sweep = guide.sweep.begun(around.live, around.now_ns)
    wanted: list[GuideEffect] = [Send(Note(sweep.begun_event()))]
    # A sweep in its bearings carries the end float that was measured and let pass, for its check.
    if sweep.step in IN_BEARINGS and around.end_float_mm is not None:
        wanted.append(Send(Note(EndFloatMeasured(around.end_float_mm))))
    return replace(guide, sweep=sweep), tuple(wanted)


def turns_counted(guide: GuideState, around: Surroundings) -> GuideState:
    """Count the turns that have ended since; a sweep that broke asks for its marks again."""
    if guide.sweep is None or guide.job is None:
        return guide
    again = marks_after_break(guide.job.step)
    return replace(guide, sweep=guide.sweep.counted(around.live, around.now_ns, again))


def event_came_back(guide: GuideState, around: Surroundings, event: Event) -> Updated:
    """Return what a recorded event means to the job."""
    sweep = guide.sweep
    match event:
        case BoardRestarted():
            return replace(guide, arbor_boot=None), ()
        case MarkTouched(on=on):
            if on is MarkSide.ARBOR:
                guide = replace(guide, arbor_boot=around.live.board.boots)
            if sweep is None:
                return guide, ()
            touched = sweep.touched(on, around.now_ns)
            guide = replace(guide, sweep=touched)
            all_touched = bool(sweep.marks) and not touched.marks and sweep.begun_ns is None
            return sweep_begun(guide, around) if all_touched and not touched.to_confirm else (guide, ())
        case SweepTaken() if sweep is not None and event.id == sweep.id:
            return replace(guide, sweep=None, again=False), (KeepSweep(event),)
        case _:
            return guide, ()
