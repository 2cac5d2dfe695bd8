"""A batch at the screen without a window: a line names a part, SPACE begins it, its verdict names the next."""

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from hands import Hand, bench_by_hand
from screens import Seat, practice_seat

from analysis.capture.events import MarkTouched
from analysis.store import HistoryFilter, open_store
from logger.batch import BatchPlan, skipped_of_job, sweeps_of_job
from logger.live.batch.batch_guide import BatchPhase
from logger.recording import RecordingReader
from logger.stream import RecordedEvent

pytestmark = pytest.mark.slow  # a bench and a recording a part
PLANNED = ("A-1", "A-2", "A-3")
SETUP = {"job": "J-88", "turns_planned": "1"}


@pytest.fixture
def seat(tmp_path: Path) -> Iterator[Seat]:
    made = practice_seat(tmp_path, "wind-pump/as-left", override=SETUP, planned=PLANNED)
    yield opened(made)
    made.close()


def opened(made: Seat) -> Seat:
    made.go(0.5)
    made.press("7")
    made.go(0.2)
    return made


def scan(seat: Seat, line: str) -> None:
    """Let a scanner send a line, all at once."""
    for letter in line:
        seat.press("space" if letter == " " else letter, apart_s=0.001)
    seat.press("enter", apart_s=0.001)


def turned(seat: Seat, until: Callable[[], bool] | None = None) -> None:
    """Turn until the part is told."""
    for _ in range(600):
        seat.go(0.1)
        if until() if until is not None else seat.console.batch.phase is not BatchPhase.TURNING:
            return
    raise AssertionError(seat.text())


def phase(seat: Seat) -> BatchPhase:
    return seat.console.batch.phase


def test_a_part_is_begun_told_and_the_next_one_named(seat: Seat) -> None:
    assert "Put A-1 on: SPACE begins" in seat.text()
    seat.press("space")
    assert "A-1 is being measured: 0 of 1 turns are round" in seat.text()
    turned(seat)
    seat.go(0.5)
    text = seat.text()
    assert "A-1: TIR 0.0" in text
    assert "2 of 3 to go" in " ".join(text.split())
    assert "Put A-2 on: SPACE begins" in text
    known = sweeps_of_job("J-88", seat.settings.data_folder, None).sweeps
    of_parts = [one for one in known if one.serial]
    assert [(one.serial, one.state) for one in of_parts] == [("A-1", seat.console.batch.last.state)]
    with open_store(seat.settings.store.value) as store:
        rows = store.history(only=HistoryFilter(job="J-88"))
    assert {row.setup["serial"] for row in rows if "serial" in row.setup} == {"A-1"}


def test_a_part_is_told_though_it_turns_on_faster_than_it_is_worked_out(seat: Seat) -> None:
    seat.press("space")
    while seat.console.batch.turns[0] < 1:
        seat.go(0.1, analyse=False)
    seat.console.work()  # of the first turn; another one ends before it is looked at
    for _ in range(240):
        seat.clock.now_s += 0.05
        seat.console.runtime.worker._round()
    seat.console.tick()
    assert (seat.console.batch.last.serial, phase(seat)) == ("A-1", BatchPhase.NAMED)


def test_a_scanned_line_names_a_part_and_begins_nothing(seat: Seat) -> None:
    scan(seat, "A-3")
    assert (seat.console.batch.batch.serial, phase(seat)) == ("A-3", BatchPhase.NAMED)
    assert "A-3: SPACE begins" in seat.text()
    assert "line:" not in seat.text()


def test_the_second_end_of_a_scanned_line_begins_nothing(seat: Seat) -> None:
    scan(seat, "A-3")
    seat.press("enter", apart_s=0.05)
    assert phase(seat) is BatchPhase.NAMED
    seat.press("enter")
    assert phase(seat) is BatchPhase.TURNING


