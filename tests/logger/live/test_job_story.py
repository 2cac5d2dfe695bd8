"""A job done with the practice bench, which moves on with its steps: sweeps again, going back, limits, pages."""

import re
from pathlib import Path

import pytest
from guided_seats import go_to, panel, settle, take, turn
from screens import Seat, practice_seat, settings_in

from logger.job.job_file import recording_of
from logger.live.drawing.display_options import DisplayOptions
from logger.live.state.messages import ChangeSetup
from logger.recording import RecordingReader

pytestmark = pytest.mark.slow  # a bench and a worker a case


def test_reopening_in_the_middle_stands_where_it_was_left(tmp_path: Path) -> None:
    first = practice_seat(tmp_path, story=True)
    first.go(1.0)
    take(first, "as-found", 3)
    first.press("space")
    before = panel(first)
    first.close()
    again = practice_seat(tmp_path, story=True)
    again.go(1.0)
    again.press("3")
    assert panel(again) == before
    assert "Step 4 of 10: Mounting" in before
    assert "0.14" in again.text()
    settle(again)
    assert again.console.guide.reader.findings["as-found"].state == "over"
    again.close()


def test_what_the_store_did_not_take_of_an_earlier_step_is_told_at_the_end(tmp_path: Path) -> None:
    Path(settings_in(tmp_path).store.value).mkdir(parents=True)  # a folder where the store's file should be
    seat = practice_seat(tmp_path, story=True)
    seat.go(1.0)
    take(seat, "as-found", 1)
    first = seat.console.runtime.recorder.path
    go_to(seat, "half-before")
    seat.press("space")
    assert seat.console.runtime.recorder.path != first
    seat.close()
    assert seat.console.guide.story is not None
    (words,) = seat.console.guide.story.ended.not_stored
    assert words.startswith("not stored: ")
    assert words.endswith(f"add with: fullturn store add {first}")


def test_a_caution_read_before_closing_is_not_asked_again(tmp_path: Path) -> None:
    for _ in range(2):
        seat = practice_seat(tmp_path, story=True)
        seat.go(1.0)
        seat.press("3")
        asked = seat.console.guide.phase
        go_to(seat, "end-float")
        seat.close()
    assert asked == "ready"


def test_a_sweep_taken_again_counts_and_the_one_before_stays(story: Seat) -> None:
    take(story, "as-found", 1)
    story.press("g")
    assert story.console.guide.phase == "ready"
    take(story, "as-found", 2)
    job = story.console.guide.job
    assert job is not None
    assert [(one.from_turn, one.to_turn) for one in job.taken] == [(0, 0), (0, 1)]
    assert job.last("as-found") == job.taken[1]


def test_a_recording_that_is_gone_is_named_and_what_was_said_of_it_stays(tmp_path: Path) -> None:
    first = practice_seat(tmp_path, story=True)
    first.go(1.0)
    take(first, "as-found", 1)
    first.close()
    job = first.console.guide.job
    assert job is not None
    assert first.console.guide.folder is not None
    recording_of(first.console.guide.folder, job.taken[0]).unlink()
    again = practice_seat(tmp_path, story=True)
    again.go(1.0)
    again.press("3")
    settle(again)
    assert "As found, in its own bearings: no file" in panel(again)
    kept = again.console.guide.job
    assert kept is not None
    assert kept.taken[0].said == job.taken[0].said != ""
    again.close()


def test_inches_reach_the_steps_too(story: Seat) -> None:
    take(story, "as-found", 2)
    story.press("i")
    settle(story)
    assert "TIR in in" in story.text()
    assert "0.0057" in story.text()


def test_page_up_goes_back_to_what_the_step_before_has_shown(story: Seat) -> None:
    take(story, "as-found", 2)
    finding = panel(story)
    story.press("space", "pageup", "pageup")
    assert panel(story) == finding


def test_what_misses_a_skipped_step_says_so(story: Seat) -> None:
    go_to(story, "mounting")
    take(story, "mounting", 2)
    assert "As found, in its own bearings: was skipped" in panel(story)


def test_the_bench_moves_on_to_the_steps_own_sweep(story: Seat) -> None:
    go_to(story, "mounting")
    before = story.console.runtime
    story.press("space")
    assert story.console.runtime is not before
    assert story.console.runtime.source.name == "practice:wind-pump/mount-1"
    settle(story)
    assert before.recorder is not None
    closed = RecordingReader(before.recorder.path)
    assert list(closed.items())
    assert closed.closed


