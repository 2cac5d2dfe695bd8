"""Saved set-ups: what goes with the bench and what with the part, and files that cannot be used."""

from pathlib import Path

import pytest

from analysis.errors import BadInput
from analysis.setup import BY_KEY
from logger.settings import check_setup
from logger.settings.saved_setups import OF_ONE_RECORDING, file_of, read, save, saved_for

BOARD = "board 51ab0001"


def test_a_set_up_is_saved_by_board_and_by_part(tmp_path: Path) -> None:
    text = {"part": 'flange "7"', "limit": "0,05 mm", "sense": "-1", "tip_clock": "3"}
    save(tmp_path, BOARD, text)
    assert read(file_of(tmp_path, "rig", BOARD)) == {"sense": "-1", "tip_clock": "3"}
    assert read(file_of(tmp_path, "part", 'flange "7"')) == {"part": 'flange "7"', "limit": "0,05 mm"}


@pytest.mark.parametrize("key", sorted(BY_KEY.keys() - {"part", *OF_ONE_RECORDING}))
def test_every_field_comes_back_for_its_board_and_part(tmp_path: Path, key: str) -> None:
    text = {"part": "hub", "surface": "outside", key: BY_KEY[key].example}
    save(tmp_path, BOARD, text)
    assert saved_for(tmp_path, BOARD, "hub") == text


def test_what_is_of_one_recording_is_never_saved(tmp_path: Path) -> None:
    save(tmp_path, BOARD, {"part": "hub", **{key: BY_KEY[key].example for key in OF_ONE_RECORDING}})
    assert saved_for(tmp_path, BOARD, "hub") == {"part": "hub"}


def test_an_empty_value_and_what_a_rig_says_are_not_saved(tmp_path: Path) -> None:
    save(tmp_path, BOARD, {"part": "hub", "job": "", "sense": "", "rig.line.unit": "in"})
    assert saved_for(tmp_path, BOARD, "hub") == {"part": "hub"}


def test_a_set_up_without_a_part_is_saved_for_the_board_alone(tmp_path: Path) -> None:
    save(tmp_path, BOARD, {"sense": "-1", "operator": "me"})
    assert [path.name for path in (tmp_path / "setups").iterdir()] == ["rig-board-51ab0001.toml"]


def test_no_name_leads_out_of_the_folder(tmp_path: Path) -> None:
    assert file_of(tmp_path, "part", "../../etc/passwd").parent == tmp_path / "setups"


def test_a_damaged_set_up_is_refused(tmp_path: Path) -> None:
    path = file_of(tmp_path, "part", "x")
    path.parent.mkdir()
    path.write_text("part = ")
    with pytest.raises(BadInput, match="cannot be read as a set-up"):
        read(path)


def test_a_folder_that_cannot_be_written_is_refused(tmp_path: Path) -> None:
    (tmp_path / "setups").write_text("in the way")
    with pytest.raises(BadInput, match=r"cannot be written .*: the set-up holds for now only"):
        save(tmp_path, BOARD, {"part": "hub"})


@pytest.mark.parametrize("key", sorted(BY_KEY))
def test_the_example_of_every_field_can_be_used(key: str) -> None:
    check_setup({"limit": "1 mm", "surface": "outside", key: BY_KEY[key].example})


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ({"limit": "0.05 mm", "limit_radius": "50 mm"}, "set track_radius"),
        ({"gauge_table": "0:0 mm"}, "at least two different readings"),
        ({"gauge_due": "next year"}, "write it like 2026-03-31"),
        ({"screws": "x y"}, "screws: angle 'x' is not a number"),
        ({"screws": "0"}, "the number of screws must be from 1 to 360"),
    ],
)
def test_what_cannot_be_used_is_refused(text: dict[str, str], words: str) -> None:
    with pytest.raises(BadInput) as refused:
        check_setup(text)
    assert words in str(refused.value)
