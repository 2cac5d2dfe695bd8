"""What a message does to a guided job, as values: no bench, no file, no window."""

from dataclasses import replace

import pytest
from guide_values import FOUND, around, job_at, taking
from live_values import finished_turn, live_state

from analysis.capture.angle_source import AngleSource
from analysis.capture.events import (
    BoardRestarted,
    EndFloatMeasured,
    MarkTouched,
    SweepBegun,
    SweepBroken,
    SweepTaken,
)
from analysis.errors import BadInput
from analysis.setup.choices import MarkSide
from logger.job.finding import Finding
from logger.job.job import Job, JobSweep
from logger.job.steps import DONE
from logger.live.job.guide_messages import (
    Again,
    Another,
    BeginAnew,
    BenchMoved,
    EnterLength,
    FindingMade,
    GuideMessage,
    JobOpened,
    JobPutAside,
    JobWritten,
    KeepJob,
    KeepSweep,
    MoveBench,
    Press,
    PutAside,
    Send,
    Skip,
    StepBack,
    SweepKept,
    Ticked,
)
from logger.live.job.guide_state import GuidePhase, GuideState, phase_of
from logger.live.job.guide_update import update_guide
from logger.live.state.intent_rules import NOT_KEPT, VIEW_ONLY
from logger.live.state.messages import ChangeSetup, Note, ShowText, TouchMark
from logger.live.state.state import LinkState, LiveState, Role

PART, ARBOR = MarkSide.PART, MarkSide.ARBOR

PHASES = [
    (GuideState(), None, GuidePhase.NONE),
    (GuideState(job_at(DONE)), None, GuidePhase.DONE),
    (GuideState(Job("hub", "7")), None, GuidePhase.CAUTION),
    (GuideState(job_at("as-found")), None, GuidePhase.READY),
    (taking(marks=(PART,)), None, GuidePhase.MARK),
    (taking(), None, GuidePhase.TURNING),
    (taking(pending=True), None, GuidePhase.WORKING),
    (GuideState(job_at("as-found", "as-found")), None, GuidePhase.WORKING),
    (GuideState(job_at("as-found", "as-found")), FOUND, GuidePhase.SHOWN),
    (GuideState(job_at("as-found", "as-found"), again=True), FOUND, GuidePhase.READY),
    (GuideState(job_at("cut-card")), None, GuidePhase.SHOWN),
]


@pytest.mark.parametrize(("guide", "finding", "phase"), PHASES)
def test_the_phase_is_computed_from_job_sweep_and_finding(
    guide: GuideState, finding: Finding | None, phase: GuidePhase
) -> None:
    assert phase_of(guide, finding) is phase


@pytest.mark.parametrize(
    "message", [Press(), StepBack(), Again(), Another(), EnterLength("stock", "9 mm"), BeginAnew(), Skip()]
)
@pytest.mark.parametrize(("role", "words"), [(Role.FOLLOW, VIEW_ONLY), (Role.REPLAY, NOT_KEPT)])
def test_a_window_without_the_board_takes_no_sweep(message: GuideMessage, role: Role, words: str) -> None:
    guide = GuideState(job_at("as-found"))
    assert update_guide(guide, around(role), message) == (guide, (Send(ShowText(words)),))


@pytest.mark.parametrize(
    "message", [Press(), StepBack(), Again(), Another(), BeginAnew(), Skip(), BenchMoved(), Ticked()]
)
def test_without_a_job_nothing_is_done(message: GuideMessage) -> None:
    assert update_guide(GuideState(), around(), message) == (GuideState(), ())


def test_a_caution_is_read_by_a_press_and_kept() -> None:
    guide, wanted = update_guide(GuideState(Job("hub", "7")), around(), Press())
    assert guide.job is not None
    assert guide.job.acknowledged == ("lifting",)
    assert wanted == (KeepJob(guide.job),)


def test_at_a_port_the_set_up_becomes_the_steps_and_its_marks_are_asked_for() -> None:
    guide, wanted = update_guide(GuideState(job_at("as-found")), around(), Press())
    assert wanted == (Send(ChangeSetup({"stage": "as found", "mark_on": "part", "index_angle": ""})),)
    assert guide.sweep is not None
    assert (guide.sweep.marks, guide.sweep.begun_ns) == ((PART,), None)
    assert guide.marks_before == {"mark_on": "", "index_angle": ""}


def test_a_mark_that_is_asked_for_is_touched_by_a_press_and_begins_the_sweep_once_it_has_come_back() -> None:
    guide = taking(marks=(PART,), begun_ns=None)
    assert update_guide(guide, around(), Press()) == (guide, (Send(TouchMark(PART)),))
    begun, wanted = update_guide(guide, around(), MarkTouched(PART, 5))
    assert begun.sweep is not None
    assert (begun.sweep.marks, begun.sweep.begun_ns) == ((), 10**9)
    assert wanted == (Send(Note(SweepBegun(id="sweep-1", step="as-found", attempt=1))),)


