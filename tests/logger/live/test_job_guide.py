"""A job done at a port: marks, one sweep out of a longer recording, restarts, reopening."""

from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
from guided_seats import go_to, panel, settle, take, touch, turn
from hands import seat_that_stops_for_marks
from screens import Seat, practice_seat, recording_seat

from analysis.setup.choices import MarkSide
from logger.inputs.sweep_excerpt import load_excerpt
from logger.job.job_file import recording_of
from logger.live.state.state import LinkState

pytestmark = pytest.mark.slow  # a bench and a worker a case


@pytest.fixture
def seat(tmp_path: Path) -> Iterator[Seat]:
    """A bench that does not move on with the job: as a port would be."""
    made = seat_that_stops_for_marks(tmp_path)
    made.go(1.0)
    yield made
    made.close()


def test_without_a_part_space_asks_for_its_name(tmp_path: Path) -> None:
    seat = practice_seat(tmp_path, override={"part": ""})
    seat.go(1.0)
    seat.press("3")
    assert "another part: type its name" in seat.text()
    seat.press("space")
    seat.enter("hub 7")
    seat.go(0.3)
    assert "Step 1 of 10" in seat.text()
    assert seat.console.guide.job is not None
    assert seat.console.guide.job.part == "hub 7"
    seat.close()


def test_without_a_part_the_job_left_last_is_gone_on_with_by_space(tmp_path: Path) -> None:
    first = practice_seat(tmp_path)
    first.go(1.0)
    go_to(first, "as-found")
    first.close()
    again = practice_seat(tmp_path, override={"part": "", "job": ""})
    again.go(1.0)
    again.press("3")
    assert "bull-gear flange, wind-pump gearbox, demo" in again.text()
    again.press("space")
    again.go(0.2)
    assert "Step 2 of 10" in again.text()
    again.close()


def test_a_step_at_a_port_asks_for_the_parts_mark_and_sets_its_stage(seat: Seat) -> None:
    go_to(seat, "as-found")
    seat.press("space")
    assert "part's mark stands under the tip" in panel(seat)
    touch(seat)
    assert seat.console.guide.phase == "turning"
    assert seat.console.runtime.session.setup.stage == "as found"


def test_on_the_lathe_both_marks_are_asked_and_after_a_remount_the_parts_alone(seat: Seat) -> None:
    go_to(seat, "mounting")
    seat.press("space")
    sweep = seat.console.guide.sweep
    assert sweep is not None
    assert sweep.marks == (MarkSide.PART, MarkSide.ARBOR)
    touch(seat)
    touch(seat)
    assert "Arbor's mark 0.0 deg past the part's: right?" in panel(seat)
    assert seat.console.guide.phase == "confirm"
    seat.press("space")
    turn(seat, 1)
    seat.press("space")
    settle(seat)
    go_to(seat, "half-before")
    seat.press("space")
    sweep = seat.console.guide.sweep
    assert sweep is not None
    assert sweep.marks == (MarkSide.PART,)


def test_two_marks_in_one_breath_or_turning_are_not_taken(seat: Seat) -> None:
    go_to(seat, "mounting")
    seat.press("space")
    touch(seat)
    seat.press("space", apart_s=0.8)
    sweep = seat.console.guide.sweep
    assert sweep is not None
    assert sweep.marks == (MarkSide.ARBOR,)
    assert "too soon after the mark before" in seat.text()
    touch(seat)
    assert seat.console.guide.phase == "confirm"
    seat.press("g")
    again = seat.console.guide.sweep
    assert again is not None
    assert again.marks == (MarkSide.PART, MarkSide.ARBOR)


def test_marks_can_be_left_as_they_are(tmp_path: Path) -> None:
    seat = practice_seat(tmp_path, "wind-pump/half-turn-before")
    seat.go(0.3)
    go_to(seat, "half-before")
    seat.press("space", "k")
    turn(seat, 2)
    seat.press("space")
    settle(seat)
    guide = seat.console.guide
    assert guide.job is not None
    assert guide.folder is not None
    newest = guide.job.taken[0]
    capture = load_excerpt(recording_of(guide.folder, newest), newest.id).capture
    assert (capture.setup.mark_on, capture.setup.index_angle_deg) == ("arbor", 180.0)
    assert not capture.marked
    seat.close()


