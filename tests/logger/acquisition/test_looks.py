"""Earlier recordings of the same part, stage and limit are counted when a recording begins."""

from pathlib import Path

import pytest
from store_rows import recording, turn

from analysis import store
from logger.acquisition.looks import with_looks

ASKED = {"part": "flange", "stage": "as found", "limit": "0.05 mm"}


def asked(where: Path, turns: int | None = 3, **other: str) -> dict[str, str]:
    said: list[str] = []
    found = with_looks({**ASKED, **other}, turns, str(where), said.append)
    assert said == []
    return found


@pytest.fixture
def where(tmp_path: Path) -> Path:
    return tmp_path / "store.db"


def keep(where: Path, number: int, turns: int = 1, **other: str) -> None:
    setup = {**ASKED, **other}
    with store.open_store(str(where)) as opened:
        key = f"00000000-0000-4000-8000-{number:012d}"
        opened.begin_recording(
            recording(
                recording_id=key,
                started=f"2026-11-26T10:{number:02d}:00Z",
                part=setup["part"],
                stage=setup["stage"],
                setup=setup,
            )
        )
        for k in range(turns):
            opened.add_turn(turn(k, recording_id=key, part=setup["part"], stage=setup["stage"]))


def test_the_turns_asked_for_are_the_plan(where: Path) -> None:
    assert asked(where)["turns_planned"] == "3"


def test_a_plan_of_the_set_up_stands(where: Path) -> None:
    assert asked(where, turns_planned="5")["turns_planned"] == "5"


def test_without_turns_asked_for_there_is_no_plan(where: Path) -> None:
    assert "turns_planned" not in asked(where, None)


def test_the_first_recording_has_no_look_before_it_and_makes_no_store(where: Path) -> None:
    assert "looks_before" not in asked(where)
    assert not where.exists()


def test_recordings_are_counted_and_not_their_turns(where: Path) -> None:
    keep(where, 1, turns=4)
    keep(where, 2, turns=2)
    assert asked(where)["looks_before"] == "2"


def test_a_recording_without_a_turn_is_no_look(where: Path) -> None:
    keep(where, 1, turns=0)
    assert "looks_before" not in asked(where)


@pytest.mark.parametrize("other", [{"part": "rim"}, {"stage": "as left"}, {"limit": "0.06 mm"}, {"job": "2"}])
def test_another_question_is_no_look_at_this_one(where: Path, other: dict[str, str]) -> None:
    keep(where, 1, **other)
    assert "looks_before" not in asked(where)


def test_a_part_that_was_cut_since_is_another_one(where: Path) -> None:
    keep(where, 1)
    keep(where, 2, stage="after cut")
    assert "looks_before" not in asked(where)
    keep(where, 3)
    assert asked(where)["looks_before"] == "1"


def test_a_number_that_was_carried_along_is_counted_anew(where: Path) -> None:
    assert "looks_before" not in asked(where, looks_before="7")


def test_a_store_that_cannot_be_read_is_told_and_counts_nothing(where: Path) -> None:
    where.write_bytes(b"no store")
    said: list[str] = []
    assert "looks_before" not in with_looks(ASKED, 3, str(where), said.append)
    assert "earlier looks" in said[0]
