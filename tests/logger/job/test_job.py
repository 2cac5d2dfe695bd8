"""The pure model of a job, and where it lies on the disk."""

import json
import os
from pathlib import Path

import pytest

from analysis.errors import BadInput
from logger.job import job_file as files
from logger.job.cautions import CAUTIONS
from logger.job.job import Job, JobSweep
from logger.job.steps import BY_KEY, DONE, ORDER, STEPS
from logger.live.job.practice_story import sweep_of_step

JOB = Job("bull-gear flange", "17/3")


def job_sweep(step: str, attempt: int = 1, name: str = "") -> JobSweep:
    return JobSweep(name or f"{step}-{attempt}", step, attempt, "a.mcap", "id", 0, 2, "2026-01-05T08:00:00Z")


def at(step: str, *sweeps: JobSweep) -> Job:
    job = JOB
    for one in sweeps:
        job = job.with_sweep(one)
    while job.at != step:
        job = job.onward()
    return job


def test_the_steps_go_from_end_float_to_as_left() -> None:
    assert (ORDER[0], ORDER[-1], len(ORDER)) == ("end-float", "as-left", 10)


def test_the_arbor_alone_is_passed_by_going_on_and_met_going_back() -> None:
    job = at("as-found").onward()
    assert (job.at, job.back().at, job.back().skipping().skipped) == ("mounting", "arbor", ())


def test_an_arbor_that_was_swept_is_passed_by_no_more() -> None:
    assert at("as-found", job_sweep("arbor")).onward().at == "arbor"


@pytest.mark.parametrize("step", STEPS, ids=lambda step: step.key)
def test_every_step_says_what_to_do_what_it_shows_and_what_it_cannot(step: object) -> None:
    found = BY_KEY[step.key]  # type: ignore[attr-defined]
    assert all((found.do, found.shows, found.cannot, found.cautions))


def test_every_caution_named_by_a_step_is_there() -> None:
    assert {key for step in STEPS for key in step.cautions} == set(CAUTIONS)


def test_a_caution_is_asked_once_in_a_job() -> None:
    job = at("mounting")
    assert job.unacknowledged == ("power",)
    job = job.acknowledging("power")
    while job.at != "predicted":
        job = job.onward()
    assert job.unacknowledged == ()


def test_the_last_sweep_of_a_step_counts_and_the_one_before_is_kept() -> None:
    job = at("as-found", job_sweep("as-found", name="first"), job_sweep("as-found", name="second"))
    assert job.last("as-found") == job_sweep("as-found", name="second")
    assert len(job.taken) == 2


def test_mountings_are_kept_all() -> None:
    job = at(
        "mounting",
        job_sweep("mounting", 1),
        job_sweep("mounting", 2, "bad"),
        job_sweep("mounting", 2, "good"),
    )
    assert [one.id for one in job.of("mounting")] == ["mounting-1", "good"]


def test_mounting_again_stands_at_the_next_mounting() -> None:
    job = at("predicted", job_sweep("mounting", 1), job_sweep("mounting", 2)).mounting_again()
    assert (job.at, job.attempt, job.here) == ("mounting", 3, None)


def test_predicted_takes_a_sweep_only_where_the_part_came_off() -> None:
    assert at("predicted", job_sweep("mounting")).takes == ""
    assert at("predicted", job_sweep("mounting"), job_sweep("half-before")).takes == "turns"


def test_the_part_that_was_put_back_and_swept_came_off_no_more() -> None:
    job = at("predicted", job_sweep("mounting"), job_sweep("half-before"), job_sweep("predicted"))
    assert not job.came_off


def test_a_half_turn_taken_again_makes_the_prediction_ask_for_its_own_sweep_anew() -> None:
    sweeps = (
        job_sweep("mounting"),
        job_sweep("half-before"),
        job_sweep("predicted"),
        job_sweep("half-before", name="again"),
    )
    job = at("predicted", *sweeps)
    assert (job.attempt, job.here, job.takes) == (2, None, "turns")


def test_a_step_that_was_skipped_is_named_until_it_is_swept() -> None:
    job = at("half-before").skipping()
    assert (job.skipped, job.at) == (("half-before",), "predicted")
    assert job.back().with_sweep(job_sweep("half-before")).skipped == ()


def test_a_step_that_has_a_sweep_is_left_not_skipped() -> None:
    assert at("as-found", job_sweep("as-found")).skipping().skipped == ()


def test_a_prediction_that_needs_no_sweep_of_its_own_is_left_not_skipped() -> None:
    assert at("predicted", job_sweep("mounting")).skipping().skipped == ()


def test_going_back_stands_at_what_the_step_before_has_shown() -> None:
    job = at("half-before", job_sweep("mounting", 1), job_sweep("mounting", 2)).back()
    assert (job.at, job.attempt, job.here) == ("mounting", 2, job_sweep("mounting", 2))


def test_before_the_first_step_there_is_nothing() -> None:
    assert JOB.back().at == ORDER[0]


def test_after_the_last_step_the_job_is_done_and_back_opens_it_again() -> None:
    job = at("as-left").onward()
    assert (job.at, job.finished, job.back().at) == (DONE, True, "as-left")