def test_the_arbor_alone_is_reached_by_page_up_and_tells_the_spindle_without_a_half_turn(story: Seat) -> None:
    take(story, "as-found", 2)
    go_to(story, "mounting")
    story.press("pageup")
    assert "Step 3 of 10: Arbor alone" in panel(story)
    story.press("space")
    turn(story, 2)
    story.press("space")
    settle(story)
    # 1 um noise and steps over two turns: order 1 to 0.3 um, its side to a degree.
    finding = story.console.guide.finding
    assert finding is not None
    assert finding.curve is not None
    assert finding.curve.tir_first_mm == pytest.approx(0.030, abs=8e-4)
    assert finding.curve.high_side_deg == pytest.approx(150.0, abs=2.0)
    story.press("space")
    take(story, "mounting", 2)
    story.press("5")
    text = " ".join(story.text().split())
    found = re.search(r"S spindle (\d\.\d+) mm", text)
    assert found is not None
    assert float(found.group(1)) == pytest.approx(0.030, abs=8e-4)
    assert "cannot be separated" not in text


def test_a_limit_typed_at_one_sweep_holds_at_the_next_of_the_story(story: Seat) -> None:
    story.console.runtime.send(ChangeSetup({"limit": "0.2 mm"}))
    story.go(0.2)
    take(story, "as-found", 3)
    assert "within the entered limit 0.2 mm" in panel(story)


def test_a_limit_corrected_later_holds_for_the_sweeps_before(story: Seat) -> None:
    take(story, "as-found", 3)
    assert "over the entered limit 0.050 mm" in panel(story)
    story.console.runtime.send(ChangeSetup({"limit": "0.3 mm"}))
    settle(story)
    assert "within the entered limit 0.3 mm" in panel(story)


def test_without_a_limit_the_step_says_so_before_it_begins(tmp_path: Path) -> None:
    seat = practice_seat(tmp_path, override={"limit": ""})
    seat.go(1.0)
    go_to(seat, "as-found")
    assert "No limit is entered" in panel(seat)
    seat.close()


def test_a_story_without_such_a_sweep_skips_the_step_by_space(tmp_path: Path) -> None:
    seat = practice_seat(tmp_path, "telescope-worm/as-found", story=True)
    seat.go(1.0)
    go_to(seat, "mounting")
    assert "the bench has no such sweep" in seat.text() or "no such sweep" in panel(seat)
    seat.press("space")
    job = seat.console.guide.job
    assert job is not None
    assert (job.at, "mounting" in job.skipped) == ("half-before", True)
    seat.close()


def test_the_sweep_goes_on_while_another_page_is_looked_at(story: Seat) -> None:
    go_to(story, "as-found")
    story.press("space", "1")
    turn(story, 1)
    assert "1 Turning" in story.text()
    story.press("3")
    assert "1 full turn" in panel(story)


def test_lengths_of_the_cut_card_are_typed_and_kept(story: Seat) -> None:
    go_to(story, "cut-card")
    story.press("down", "down", "e")
    story.enter("9,5 mm")
    job = story.console.guide.job
    assert job is not None
    assert dict(job.values) == {"stock": "9,5 mm"}


def test_keys_of_steps_do_nothing_elsewhere(story: Seat) -> None:
    story.press("k")
    assert "only in Steps (3)" in story.text()


def test_a_job_put_aside_begins_anew(story: Seat) -> None:
    take(story, "as-found", 1)
    story.press("v")
    story.enter("y")
    job = story.console.guide.job
    assert job is not None
    assert (job.at, job.taken) == ("end-float", ())


@pytest.mark.parametrize("size", [(80, 24), (100, 30), (120, 40), (200, 60)])
@pytest.mark.parametrize("ascii_only", [False, True])
def test_steps_owner_and_screws_fill_every_size(
    tmp_path: Path, size: tuple[int, int], ascii_only: bool
) -> None:
    seat = practice_seat(tmp_path, story=True, options=DisplayOptions(ascii_only=ascii_only))
    seat.go(1.0)

    def shows(words: str) -> None:
        text = seat.text(*size)
        lines = text.split("\n")
        assert (len(lines), {len(line) for line in lines}) == (size[1], {size[0]}), words
        assert text.isascii() or not ascii_only, words

    seat.press("3")
    shows("a caution")
    go_to(seat, "as-found")
    shows("what to do")
    seat.press("space")
    turn(seat, 1)
    shows("turning")
    seat.press("space")
    settle(seat)
    shows("told")
    seat.press("5")
    shows("owner")
    seat.press("s")
    shows("screws")
    seat.close()


def test_what_was_gone_on_without_is_said_by_every_result_after_it(story: Seat) -> None:
    go_to(story, "end-float")
    story.press("space")
    story.go(14.0, analyse=False)
    story.press("space")
    settle(story)
    assert "too much, take the float out before a face is measured" in panel(story)
    story.press("space", "k")
    assert "every result will say so. K again" in story.text()
    assert story.console.guide.job is not None
    assert story.console.guide.job.at == "end-float"
    story.press("k")
    take(story, "as-found", 3)
    assert "Gone on without: End float first." in panel(story)