def test_nothing_is_taken_before_a_full_turn(seat: Seat) -> None:
    go_to(seat, "as-found")
    seat.press("space")
    touch(seat)
    seat.press("space")
    assert "no full turn yet" in panel(seat)
    assert seat.console.guide.job is not None
    assert seat.console.guide.job.taken == ()


def test_two_sweeps_of_one_recording_are_told_apart_although_the_mark_moved(seat: Seat) -> None:
    take(seat, "as-found")
    seat.go(2.3)
    take(seat, "as-left")
    guide = seat.console.guide
    assert guide.job is not None
    assert guide.folder is not None
    first, last = guide.job.taken
    assert first.file == last.file
    assert first.to_turn is not None
    assert last.from_turn is not None
    assert first.to_turn < last.from_turn
    loaded = [load_excerpt(recording_of(guide.folder, one), one.id).capture for one in (first, last)]
    assert [one.setup.stage for one in loaded] == ["as found", "as left"]
    assert float(loaded[0].samples.t_s[-1]) < float(loaded[1].samples.t_s[0])
    # The mark was touched at another place: the two see the same part with its high side elsewhere.
    sides = [guide.finding_of(step) for step in ("as-found", "as-left")]
    assert all(one is not None and one.curve is not None for one in sides)
    a, b = (np.abs(one.curve.z_mm[0]) for one in sides if one is not None and one.curve is not None)
    assert a == pytest.approx(b, abs=5e-4)  # the same part, 1 um noise


def test_a_board_that_restarts_in_a_sweep_asks_for_the_mark_again(tmp_path: Path) -> None:
    seat = seat_that_stops_for_marks(tmp_path, fault="restart")
    seat.go(0.6)
    go_to(seat, "as-found")
    seat.press("space")
    touch(seat)
    for _ in range(1200):
        seat.go(0.05, analyse=False)
        if seat.console.runtime.state.link is LinkState.RESTARTED:
            break
    seat.go(0.2, analyse=False)
    sweep = seat.console.guide.sweep
    assert sweep is not None
    assert (sweep.marks, sweep.turns) == ((MarkSide.PART,), ())
    touch(seat)
    turn(seat, 3)
    seat.press("space")
    settle(seat)
    assert "over the entered limit 0.050 mm" in panel(seat)
    seat.close()


def test_after_a_restart_count_0_can_stand_for_the_mark(tmp_path: Path) -> None:
    seat = practice_seat(tmp_path, fault="restart")
    seat.go(0.6)
    go_to(seat, "as-found")
    for _ in range(1200):
        seat.go(0.05, analyse=False)
        if seat.console.runtime.state.link is LinkState.RESTARTED:
            break
    seat.go(1.0, analyse=False)
    seat.press("space", "k")
    turn(seat, 1)
    assert seat.console.guide.phase == "turning"
    seat.close()


def test_who_only_follows_takes_no_sweep(tmp_path: Path, seat: Seat) -> None:
    recorder = seat.console.runtime.recorder
    assert recorder is not None
    follower = recording_seat(recorder.path, tmp_path / "other", follow=True)
    follower.go(1.0)
    follower.press("3", "space", "k")
    job = follower.console.guide.job
    assert job is not None
    assert (job.at, job.acknowledged) == ("end-float", ())
    follower.console.runtime.worker._greeting.farewell()


def test_a_sweep_that_a_check_refuses_is_taken_again_by_space(tmp_path: Path) -> None:
    seat = seat_that_stops_for_marks(tmp_path, fault="tip-off")
    seat.go(1.0)
    take(seat, "as-found", 3)
    finding = seat.console.guide.finding
    assert finding is not None
    assert (finding.state, finding.refuses) == ("refused", True)
    assert "do this step again (K goes on without)" in seat.text()
    seat.press("space")
    job = seat.console.guide.job
    assert job is not None
    assert (job.at, seat.console.guide.phase) == ("as-found", "ready")
    seat.close()
