"""Every rule of the guided job: where it stands after a message, and what is to be done outside. Pure."""

from dataclasses import replace
from typing import assert_never

from analysis.capture import AngleSource
from analysis.capture.events import Event, MarkTouched
from analysis.measurands import FLOATS_WANTED
from analysis.setup import MARK_KEYS, MarkSide
from analysis.units import parse_length
from logger.job import Job, StepSweep
from logger.live.job.guide_messages import (
    Again,
    Another,
    BeginAnew,
    BenchMoved,
    EnterLength,
    FindingMade,
    GuideEffect,
    GuideMessage,
    JobOpened,
    JobPutAside,
    JobWritten,
    KeepJob,
    MoveBench,
    Press,
    PutAside,
    Send,
    Skip,
    StepBack,
    SweepKept,
    Ticked,
)
from logger.live.job.guide_state import GuidePhase, GuideState, Surroundings, mounts_again, phase_of
from logger.live.job.guide_sweep import Updated, begin_sweep, event_came_back, sweep_begun, turns_counted
from logger.live.job.marks_to_touch import MarksTouched, marks_for
from logger.live.job.sweep_in_progress import PUSH_AND_PULL, SweepInProgress
from logger.live.state.intent_rules import NOT_KEPT, VIEW_ONLY, why_not_standing
from logger.live.state.messages import ChangeSetup, Note, ShowText, TouchMark
from logger.live.state.state import Role

MARKS_APART_NS = 1_500_000_000
"""A second mark sooner after the first than this is the same press twice (own decision)."""
ASKED_NS = 6_000_000_000
"""So long after the first K a second one goes on without the step: as long as the question stands there."""
WITHOUT = "go on without it: every result will say so. K again"
GONE_WITHOUT = "gone on without it; every result says so"
NOTHING_TO_REPEAT = "nothing can be taken here: PageUp goes back, K goes on without it"
NEEDS_TURNS = "Steps takes full turns: that needs an encoder, or an index pulse each turn"


def update_guide(guide: GuideState, around: Surroundings, message: GuideMessage) -> Updated:
    """Return where the guide stands after a message, and what is to be done.

    Raises BadInput for a typed length that is none.
    """
    if isinstance(message, Event):
        return event_came_back(guide, around, message)
    match message:
        case JobOpened(job, problem):
            return replace(guide, job=job, problem=problem, sweep=None, again=False), ()
        case JobWritten(problem):
            return replace(guide, problem=problem), ()
        case Ticked():
            return turns_counted(guide, around), ()
    job = guide.job
    if job is None:
        return guide, ()
    match message:
        case BenchMoved():
            return begin_sweep(guide, around, job, (), fresh=True)
        case SweepKept(sweep):
            return _kept(guide, around, job.with_sweep(sweep))
        case FindingMade(sweep_id, finding):
            said = job.saying(sweep_id, finding.sentence, finding.state, finding.figure)
            return _kept(guide, around, said)
        case JobPutAside(name):
            words = f"a new job; the one before lies in {name}" if name else "a new job"
            new = replace(guide, job=Job(job.part, job.number), sweep=None, again=False)
            return new, (Send(ShowText(words)),)
    if isinstance(message, Skip) and job.finished:
        return guide, ()
    if not around.may_act:
        return guide, (Send(ShowText(VIEW_ONLY if around.live.role is Role.FOLLOW else NOT_KEPT)),)
    if not isinstance(message, Skip):
        guide = replace(guide, leaving_ns=None)
    match message:
        case Press():
            return _press(guide, around, job)
        case StepBack():
            return _stand(guide, around, job.back())
        case Skip():
            return _skip(guide, around, job)
        case Again():
            if not job.takes:
                return guide, (Send(ShowText("this step takes no sweep of its own")),)
            if guide.sweep is not None and guide.sweep.to_confirm:
                marks = MarkSide.PART, MarkSide.ARBOR
                return replace(guide, sweep=replace(guide.sweep, marks=marks).unmarked()), ()
            return replace(guide, sweep=None, again=True), ()
        case Another():
            if job.last("mounting") is None:
                return guide, (Send(ShowText("no mounting yet")),)
            return _stand(guide, around, job.mounting_again())
        case EnterLength(key, words):
            if words.strip():
                parse_length(words, key.replace("_", " "))
            return _kept(guide, around, job.entering({key: words.strip()}))
        case BeginAnew():
            return guide, (PutAside(),)
        case _:
            assert_never(message)


def _kept(guide: GuideState, around: Surroundings, job: Job) -> Updated:
    """Take a job over, and keep it where this window may."""
    return replace(guide, job=job), (KeepJob(job),) if around.may_act else ()


def _stand(guide: GuideState, around: Surroundings, job: Job) -> Updated:
    return _kept(replace(guide, sweep=None, again=False, leaving_ns=None), around, job)


# --- what the bottom line says -----------------------------------------------------------------------


