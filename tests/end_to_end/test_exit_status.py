"""Of several statuses the worst is the command's; each error knows its own."""

from pathlib import Path

import pytest
from running import inside, refusals

from analysis.errors import BadInput, FullturnError, LinkError, NotDecidable
from logger.commands.exit_status import worst_status

# --- status -----------------------------------------------------------------------------------------------

MOST_SERIOUS_FIRST = (2, 4, 5, 1, 3, 0)


@pytest.mark.parametrize("place", range(len(MOST_SERIOUS_FIRST)))
def test_of_several_statuses_the_worst_is_the_commands(place: int):
    assert worst_status(sorted(MOST_SERIOUS_FIRST[place:])) == MOST_SERIOUS_FIRST[place]


def test_nothing_at_all_is_no_failure():
    assert worst_status([]) == 0


@pytest.mark.parametrize(("limits", "status"), [(("0.5", "0.05"), 1), (("0.5", "0.1458"), 3), (("0.5",), 0)])
def test_several_files_end_with_the_worst(
    limits: tuple[str, ...], status: int, home: Path, capsys: pytest.CaptureFixture[str]
):
    # The same sweep against limits far above, far below and right at what it reads.
    for k, limit in enumerate(limits):
        inside(capsys, "export", "practice:wind-pump", "-o", f"{k}.csv", "--limit", f"{limit} mm")
    ran = inside(capsys, "sweep", *(f"{k}.csv" for k in range(len(limits))), "--json")
    assert ran.status == status


def test_one_bad_file_of_several_leaves_nothing_printed(
    home: Path, two_turns: Path, capsys: pytest.CaptureFixture[str]
):
    for line in refusals(capsys, 2, "sweep", two_turns, "none.mcap"):
        assert "none.mcap" in line


def test_errors_know_their_status():
    statuses = [error.exit_status for error in (BadInput, LinkError, NotDecidable, FullturnError)]
    assert statuses == [2, 4, 3, 5]


def test_a_fault_of_the_program_ends_with_5_and_keeps_its_traceback(
    home: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
):
    def break_down(*_: object, **__: object) -> None:
        raise ZeroDivisionError("a mistake of ours")

    monkeypatch.setattr("logger.commands.run.reported_sweep.analyse", break_down)
    monkeypatch.setattr("tempfile.tempdir", str(home))
    (line, _) = refusals(capsys, 5, "sweep", "practice:wind-pump")
    kept = Path(line.split("the traceback lies in ")[1].split(":")[0])
    assert "ZeroDivisionError: a mistake of ours" in line
    assert "in break_down" in kept.read_text()
