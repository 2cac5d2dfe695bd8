"""Many parts by serial at ``record``: on the practice bench without a terminal, at one, and at a port by hand."""

import csv
import shlex
import shutil
from pathlib import Path

import pytest
from pages_made import text_of_html
from running import Ran, inside, move_in, one_line
from served_bench import ServedByHand
from terminals import Terminal

from analysis.capture.events import MarkTouched
from logger.recording import RecordingReader
from logger.stream import RecordedEvent

LEFT = "practice:wind-pump/as-left"
needs_tmux = pytest.mark.skipif(shutil.which("tmux") is None, reason="needs tmux as the terminal")


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    return move_in(tmp_path, monkeypatch)


def batch(capsys: pytest.CaptureFixture[str], *more: object, serials: str = "A-{1..2}") -> Ran:
    return inside(capsys, "record", LEFT, "--job", "J-88", "--turns", 1, "--serials", serials, *more)


def test_every_part_is_another_and_has_its_recording(home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    ran = batch(capsys, "--json")
    rows = ran.result["rows"]
    assert [row["serial"] for row in rows] == ["A-1", "A-2"]
    assert len({row["tir_mm"] for row in rows}) == 2
    for row in rows:
        reader = RecordingReader(row["file"])
        assert (reader.setup["serial"], reader.setup["job"]) == (row["serial"], "J-88")
    assert ran.result["left"] == []
    states = {row["state"] for row in rows}
    assert ran.status == (1 if "over" in states else 3 if "undecided" in states else 0)


def test_the_same_part_is_the_same_whenever_it_is_put_on(
    home: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The noise of two sweeps apart, which 95 % intervals of both hold."""
    first = batch(capsys, "--json", serials="A-2").result["rows"][0]
    other = inside(
        capsys, "record", LEFT, "--job", "J-89", "--turns", 1, "--serials", "A-2", "--seed", 1, "--json"
    ).result["rows"][0]
    assert other["tir_mm"] == pytest.approx(first["tir_mm"], abs=first["tir_high_mm"] - first["tir_low_mm"])


def test_a_refused_sweep_is_told_and_its_part_left(home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    ran = batch(capsys, "--fault", "tip-off@2", "--json")
    assert ran.status == 3
    assert (ran.result["refused"], ran.result["left"]) == (1, ["A-2"])
    assert ran.result["skipped"] == [{"serial": "A-2", "reason": "refused by a check"}]
    assert "A-2: REFUSED BY A CHECK (" in ran.err


@pytest.mark.parametrize("forgotten", [(), ("--no-store",)])
def test_begun_again_it_goes_on_at_the_first_part_not_done(
    home: Path, capsys: pytest.CaptureFixture[str], forgotten: tuple[str, ...]
) -> None:
    batch(capsys, *forgotten, "--fault", "tip-off@2")
    ran = batch(capsys, *forgotten, "--json")
    assert ran.err.count("streams; recording to") == 1
    assert ran.result["left"] == []
    assert len(list((home / "data").glob("*.mcap"))) == 3


def test_the_table_is_printed_with_the_command_that_goes_on(
    home: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    ran = batch(capsys, "--fault", "tip-off@1")
    words = ran.out.splitlines()[-1].removeprefix("These go on: ")
    assert "Not measured, 1 of 2: A-1 (skipped: refused by a check)" in ran.out
    again = inside(capsys, *shlex.split(words)[1:-2])
    assert "Not measured" not in again.out
    assert again.out.count("A-1 ") == 1


def test_a_job_of_another_kind_of_part_is_refused(home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    batch(capsys, serials="A-1")
    ran = inside(
        capsys, "record", "practice:bicycle-disc/hub", "--job", "J-88", "--turns", 2, "--serials", "A-2"
    )
    assert ran.status == 2
    assert "job 'J-88' holds sweeps of 'bull-gear flange'" in one_line(ran)
    assert len(list((home / "data").glob("*.mcap"))) == 1


@pytest.mark.parametrize(
    ("words", "why"),
    [
        (("--serials", "A-1", "--turns", 2), "needs the job"),
        (("--serials", "A-1", "--job", "J"), "needs an end of each sweep"),
        (("--serials", "A-1", "--job", "J", "--turns", 2, "--out", "x.mcap"), "leave --out and --every away"),
        (("--serials", "A-1", "--job", "J", "--turns", 2, "--set", "serial=7"), "take that one out"),
        (("--serials", "A-1", "--job", "J", "--turns", 2, "--set", "job=K"), "--job J against job K"),
        (("--serials", "A-{2..1}", "--job", "J", "--turns", 2), "runs backwards"),
        (("--serials", "A-1", "--job", " ", "--turns", 2), "--job is empty"),
        (("--serials", "A-1", "--job", "J", "--turns", 2, "--fault", "stuck@x"), "as unplug@3"),
    ],
)
def test_what_does_not_go_together_is_refused_before_anything_is_recorded(
    home: Path, capsys: pytest.CaptureFixture[str], words: tuple[object, ...], why: str
) -> None:
    ran = inside(capsys, "record", LEFT, *words)
    assert (ran.status, ran.out) == (2, "")
    assert why in one_line(ran)
    assert not list(home.glob("data/*.mcap"))


def test_a_port_without_a_terminal_is_refused(home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    ran = inside(capsys, "record", "/dev/null", "--job", "J", "--turns", 2, "--serials", "A-1")
    assert (ran.status, "somebody presses SPACE" in one_line(ran)) == (2, True)


def marks_in(path: Path) -> list[int]:
    """Return the counts at which marks were touched."""
    noted = [note.event for note in RecordingReader(path).notes() if isinstance(note, RecordedEvent)]
    return [event.count for event in noted if isinstance(event, MarkTouched)]


@needs_tmux
def test_a_terminal_names_skips_and_ends_in_the_middle(tmp_path: Path) -> None:
    words = ("record", LEFT, "--job", "J-88", "--turns", "2", "--serials", "'A-{1..4}'")
    window = Terminal(tmp_path, *words, width=120, height=50)
    try:
        window.wait(lambda text: "Put A-1 on: SPACE begins" in text, "the first part")
        window.press("B-7", "Enter")
        window.wait(lambda text: "B-7 is none of the 4 parts" in text, "a question")
        window.press("Space")
        window.wait(lambda text: "B-7 is asked about" in text, "no sweep")
        window.press("A-2", "Enter")
        window.wait(lambda text: "A-2: SPACE begins" in text, "another part named")
        window.press("Space")
        window.wait(lambda text: "A-2: TIR 0.0" in text and "Put A-1 on" in text, "its result")
        window.press("skip burr", "Enter")
        window.wait(lambda text: "Put A-3 on" in text or "A-1 is skipped: burr" in text, "a part skipped")
        window.press("NPage")
        window.wait(lambda text: "A-3: TIR 0.0" in text and "Put A-4 on" in text, "the pedal's sweep")
        window.press("C-c")
        assert window.status() == 0
        text = window.text()
        assert "2 parts of job J-88 measured" in text
        assert "Not measured, 2 of 4: A-1 (skipped: burr), A-4" in text
        assert "These go on: fullturn record practice:wind-pump/as-left" in text
    finally:
        window.close()


@needs_tmux
def test_at_a_port_the_sweep_begins_where_the_mark_stands(tmp_path: Path) -> None:
    with ServedByHand() as bench:
        words = ("record", bench.port, "--job", "J-88", "--turns", "2", "--serials", "A-1,A-2")
        limit = ("--limit", "'0.05 mm'", "--set", "part=ring")
        window = Terminal(tmp_path, *words, *limit, width=120, height=50)
        try:
            window.wait(lambda text: "Put A-1 on: SPACE begins" in text, "the first part")
            window.press("Space")
            while "streams; recording to" not in window.wait(
                lambda text: "streams" in text or "half a second" in text or "no reading" in text, "a start"
            ):
                window.press("Space")
            bench.turn(2.25)
            window.wait(lambda text: "A-1: TIR 0.0" in text and "Put A-2 on" in text, "its result")
            begun = window.text().count("streams; recording to")
            while window.text().count("streams; recording to") == begun:
                bench.press()
                window.wait(
                    lambda text: (
                        text.count("recording to") > begun or "press again" in text or "then SPACE" in text
                    ),
                    "the button's sweep",
                )
            bench.turn(2.1)
            window.wait(lambda text: "A-2: TIR 0.0" in text, "its result")
            assert window.status() in (0, 3)
        finally:
            window.close()
    first, second = sorted((tmp_path / "data").glob("*.mcap"))
    marks = [marks_in(path) for path in (first, second)]
    assert [len(one) for one in marks] == [1, 1]
    assert marks[1][0] - marks[0][0] == pytest.approx(2.25 * 2400, abs=2)


# --- what becomes of it on paper -------------------------------------------------------------------------


def test_a_job_becomes_a_row_and_a_label_a_part_and_the_last_sweep_counts(
    home: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    serials = "=1+1,A;2"
    batch(capsys, "--fault", "tip-off@1", serials=serials)
    before = inside(capsys, "report", "--batch", "--job", "J-88", "-o", "b.html", "--labels", "l.html")
    assert "1 refused" in before.out
    batch(capsys, serials=serials)
    check = ("--set", "stage=check standard", "--set", "serial=ring 1")
    inside(capsys, "record", LEFT, "--job", "J-88", "--turns", 1, *check)
    empty = next((home / "data").glob("*.mcap")).read_bytes()[:1500]
    (home / "data" / "cut-off.mcap").write_bytes(empty)
    ran = inside(capsys, "report", "--batch", "--job", "J-88", "-o", "b.csv", "--labels", "l2.html", "--json")
    assert ran.result["refused"] == 0
    assert sorted(row["serial"] for row in ran.result["rows"]) == ["=1+1", "A;2"]
    assert "=1+1 was measured again" in ran.err
    assert "is of a check standard" in ran.err
    with (home / "b.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert sorted(row["serial"] for row in rows) == ["'=1+1", "A;2"]
    text = text_of_html((home / "l2.html").read_text("utf-8"))
    assert text.count("bull-gear flange") == 2
    for serial in ("=1+1", "A;2", "PRACTICE BENCH, INVENTED"):
        assert serial in text


def test_a_refused_part_has_no_number_on_paper(home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    batch(capsys, "--fault", "tip-off@1", serials="A-1")
    inside(capsys, "report", "--batch", "--job", "J-88", "-o", "b.html", "--labels", "l.html")
    label = text_of_html((home / "l.html").read_text("utf-8"))
    assert "refused by a check: measure again" in label
    assert "TIR" not in label


def test_a_job_that_nobody_measured_is_refused(home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    ran = inside(capsys, "report", "--batch", "--job", "J-99", "-o", "b.html")
    assert (ran.status, "no recording of job 'J-99'" in one_line(ran)) == (2, True)