def test_a_blank_belongs_to_a_line_that_is_being_typed(seat: Seat) -> None:
    seat.press("a")
    seat.press("space")
    seat.press("7")
    assert "line: a 7" in seat.text()
    assert phase(seat) is BatchPhase.NAMED
    seat.press("pagedown")
    assert "a line is being typed" in seat.text()
    seat.press("backspace", "backspace")
    assert "line: a" in seat.text()
    seat.press("escape")
    assert "line:" not in seat.text()


def test_no_letter_of_a_serial_is_a_command(seat: Seat) -> None:
    scan(seat, "qmzxlk1234567")
    assert not seat.console.over
    assert seat.console.page == "batch"
    assert seat.console.batch.batch.asked == "qmzxlk1234567"
    marks = [event for event in seat.console.runtime.session.events if isinstance(event, MarkTouched)]
    assert marks == []


def test_an_unknown_part_is_asked_about_before_anything_begins(seat: Seat) -> None:
    scan(seat, "B-7")
    assert "B-7 is none of the 3 parts" in seat.text()
    seat.press("space")
    assert phase(seat) is BatchPhase.NAMING
    scan(seat, "yes")
    seat.press("space")
    assert "B-7 is being measured" in seat.text()


def test_a_part_scanned_while_another_turns_is_not_used(seat: Seat) -> None:
    seat.press("space")
    seat.go(2.0)
    scan(seat, "A-3")
    assert "A-3 is not used: scan it when A-1 has been told" in " ".join(seat.text().split())
    turned(seat)
    assert seat.console.batch.batch.serial == "A-2"
    assert "A-3 is not used" in " ".join(seat.text().split())


def test_the_check_standard_and_a_second_sweep_are_asked_for_and_the_parts_go_on(tmp_path: Path) -> None:
    plan = BatchPlan(check_every=1, check_part="check ring", twice_every=1)
    made = practice_seat(tmp_path, "wind-pump/as-left", override=SETUP, planned=PLANNED, plan=plan)
    opened(made)
    for asked in ("Take A-1 off and put it on again", "Put the check standard check ring on", "Put A-2 on"):
        made.press("space")
        turned(made)
        made.go(0.5)
        assert asked in " ".join(made.text().split())
    assert "not judged (no limits are fixed" in " ".join(made.text().split())
    made.press("space")
    scan(made, "skip cracked hub")
    made.go(0.5)
    done = made.console.batch.batch
    found = [RecordingReader(one.file).setup for one in done.sweeps]
    assert [(one["part"], one["stage"], one.get("mounting"), one.get("limit", "")) for one in found] == [
        ("bull-gear flange", "as left", None, "0.050 mm"),
        ("bull-gear flange", "as left", "2", "0.050 mm"),
        ("check ring", "check standard", None, ""),
    ]
    assert list(done.repeats) == ["A-1"]
    made.press("space")
    assert made.console.runtime.session.setup.part == "bull-gear flange"
    made.close()
    kept = skipped_of_job("J-88", made.settings.store.value)
    assert [(one.serial, one.reason) for one in kept] == [("A-2", "cracked hub")]


def test_a_sweep_is_broken_off_and_its_part_measured_again(seat: Seat) -> None:
    seat.press("space")
    seat.go(1.0)
    scan(seat, "again")
    assert "A-1 is broken off" in seat.text()
    seat.go(0.3)
    seat.press("space")
    turned(seat)
    done = seat.console.batch.batch
    assert (len(done.sweeps), list(done.parts)) == (1, ["A-1"])


def test_a_part_is_skipped_in_the_middle_with_its_reason(seat: Seat) -> None:
    seat.press("space")
    seat.go(1.0)
    scan(seat, "skip cracked")
    done = seat.console.batch.batch
    assert (done.serial, [one.reason for one in done.skipped]) == ("A-2", ["cracked"])
    assert "A-1 is skipped: cracked" in seat.text()


def test_a_batch_goes_on_where_it_was_left(seat: Seat, tmp_path: Path) -> None:
    seat.press("space")
    turned(seat)
    seat.go(0.5)
    again = opened(practice_seat(tmp_path, "wind-pump/as-left", override=SETUP, planned=PLANNED))
    again.go(0.3)
    assert "Put A-2 on" in again.text()
    again.close()