def test_what_was_said_of_a_sweep_stays_beside_it() -> None:
    job = at("as-left", job_sweep("as-left")).saying("as-left-1", "Within.", "within", "0.0305 within")
    assert job.taken[0].said == "Within."


def test_an_empty_length_is_taken_out() -> None:
    job = JOB.entering({"stock": "9 mm", "minimum": "8 mm"}).entering({"stock": ""})
    assert dict(job.values) == {"minimum": "8 mm"}


def full() -> Job:
    job = at("half-before", job_sweep("as-found"), job_sweep("mounting")).acknowledging("turning")
    return job.entering({"stock": "9,5 mm"}).skipping()


def test_a_job_comes_back_from_the_disk_as_it_was(tmp_path: Path) -> None:
    files.write(tmp_path / "job", full())
    assert files.read(tmp_path / "job") == full()


def test_no_job_is_none(tmp_path: Path) -> None:
    assert files.read(tmp_path) is None


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("{", "cannot be read as a job"),
        ("[]", "has no format number"),
        ('{"format": 1}', "is damaged"),
        ('{"format": 99}', "use a newer one"),
    ],
)
def test_a_damaged_job_is_refused_in_words(tmp_path: Path, text: str, words: str) -> None:
    (tmp_path / files.FILE).write_text(text, "utf-8")
    with pytest.raises(BadInput, match=words):
        files.read(tmp_path)


def test_an_unknown_step_is_refused(tmp_path: Path) -> None:
    files.write(tmp_path, full())
    written = json.loads((tmp_path / files.FILE).read_text("utf-8"))
    written["at"] = "polish"
    (tmp_path / files.FILE).write_text(json.dumps(written), "utf-8")
    with pytest.raises(BadInput, match="unknown step polish"):
        files.read(tmp_path)


@pytest.mark.parametrize("part", ["../../etc", "a/b", "", "Nabe ø 3", "." * 300])
def test_no_name_leads_out_of_the_data_folder(tmp_path: Path, part: str) -> None:
    found = files.folder_of(tmp_path, part, "../x").resolve()
    assert found.parent == (tmp_path / files.FOLDER).resolve()


def test_two_jobs_never_share_a_folder(tmp_path: Path) -> None:
    names = [("a b", "1"), ("a-b", "1"), ("a", "b 1"), ("A b", "1")]
    assert len({files.folder_of(tmp_path, *name) for name in names}) == len(names)


def test_a_recording_stays_with_its_job_when_the_unnamed_one_is_gone(tmp_path: Path) -> None:
    recording = tmp_path / "unnamed.mcap"
    recording.write_bytes(b"so far")
    name = files.keep_recording(recording, tmp_path / "job")
    with recording.open("ab") as growing:
        growing.write(b" and on")
    assert files.keep_recording(recording, tmp_path / "job") == name
    recording.unlink()
    assert (tmp_path / "job" / name).read_bytes() == b"so far and on"


def test_a_job_put_aside_lies_beside_the_new_one(tmp_path: Path) -> None:
    folder = tmp_path / "job"
    for number in (1, 2):
        files.write(folder, full())
        assert files.put_away(folder) == tmp_path / f"job.{number}"
    assert files.read(folder) is None


def test_jobs_are_listed_the_newest_first_without_those_put_aside_or_damaged(tmp_path: Path) -> None:
    for k, part in enumerate(("a", "b", "c")):
        folder = files.folder_of(tmp_path, part, "1")
        files.write(folder, Job(part, "1"))
        os.utime(folder / files.FILE, (k, k))
    files.put_away(files.folder_of(tmp_path, "a", "1"))
    (files.folder_of(tmp_path, "b", "1") / files.FILE).write_text("{", "utf-8")
    files.write(files.folder_of(tmp_path, "d", ""), Job("d", ""))
    assert [job.part for job in files.jobs(tmp_path)] == ["d", "c"]


def test_a_file_name_from_a_job_never_leads_out_of_its_folder(tmp_path: Path) -> None:
    one = JobSweep("i", "as-found", 1, "../../else.mcap", "id", 0, 1, "")
    assert files.recording_of(tmp_path, one) == tmp_path / "else.mcap"


@pytest.mark.parametrize(
    ("step", "attempt", "name"),
    [
        ("end-float", 1, "wind-pump/end-float"),
        ("arbor", 1, "wind-pump-shop/arbor"),
        ("mounting", 1, "wind-pump/mount-1"),
        ("mounting", 2, "wind-pump/mount-2"),
        ("mounting", 5, "wind-pump/mount-2"),
        ("half-before", 1, "wind-pump/half-turn-before"),
        ("predicted", 1, "wind-pump/mount-2"),
        ("as-left", 1, "wind-pump/as-left"),
        ("cut-card", 1, None),
    ],
)
def test_the_bench_has_a_sweep_for_each_step(step: str, attempt: int, name: str | None) -> None:
    assert sweep_of_step("wind-pump", step, attempt) == name


def test_a_story_without_such_a_sweep_has_none() -> None:
    assert sweep_of_step("telescope-worm", "mounting", 1) is None