def _press(guide: GuideState, around: Surroundings, job: Job) -> Updated:
    phase, sweep = phase_of(guide, around.finding), guide.sweep
    if phase is GuidePhase.CAUTION:
        return _kept(guide, around, job.acknowledging(job.unacknowledged[0]))
    if phase is GuidePhase.READY:
        return _ready(guide, around, job)
    if phase is GuidePhase.MARK and sweep is not None:
        return guide, (Send(_touching(sweep, around)),)
    if phase is GuidePhase.CONFIRM and sweep is not None:
        guide = replace(guide, sweep=replace(sweep, to_confirm=False))
        return (guide, ()) if sweep.begun_ns is not None else sweep_begun(guide, around)
    if phase is GuidePhase.TURNING and sweep is not None:
        return _take(guide, sweep, around.floats_seen)
    if phase is GuidePhase.SHOWN:
        return _go_on(guide, around, job)
    return guide, ()


def _go_on(guide: GuideState, around: Surroundings, job: Job) -> Updated:
    """Go to the next step; one that refuses is done again."""
    if mounts_again(job, around.finding):
        return _stand(guide, around, job.mounting_again())
    if around.finding is None or not around.finding.refuses:
        return _stand(guide, around, job.onward())
    if job.takes:
        return replace(guide, again=True), ()
    return guide, (Send(ShowText(NOTHING_TO_REPEAT)),)


def _touching(sweep: SweepInProgress, around: Surroundings) -> TouchMark | ShowText:
    """Return what a press at a mark asks for: two marks lie apart in time, or one press was two."""
    on = sweep.marks[0]
    if sweep.touched_ns is not None and around.now_ns - sweep.touched_ns < MARKS_APART_NS:
        return ShowText(f"too soon after the mark before: turn to the {on}'s mark, stand, then SPACE")
    if moves := why_not_standing(around.live):
        return ShowText(f"{moves}: stand the {on}'s mark under the tip, then SPACE")
    return TouchMark(on)


def _ready(guide: GuideState, around: Surroundings, job: Job) -> Updated:
    if around.has_bench:
        if around.bench_sweep is None:
            return _skip(guide, around, job)
        setup = {"part": job.part, "job": job.number}
        return guide, (MoveBench(around.bench_sweep, 1 + len(job.taken), setup),)
    live, step = around.live, job.step
    source = live.board.angle_source
    if job.takes is not StepSweep.PUSH_PULL and not source.has_live_turns:
        return guide, (Send(ShowText(NEEDS_TURNS)),)
    changes = {"stage": step.stage.value, "mark_on": step.mark_on.value}
    if not step.lathe or source is not AngleSource.INDEX:
        changes["index_angle"] = ""
    arbor_boot = guide.arbor_boot if step.lathe else None
    touched = MarksTouched(live.board.boots, arbor_boot, live.sweep.marked, source is AngleSource.INDEX)
    before = {key: live.setup.text.get(key, "") for key in MARK_KEYS}
    guide = replace(guide, marks_before=before, arbor_boot=arbor_boot)
    guide, wanted = begin_sweep(guide, around, job, marks_for(step, live.setup, touched), fresh=False)
    return guide, (Send(ChangeSetup(changes)), *wanted)


def _take(guide: GuideState, sweep: SweepInProgress, floats_seen: int) -> Updated:
    if sweep.takes is StepSweep.PUSH_PULL and floats_seen < FLOATS_WANTED:
        return guide, (Send(ShowText(f"{floats_seen} of {FLOATS_WANTED}: {PUSH_AND_PULL}")),)
    event = sweep.taken_event()
    if event is None:
        return guide, (Send(ShowText("no full turn yet: turn once round past the mark")),)
    return replace(guide, sweep=replace(sweep, pending=True)), (Send(Note(event)),)


def _skip(guide: GuideState, around: Surroundings, job: Job) -> Updated:
    sweep = guide.sweep
    if sweep is not None and sweep.marks:
        return _leave_marks(guide, around, sweep)
    if around.finding is not None and around.finding.refuses:
        asked_ns = guide.leaving_ns
        if asked_ns is None or around.now_ns - asked_ns > ASKED_NS:
            return replace(guide, leaving_ns=around.now_ns), (Send(ShowText(WITHOUT)),)
        guide, wanted = _stand(guide, around, job.going_on_without())
        return guide, (Send(ShowText(GONE_WITHOUT)), *wanted)
    gone = job.skipping()
    words = "skipped; results that miss it say so" if gone.skipped != job.skipped else "left at that"
    guide, wanted = _stand(guide, around, gone)
    return guide, (Send(ShowText(words)), *wanted)


def _leave_marks(guide: GuideState, around: Surroundings, sweep: SweepInProgress) -> Updated:
    """Go on with the marks as they are: count 0 after a reset, the index angle as the set-up says."""
    before = guide.marks_before
    wanted: list[GuideEffect] = [Send(ChangeSetup(before))]
    if not around.live.board.zero_known:
        # After a restart nothing has an angle: that count 0 is the mark has to be noted by somebody.
        side = MarkSide(before.get("mark_on") or MarkSide.PART)
        wanted.append(Send(Note(MarkTouched(side, 0))))
    wanted.append(Send(ShowText("the marks stand as they are")))
    guide = replace(guide, sweep=replace(sweep, marks=()))
    if sweep.begun_ns is None:
        guide, more = sweep_begun(guide, around)
        wanted += more
    return guide, tuple(wanted)
