"""The store in use: what goes in comes out, and nothing is changed afterwards."""

from pathlib import Path
from typing import Any

import numpy as np
import pytest
from either_store import ask
from store_rows import recording, turn

from analysis.decision.rule import DecisionState
from analysis.errors import StoreError
from analysis.store import HistoryRow, Store, StoredRecording

SHA = "ab" * 32


def test_a_turn_comes_back_in_the_history_with_its_recording(either: Store) -> None:
    either.begin_recording(recording())
    number = either.add_turn(turn())
    expected = HistoryRow(
        number, "flange", "as found", "2026-01-02T03:04:09Z", 0.146, 50.3, None, "r-1", None, "running", None, None,
        {"part": "flange", "limit": "0.050 mm"},
    )  # fmt: skip
    assert either.history() == [expected]


def test_every_number_of_a_turn_is_kept_exactly(either: Store, where: str) -> None:
    either.begin_recording(recording())
    either.add_turn(turn(4, tir_fit_mm=0.1 + 0.2))
    kept = ask(
        where,
        "SELECT turn, direction, samples, gauge_values, coverage, largest_gap_deg, rpm, tir_raw_mm, "
        "tir_fit_mm, tir_first_mm, high_point_deg, highest_order, code_version, options FROM turns",
    )
    assert kept == [
        (4, 1, 360, 300, 0.99, 2.5, 6.0, 0.151, 0.1 + 0.2, 0.142, 50.3, 3, "0.1.0", '{"orders": 3}')
    ]  # fmt: skip


def test_the_vectors_are_kept_by_order_from_one(either: Store, where: str) -> None:
    either.begin_recording(recording())
    number = either.add_turn(turn())
    kept = ask(where, "SELECT turn_id, n, cos_mm, sin_mm FROM turn_orders ORDER BY n")
    assert kept == [(number, 1, 0.1, -0.1), (number, 2, 0.2, -0.2), (number, 3, 0.3, -0.3)]


def test_numpy_arrays_and_scalars_are_taken(either: Store, where: str) -> None:
    either.begin_recording(recording())
    either.add_turn(
        turn(
            samples=np.int64(7),
            rpm=np.float32(0.5),
            cos_mm=np.array([0.25]),
            sin_mm=np.array([0.5]),
            options={"left_out": np.array([1, 2]), "drift": np.bool_(True)},
        )
    )
    assert ask(where, "SELECT samples, rpm, options FROM turns") == [
        (7, 0.5, '{"left_out": [1, 2], "drift": true}')
    ]
    assert ask(where, "SELECT cos_mm, sin_mm FROM turn_orders") == [(0.25, 0.5)]


def test_a_turn_without_a_fit_has_no_vectors(either: Store, where: str) -> None:
    either.begin_recording(recording())
    either.add_turn(turn(tir_fit_mm=None, high_point_deg=None, cos_mm=[], sin_mm=[]))
    assert either.history()[0].tir_fit_mm is None
    assert ask(where, "SELECT * FROM turn_orders") == []


def test_nan_is_null_in_a_column(either: Store) -> None:
    either.begin_recording(recording())
    either.add_turn(turn(tir_fit_mm=float("nan"), high_point_deg=float("inf")))
    listed = either.history()[0]
    assert (listed.tir_fit_mm, listed.high_point_deg) == (None, None)


def test_nan_is_null_in_json(either: Store, where: str) -> None:
    either.begin_recording(recording())
    result = {"pooled": {"noise_mm": float("nan"), "tir_fit_95_mm": (0.1, np.inf)}, "turns": []}
    either.finish_recording("r-1", SHA, True, None, result, "0.1.0")
    assert ask(where, "SELECT result FROM analyses") == [
        ('{"pooled": {"noise_mm": null, "tir_fit_95_mm": [0.1, null]}, "turns": []}',)
    ]


@pytest.mark.parametrize(
    ("cos_mm", "sin_mm"), [([0.1, float("nan")], [0.1, 0.2]), ([0.1], [0.1, 0.2])], ids=["nan", "uneven"]
)
def test_a_vector_with_a_hole_is_refused_and_nothing_is_added(
    either: Store, cos_mm: list[float], sin_mm: list[float]
) -> None:
    either.begin_recording(recording())
    with pytest.raises(StoreError, match="as many of each and all finite"):
        either.add_turn(turn(cos_mm=cos_mm, sin_mm=sin_mm))
    assert either.history() == []


def test_a_value_that_json_has_no_form_for_is_refused(either: Store) -> None:
    either.begin_recording(recording())
    with pytest.raises(StoreError, match=r"found a \w*Path among"):
        either.finish_recording("r-1", SHA, True, None, {"file": Path("x")}, "0.1.0")


def test_a_number_too_large_for_the_database_is_told(either: Store) -> None:
    either.begin_recording(recording())
    with pytest.raises(StoreError, match="while adding a turn"):
        either.add_turn(turn(samples=2**70))


def test_a_file_name_that_is_not_text_and_a_zero_byte_are_kept_visibly(either: Store, where: str) -> None:
    either.begin_recording(recording(file="a\udcff.mcap", part="fl\0ange"))
    assert ask(where, "SELECT file, part FROM recordings") == [("a\\udcff.mcap", "fl\ufffdange")]


