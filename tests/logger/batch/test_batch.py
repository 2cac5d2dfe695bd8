"""Which part is named next, what a typed line does, and what is left: without bench, screen or clock."""

from dataclasses import replace

import pytest

from analysis.errors import BadInput
from logger.batch import REFUSED, SHORT, Batch, MeasuredPart, as_json, as_text, in_one_line, with_job_held

ONE = MeasuredPart(
    "A-1", "ring", "other", 0.0312, 0.0291, 0.0333, 0.05, "within", "", "clear", "one.mcap", "1-2-3"
)


def sweep_told(serial: str, state: str = "within", **more: str) -> MeasuredPart:
    return replace(ONE, serial=serial, state=state, **more)


@pytest.fixture
def batch() -> Batch:
    return Batch("J-88", ("A-1", "A-2", "A-3", "A-4")).begun()


def after(batch: Batch, *sweeps: MeasuredPart) -> Batch:
    for one in sweeps:
        batch = batch.with_sweep(one)
    return batch


def test_it_goes_on_at_the_first_part_that_is_not_measured(batch: Batch) -> None:
    assert batch.serial == "A-1"
    assert after(batch, sweep_told("A-1")).serial == "A-2"
    begun_again = Batch("J-88", batch.planned, (sweep_told("A-1"), sweep_told("A-3"))).begun()
    assert begun_again.serial == "A-2"
    assert after(begun_again, sweep_told("A-2")).serial == "A-4"


@pytest.mark.parametrize("state", [REFUSED, SHORT])
def test_what_was_not_measured_stays_named_and_is_told(batch: Batch, state: str) -> None:
    one = sweep_told("A-1", state, why="the gauge stood still")
    done = after(batch, one)
    assert (done.serial, done.left) == ("A-1", batch.planned)
    assert "again with SPACE" in done.wants
    assert "the gauge stood still" in in_one_line(one, done)
    assert "0.0312" not in in_one_line(one, done)


def test_the_last_sweep_of_a_part_counts(batch: Batch) -> None:
    done = after(batch, sweep_told("A-1", "over"), sweep_told("A-1", "within"))
    assert (len(done.parts), done.parts["A-1"].state) == (1, "within")
    refused_since = after(done, sweep_told("A-1", REFUSED))
    assert refused_since.left == batch.planned


def test_a_line_only_names_a_part(batch: Batch) -> None:
    named, words = batch.typed("A-3")
    assert (named.serial, named.sweeps) == ("A-3", ())
    assert "SPACE begins" in words
    assert after(named, sweep_told("A-3")).serial == "A-1"


def test_the_same_part_scanned_twice_changes_nothing(batch: Batch) -> None:
    named, words = batch.typed("A-1")
    assert named == batch
    assert "already" in words


def test_a_part_that_is_measured_is_asked_about(batch: Batch) -> None:
    done = after(batch, sweep_told("A-1"))
    asked, words = done.typed("A-1")
    assert (asked.serial, asked.asked) == ("A-2", "A-1")
    assert "TIR 0.0312 mm, within the entered limit" in words
    assert asked.typed("A-1")[0].serial == "A-2"
    assert asked.typed("again")[0].serial == "A-1"
    assert asked.typed("A-3")[0] == replace(done, serial="A-3")


def test_a_part_that_is_not_on_the_list_is_asked_about(batch: Batch) -> None:
    asked, words = batch.typed("B-9")
    assert (asked.serial, asked.asked) == ("A-1", "B-9")
    assert "none of the 4 parts" in words
    assert asked.typed("yes")[0].serial == "B-9"
    assert asked.typed("A-1")[0] == batch


def test_yes_is_an_answer_only_where_something_was_asked(batch: Batch) -> None:
    asked, _ = batch.typed("yes")
    assert asked.asked == "yes"


def test_without_a_list_every_new_serial_is_taken() -> None:
    named, _ = Batch("J-88").typed("=1+1")
    done = after(named, sweep_told("=1+1"))
    assert (done.serial, done.over, done.left) == ("", False, ())
    assert done.typed("=1+1")[0].asked == "=1+1"


def test_again_names_the_part_measured_last(batch: Batch) -> None:
    with pytest.raises(BadInput, match="no part is measured"):
        batch.typed("again")
    assert after(batch, sweep_told("A-1"), sweep_told("A-2")).typed("again")[0].serial == "A-2"


def test_a_skipped_part_is_left_and_named_with_its_reason(batch: Batch) -> None:
    skipped, _ = batch.typed("skip burr on the face")
    assert (skipped.serial, skipped.left) == ("A-2", batch.planned)
    done = after(skipped, sweep_told("A-2"), sweep_told("A-3"), sweep_told("A-4"))
    assert done.over
    assert done.state == "undecided"
    text = as_text(done, "fullturn record X")
    assert "Not measured, 1 of 4: A-1 (skipped: burr on the face)" in text
    assert "These go on: fullturn record X" in text
    assert as_json(done)["left"] == ["A-1"]
    assert as_json(done)["skipped"] == [{"serial": "A-1", "reason": "burr on the face"}]
    assert after(done.typed("A-1")[0], sweep_told("A-1")).skipped == ()


def test_nothing_is_skipped_before_a_part_is_named() -> None:
    with pytest.raises(BadInput, match="no part is named"):
        Batch("J-88").typed("skip burr")


@pytest.mark.parametrize(
    ("states", "state"),
    [
        (("within",) * 4, "within"),
        (("within", "over", "undecided", "within"), "over"),
        (("within", "undecided", "within", "within"), "undecided"),
        (("no decision",) * 4, None),
    ],
)
def test_the_worst_part_stands_for_all(batch: Batch, states: tuple[str, ...], state: str | None) -> None:
    done = after(batch, *(sweep_told(f"A-{k}", one) for k, one in enumerate(states, 1)))
    assert done.over
    assert done.state == state


def test_a_part_that_is_left_is_not_decided(batch: Batch) -> None:
    assert after(batch, sweep_told("A-1")).state == "undecided"


def test_a_check_standard_between_is_no_part(batch: Batch) -> None:
    done = after(batch, sweep_told("ring 1", stage="check standard"))
    assert (dict(done.parts), done.left) == ({}, batch.planned)


def test_a_job_of_another_kind_of_part_is_refused(batch: Batch) -> None:
    done = after(batch, sweep_told("A-1"))
    assert with_job_held(done, "ring") is done
    with pytest.raises(BadInput, match="holds sweeps of 'ring', and the set-up names 'hub'"):
        with_job_held(done, "hub")


def test_the_table_follows_the_list_whatever_the_order_was(batch: Batch) -> None:
    done = after(batch, sweep_told("A-3"), sweep_told("Z"), sweep_told("A-1", REFUSED, why="the tip hung"))
    rows = as_text(done).splitlines()
    assert [row.split()[0] for row in rows[3:6]] == ["A-1", "A-3", "Z"]
    assert rows[3].split()[:3] == ["A-1", "-", "-"]
    assert rows[4].split()[1:5] == ["0.0312", "0.0291", "to", "0.0333"]


def test_what_is_left_of_a_long_list_is_told_in_short() -> None:
    long = Batch("J-88", tuple(f"A-{k:03d}" for k in range(1, 201)))
    done = after(long.begun(), *(sweep_told(f"A-{k:03d}") for k in (1, 2, 7)))
    assert "Not measured, 197 of 200: A-003 to A-006, A-008 to A-200" in as_text(done)


def test_no_letter_of_a_serial_steers_a_terminal() -> None:
    hostile = after(Batch("J-88"), sweep_told("A\x1b[2J"))
    assert "\x1b" not in as_text(hostile)