def test_without_a_job_there_is_no_batch(tmp_path: Path) -> None:
    made = practice_seat(tmp_path, "wind-pump/as-left", override={"job": ""})
    made.go(0.5)
    made.press("7")
    assert "no job is named: enter the job number in Set-up (2)" in made.text()
    made.press("space")
    assert "there is no batch" in made.text()
    made.close()


def test_a_refused_part_stays_named(tmp_path: Path) -> None:
    made = practice_seat(tmp_path, "wind-pump/as-left", fault="tip-off", override=SETUP, planned=PLANNED)
    opened(made)
    made.press("space")
    turned(made)
    text = " ".join(made.text().split())
    assert "A-1: REFUSED BY A CHECK" in text
    assert "A-1 again with SPACE, or type skip and why" in text
    made.close()


def test_the_end_is_asked_for_while_parts_are_left(seat: Seat) -> None:
    seat.press("space")
    turned(seat)
    seat.press("escape", "q")
    assert "Q again ends. 2 parts are left; what is measured is kept." in seat.text()
    assert not seat.console.over
    seat.press("q")
    seat.go(0.2)
    assert seat.console.over


def test_after_the_last_part_the_whole_table_stands(tmp_path: Path) -> None:
    made = opened(practice_seat(tmp_path, "wind-pump/as-left", override=SETUP, planned=("A-1", "A-2")))
    for _ in range(2):
        made.press("space")
        turned(made)
        made.go(0.3)
    text = made.text()
    assert phase(made) is BatchPhase.OVER
    assert "Every part of the batch is measured or skipped" in text
    assert "2 parts of job J-88 measured" in text
    assert text.count("the entered limit") >= 3 or "not decided" in text
    made.press("space")
    assert phase(made) is BatchPhase.OVER
    made.close()


# --- at a port, where the part is turned by hand ----------------------------------------------------------


@pytest.fixture
def by_hand(tmp_path: Path) -> Iterator[tuple[Hand, Seat]]:
    hand, bench = bench_by_hand("wind-pump/as-left")
    made = practice_seat(
        tmp_path, "wind-pump/as-left", bench=bench, override=SETUP, planned=PLANNED, port="/dev/board"
    )
    made.go(1.0)
    yield hand, opened(made)
    made.close()


def marks_in(path: Path) -> list[int]:
    noted = [note.event for note in RecordingReader(path).notes() if isinstance(note, RecordedEvent)]
    return [event.count for event in noted if isinstance(event, MarkTouched)]


def test_at_a_port_a_part_that_turns_is_not_begun(by_hand: tuple[Hand, Seat]) -> None:
    hand, seat = by_hand
    hand.rpm = 8.0
    seat.go(1.0)
    seat.press("space")
    assert "it turns: mark under the tip, then SPACE" in seat.text()
    assert phase(seat) is BatchPhase.NAMED


def test_at_a_port_the_mark_is_where_the_part_stood_at_space(by_hand: tuple[Hand, Seat]) -> None:
    hand, seat = by_hand
    hand.turn(seat, 0.25)
    seat.press("space")
    hand.rpm = 8.0  # turned at once, before the new recording has heard the board
    turned(seat)
    hand.rpm = 0.0
    seat.go(1.5)
    assert "NOT RECORDING" in seat.text()
    assert "Put A-2 on" in seat.text()
    first = next(one.file for one in seat.console.batch.batch.sweeps)
    assert marks_in(Path(first)) == [pytest.approx(0.25 * 2400, abs=2)]


def test_at_a_port_the_boards_button_begins(by_hand: tuple[Hand, Seat]) -> None:
    hand, seat = by_hand
    bench = seat.source.bench
    bench.press(1, bench.now_us + 1000)
    seat.go(0.3)
    assert phase(seat) is BatchPhase.TURNING
    hand.rpm = 8.0
    turned(seat)
    assert list(seat.console.batch.batch.parts) == ["A-1"]