def test_a_sweep_in_its_bearings_carries_the_end_float_that_was_let_pass() -> None:
    guide = taking(marks=(PART,), begun_ns=None)
    _, wanted = update_guide(guide, around(end_float_mm=0.01), MarkTouched(PART, 5))
    assert wanted[1:] == (Send(Note(EndFloatMeasured(0.01))),)
    on_lathe = taking("mounting", marks=(PART,), begun_ns=None)
    assert len(update_guide(on_lathe, around(end_float_mm=0.01), MarkTouched(PART, 5))[1]) == 1


def test_turns_that_end_are_counted_and_taken_by_a_press() -> None:
    live = live_state(turns=2)
    guide, _ = update_guide(taking(fresh=True), around(live=live), Ticked())
    assert guide.sweep is not None
    assert len(guide.sweep.turns) == 2
    pending, wanted = update_guide(guide, around(), Press())
    assert pending.sweep is not None
    assert pending.sweep.pending
    assert wanted == (
        Send(Note(SweepTaken("sweep-1", "as-found", 1, from_turn=0, to_turn=1, from_s=0.0, to_s=16.0))),
    )


def test_a_turn_that_began_before_the_sweep_is_none_of_its() -> None:
    late, early = around(live=live_state(turns=1), now_ns=10 * 10**9), around(live=live_state(turns=1))
    for surroundings, count in ((late, 1), (early, 0)):
        guide, _ = update_guide(taking(), surroundings, Ticked())
        assert guide.sweep is not None
        assert (len(guide.sweep.turns), guide.sweep.seen) == (count, 0)


def test_nothing_is_taken_before_a_full_turn() -> None:
    guide = taking()
    after, (said,) = update_guide(guide, around(), Press())
    assert after == guide
    assert isinstance(said, Send)
    assert isinstance(said.intent, ShowText)
    assert said.intent.words.startswith("no full turn yet")


@pytest.mark.parametrize(
    "live",
    [live_state().with_sweep(broken="knocked"), replace(live_state(), link=LinkState.RESTARTED)],
    ids=["broken", "restarted"],
)
def test_a_sweep_that_breaks_begins_anew_with_its_mark(live: LiveState) -> None:
    guide, _ = update_guide(taking(turns=(finished_turn(0),)), around(live=live), Ticked())
    assert guide.sweep is not None
    assert (guide.sweep.turns, guide.sweep.marks) == ((), (PART,))


def test_a_sweep_that_was_taken_comes_back_and_is_kept_with_the_job() -> None:
    event = SweepTaken("sweep-1", "as-found", 1, from_turn=0, to_turn=1, from_s=0.0, to_s=16.0)
    guide, wanted = update_guide(taking(pending=True), around(), event)
    assert (guide.sweep, wanted) == (None, (KeepSweep(event),))
    one = JobSweep("sweep-1", "as-found", 1, "a.mcap", "rec", 0, 1, "2026")
    kept, wanted = update_guide(guide, around(), SweepKept(one))
    assert kept.job is not None
    assert (kept.job.taken, wanted) == ((one,), (KeepJob(kept.job),))


def test_another_sweep_that_comes_back_is_none_of_this_job() -> None:
    guide = taking(pending=True)
    assert update_guide(guide, around(), SweepTaken("other", "as-found", 1)) == (guide, ())


def test_what_a_sweep_has_shown_is_kept_beside_it() -> None:
    guide = GuideState(job_at("as-found", "as-found"))
    after, _ = update_guide(guide, around(), FindingMade("id-as-found", FOUND))
    assert after.job is not None
    assert (after.job.taken[0].said, after.job.taken[0].state) == ("All is well.", "within")


@pytest.mark.parametrize(
    ("step", "state", "at", "attempt"),
    [("as-found", "within", "mounting", 1), ("mounting", "mount-again", "mounting", 2),
     ("mounting", "mounting-good", "half-before", 1)],
)  # fmt: skip
def test_after_a_finding_a_press_goes_on_or_mounts_again(
    step: str, state: str, at: str, attempt: int
) -> None:
    guide = GuideState(job_at(step, step))
    after, _ = update_guide(guide, around(finding=replace(FOUND, state=state)), Press())
    assert after.job is not None
    assert (after.job.at, after.job.attempt) == (at, attempt)


def test_a_step_is_skipped_and_gone_back_to() -> None:
    skipped, wanted = update_guide(GuideState(job_at("as-found")), around(), Skip())
    assert skipped.job is not None
    assert (skipped.job.at, skipped.job.skipped) == ("mounting", ("as-found",))
    assert wanted[0] == Send(ShowText("skipped; results that miss it say so"))
    back, _ = update_guide(GuideState(job_at("half-before")), around(), StepBack())
    assert back.job is not None
    assert back.job.at == "mounting"


def test_a_job_that_is_done_skips_no_further() -> None:
    guide = GuideState(job_at(DONE))
    assert update_guide(guide, around(), Skip()) == (guide, ())


