"""Nothing walks past a refusal in a job, and no end float is taken that was not seen."""

from dataclasses import replace
from pathlib import Path

import pytest
from guide_values import FOUND, around, job_at, taking
from hands import seat_by_hand

from analysis.capture.events import SweepTaken
from analysis.results import CheckState
from logger.job.finding import MOUNT_AGAIN, NOT_MEASURED, NOT_TOLD, REFUSING, STOP, Finding
from logger.live.job.guide_messages import Again, Press, Send, Skip, Ticked
from logger.live.job.guide_state import GuidePhase, GuideState, phase_of
from logger.live.job.guide_update import ASKED_NS, GONE_WITHOUT, NOTHING_TO_REPEAT, WITHOUT, update_guide
from logger.live.state.messages import Note, ShowText

SHOWN = GuideState(job_at("end-float", "end-float"))
FAILED = Finding("not told because step 2 was skipped", failed=True)


def refusing(state: str = CheckState.REFUSED) -> Finding:
    return replace(FOUND, state=state)


@pytest.mark.parametrize(
    "finding",
    [*map(refusing, (CheckState.REFUSED, NOT_MEASURED, NOT_TOLD)), FAILED],
    ids=lambda one: one.state,
)
def test_after_a_refusal_space_does_the_step_again(finding: Finding) -> None:
    guide = SHOWN
    for _ in range(5):
        guide, _ = update_guide(guide, around(finding=finding), Press())
        assert guide.job is not None
        assert guide.job.at == "end-float"
    assert guide.sweep is not None
    assert guide.sweep.step == "end-float"


def test_after_mount_it_again_space_mounts_anew() -> None:
    guide = GuideState(job_at("mounting", "mounting"))
    after, _ = update_guide(guide, around(finding=refusing(MOUNT_AGAIN)), Press())
    assert after.job is not None
    assert (after.job.at, after.job.attempt) == ("mounting", 2)


def test_where_nothing_can_be_done_again_space_says_so_and_stays() -> None:
    guide = GuideState(job_at("cut-card", "mounting"))
    for finding in (refusing(STOP), FAILED):
        assert update_guide(guide, around(finding=finding), Press()) == (
            guide, (Send(ShowText(NOTHING_TO_REPEAT)),),
        )  # fmt: skip


@pytest.mark.parametrize("state", REFUSING)
def test_going_on_without_is_asked_and_every_result_says_so(state: str) -> None:
    finding = refusing(state)
    asked, wanted = update_guide(SHOWN, around(finding=finding), Skip())
    assert wanted == (Send(ShowText(WITHOUT)),)
    assert asked.job == SHOWN.job
    gone, wanted = update_guide(asked, around(finding=finding, now_ns=2 * 10**9), Skip())
    assert wanted[0] == Send(ShowText(GONE_WITHOUT))
    assert gone.job is not None
    assert (gone.job.at, gone.job.without, gone.job.skipped, gone.leaving_ns) == (
        "as-found", ("end-float",), (), None,
    )  # fmt: skip


def test_a_second_k_counts_only_while_the_question_stands_there() -> None:
    finding = refusing()
    asked, _ = update_guide(SHOWN, around(finding=finding), Skip())
    late, wanted = update_guide(asked, around(finding=finding, now_ns=10**9 + ASKED_NS + 1), Skip())
    assert wanted == (Send(ShowText(WITHOUT)),)
    assert late.job == SHOWN.job
    ticked, _ = update_guide(asked, around(finding=finding), Ticked())
    assert ticked == asked
    for message in (Press(), Again()):
        other, _ = update_guide(asked, around(finding=finding), message)
        assert other.leaving_ns is None


def test_a_refused_step_that_is_to_be_done_again_is_not_left_by_one_k() -> None:
    again, _ = update_guide(SHOWN, around(finding=refusing()), Press())
    assert phase_of(again, refusing()) is GuidePhase.READY
    asked, wanted = update_guide(again, around(finding=refusing()), Skip())
    assert wanted == (Send(ShowText(WITHOUT)),)
    assert asked.job == SHOWN.job


@pytest.mark.parametrize("seen", [0, 2])
def test_with_fewer_than_three_pushes_and_pulls_nothing_is_taken(seen: int) -> None:
    guide = taking("end-float")
    after, (said,) = update_guide(guide, around(floats_seen=seen), Press())
    assert after == guide
    assert isinstance(said, Send)
    assert isinstance(said.intent, ShowText)
    assert said.intent.words.startswith(f"{seen} of 3")


def test_with_three_the_end_float_is_taken() -> None:
    after, wanted = update_guide(taking("end-float"), around(floats_seen=3), Press())
    assert wanted == (Send(Note(SweepTaken(id="sweep-1", step="end-float", attempt=1))),)
    assert after.sweep is not None
    assert after.sweep.pending


def test_a_job_done_again_is_gone_on_without_no_more() -> None:
    job = job_at("end-float", "end-float").going_on_without()
    assert job.without == ("end-float",)
    assert job.going_on_without().without == ("end-float", "as-found")
    assert job.with_sweep(job.taken[0]).without == ()


@pytest.mark.slow
def test_a_shaft_that_stands_has_no_end_float_however_often_space_is_pressed(tmp_path: Path) -> None:
    _, seat = seat_by_hand(tmp_path)
    seat.press("3", "space", "space", "space")
    for _ in range(10):
        seat.go(0.7)
        seat.press("space")
        assert "0 of 3" in seat.text()
    job = seat.console.guide.job
    assert job is not None
    assert (job.at, job.taken) == ("end-float", ())
    seat.close()