def test_beginning_a_recording_twice_leaves_the_first(either: Store, where: str) -> None:
    either.begin_recording(recording())
    either.begin_recording(recording(part="another"))
    assert ask(where, "SELECT recording_id, part FROM recordings") == [("r-1", "flange")]


def test_a_turn_that_is_added_again_stays_as_it_is(either: Store, where: str) -> None:
    either.begin_recording(recording())
    either.begin_recording(recording("r-2"))
    numbers = [either.add_turn(turn(0)), either.add_turn(turn(1)), either.add_turn(turn(0, "r-2"))]
    assert [either.add_turn(turn(0, rpm=99.0)), either.add_turn(turn(1))] == numbers[:2]
    assert ask(where, "SELECT recording_id, turn, rpm FROM turns ORDER BY id") == [
        ("r-1", 0, 6.0), ("r-1", 1, 6.0), ("r-2", 0, 6.0)
    ]  # fmt: skip
    assert ask(where, "SELECT count(*) FROM turn_orders") == [(9,)]


def test_a_recording_is_known_by_its_checksum_and_turns(either: Store) -> None:
    assert either.stored_recording("r-1") is None
    either.begin_recording(recording())
    assert either.stored_recording("r-1") == StoredRecording(None, None, 0)
    either.add_turn(turn(0))
    either.add_turn(turn(1))
    either.finish_recording("r-1", "c" * 64, True, "over", {}, "0.1.0")
    assert either.stored_recording("r-1") == StoredRecording("c" * 64, "over", 2)


def test_a_turn_of_an_unknown_recording_is_refused(either: Store) -> None:
    with pytest.raises(StoreError, match="found no recording r-1"):
        either.add_turn(turn())


def test_finishing_an_unknown_recording_is_refused(either: Store) -> None:
    with pytest.raises(StoreError, match="found no recording r-1"):
        either.finish_recording("r-1", SHA, True, None, {}, "0.1.0")


def test_finishing_writes_checksum_state_result_and_options(either: Store, where: str) -> None:
    either.begin_recording(recording())
    either.finish_recording("r-1", SHA, True, "over", {"a": 1}, "0.2.0", options={"orders": 9})
    joined = "SELECT sha256, closed, state, result, options, analyses.code_version FROM recordings, analyses"
    assert ask(where, joined) == [(SHA, 1, "over", '{"a": 1}', '{"orders": 9}', "0.2.0")]


@pytest.mark.parametrize("state", DecisionState)
def test_every_state_of_a_decision_is_stored_as_its_word(
    either: Store, where: str, state: DecisionState
) -> None:
    either.begin_recording(recording())
    either.finish_recording("r-1", SHA, True, state, {}, "0.2.0")
    assert ask(where, "SELECT state FROM analyses") == [(state.value,)]


def test_the_history_shows_the_state_of_a_finished_recording(either: Store) -> None:
    either.begin_recording(recording())
    either.add_turn(turn())
    either.finish_recording("r-1", SHA, True, "within", {}, "0.1.0")
    assert (either.history()[0].state, either.history()[0].sha256) == ("within", SHA)


def test_finishing_does_not_touch_what_the_recording_was_begun_with(either: Store, where: str) -> None:
    either.begin_recording(recording())
    begun = (
        "SELECT recording_id, file, started, part, job, stage, surface, setup, code_version FROM recordings"
    )
    before = ask(where, begun)
    either.finish_recording("r-1", SHA, True, "within", {}, "0.9.0")
    assert ask(where, begun) == before


def test_finishing_the_same_again_is_harmless(either: Store, where: str) -> None:
    either.begin_recording(recording())
    for _ in range(2):
        either.finish_recording("r-1", SHA, True, "within", {"x": 0.1, "y": (1,)}, "0.1.0")
    assert len(ask(where, "SELECT * FROM analyses")) == 1


@pytest.mark.parametrize(
    "change",
    [
        {"sha256": "cd" * 32},
        {"state": "over"},
        {"result": {"x": 2}},
        {"code_version": "0.2.0"},
        {"closed": False},
    ],
    ids=lambda change: next(iter(change)),
)
def test_a_closed_recording_is_never_finished_otherwise(either: Store, change: dict[str, Any]) -> None:
    first: dict[str, Any] = {
        "sha256": SHA, "closed": True, "state": "within", "result": {"x": 1}, "code_version": "0.1.0",
    }  # fmt: skip
    either.begin_recording(recording())
    either.finish_recording("r-1", **first)
    with pytest.raises(StoreError, match="never changed"):
        either.finish_recording("r-1", **(first | change))


def test_a_recording_left_open_by_a_crash_can_be_finished_again(either: Store) -> None:
    either.begin_recording(recording())
    either.add_turn(turn())
    either.finish_recording("r-1", "cd" * 32, False, None, {}, "0.1.0")
    either.finish_recording("r-1", SHA, True, "within", {}, "0.1.0")
    assert (either.history()[0].state, either.history()[0].sha256) == ("within", SHA)


def test_a_state_off_the_list_is_refused(either: Store) -> None:
    either.begin_recording(recording())
    with pytest.raises(StoreError, match="expected within, over, undecided or None"):
        either.finish_recording("r-1", SHA, True, "good", {}, "0.1.0")