@pytest.mark.parametrize("known", [True, False])
def test_marks_are_left_as_they_are_and_count_0_stands_for_one_after_a_restart(known: bool) -> None:
    live = live_state()
    live = replace(live, board=replace(live.board, zero_known=known))
    guide = replace(taking(marks=(PART,), begun_ns=None), marks_before={"mark_on": "arbor"})
    after, wanted = update_guide(guide, around(live=live), Skip())
    assert after.sweep is not None
    assert after.sweep.marks == ()
    assert wanted[0] == Send(ChangeSetup({"mark_on": "arbor"}))
    assert (Send(Note(MarkTouched(ARBOR, 0))) in wanted) == (not known)
    assert wanted[-1] == Send(Note(SweepBegun(id="sweep-1", step="as-found", attempt=1)))


def test_a_sweep_is_taken_again_and_a_step_without_one_says_so() -> None:
    again, _ = update_guide(GuideState(job_at("as-found", "as-found")), around(finding=FOUND), Again())
    assert phase_of(again, FOUND) is GuidePhase.READY
    card = GuideState(job_at("cut-card"))
    assert update_guide(card, around(), Again()) == (
        card, (Send(ShowText("this step takes no sweep of its own")),),
    )  # fmt: skip


def test_another_mounting_needs_one_before_it() -> None:
    guide = GuideState(job_at("half-before"))
    assert update_guide(guide, around(), Another()) == (guide, (Send(ShowText("no mounting yet")),))
    after, _ = update_guide(GuideState(job_at("half-before", "mounting")), around(), Another())
    assert after.job is not None
    assert (after.job.at, after.job.attempt) == ("mounting", 2)


def test_a_length_that_is_none_is_refused_and_an_empty_one_taken_out() -> None:
    guide = GuideState(job_at("cut-card", values={"stock": "9 mm"}))
    with pytest.raises(BadInput, match="stock"):
        update_guide(guide, around(), EnterLength("stock", "nine"))
    after, _ = update_guide(guide, around(), EnterLength("stock", " "))
    assert after.job is not None
    assert after.job.values == {}


def test_a_job_is_put_aside_and_begun_anew() -> None:
    guide = GuideState(job_at("mounting", "as-found"))
    assert update_guide(guide, around(), BeginAnew()) == (guide, (PutAside(),))
    new, (said,) = update_guide(guide, around(), JobPutAside("hub-7.1"))
    assert new.job == Job("hub", "7")
    assert said == Send(ShowText("a new job; the one before lies in hub-7.1"))


def test_a_job_that_is_opened_stands_where_it_was_left_without_a_sweep() -> None:
    other = job_at("mounting")
    opened, _ = update_guide(replace(taking(), arbor_boot=1), around(), JobOpened(other))
    assert (opened.job, opened.sweep, opened.arbor_boot) == (other, None, 1)
    failed, _ = update_guide(opened, around(), JobOpened(None, "damaged"))
    assert (failed.job, failed.problem) == (None, "damaged")


def test_why_a_job_is_not_written_is_its_problem() -> None:
    guide, _ = update_guide(GuideState(job_at("mounting")), around(), JobWritten("disk full"))
    assert guide.problem == "disk full"


def test_the_practice_bench_turns_the_steps_own_sweep_and_skips_what_it_has_not() -> None:
    guide = GuideState(job_at("as-found"))
    bench = around(has_bench=True, bench_sweep="wind-pump/as-found")
    assert update_guide(guide, bench, Press()) == (
        guide, (MoveBench("wind-pump/as-found", 1, {"part": "hub", "job": "7"}),),
    )  # fmt: skip
    begun, _ = update_guide(guide, bench, BenchMoved())
    assert begun.sweep is not None
    assert (begun.sweep.fresh, begun.sweep.begun_ns) == (True, 10**9)
    gone, _ = update_guide(guide, around(has_bench=True), Press())
    assert gone.job is not None
    assert gone.job.skipped == ("as-found",)


def test_without_turns_a_step_says_what_it_needs() -> None:
    live = live_state()
    by_stops = around(live=replace(live, board=replace(live.board, angle_source=AngleSource.STOPS)))
    guide, (said,) = update_guide(GuideState(job_at("as-found")), by_stops, Press())
    assert guide.sweep is None
    assert isinstance(said, Send)
    assert isinstance(said.intent, ShowText)
    assert "encoder" in said.intent.words


def test_the_arbors_mark_holds_for_the_boot_in_which_it_was_touched() -> None:
    touched, _ = update_guide(GuideState(job_at("mounting")), around(), MarkTouched(ARBOR, 5))
    assert touched.arbor_boot == 1
    restarted, _ = update_guide(touched, around(), BoardRestarted(7))
    assert restarted.arbor_boot is None


def test_the_marks_zero_touched_again_begins_the_turns_anew() -> None:
    guide, _ = update_guide(taking(turns=(finished_turn(0),)), around(), MarkTouched(PART, 5))
    assert guide.sweep is not None
    assert (guide.sweep.turns, guide.sweep.fresh) == ((), True)
    other, _ = update_guide(taking(turns=(finished_turn(0),)), around(), MarkTouched(ARBOR, 5))
    assert other.sweep is not None
    assert len(other.sweep.turns) == 1


def test_events_that_mean_nothing_to_a_job_are_passed_over() -> None:
    guide = taking()
    assert update_guide(guide, around(), SweepBroken("knocked")) == (guide, ())
