"""Limits of check standards kept, and analyses added: rows only, the newest holds."""

import pytest
from either_store import ask
from made_histories import add_sweep, result_of

from analysis.errors import StoreError
from analysis.store import StandardEntry, Store


def entry(**changes: object) -> StandardEntry:
    fields: dict[str, object] = {
        "part": "flange",
        "serial": "",
        "stage": "as left",
        "baseline": ["a"],
        "n": 10,
        "mean_cos_mm": 0.1,
        "mean_sin_mm": -0.2,
        "s_mm": 0.001,
        "dof": 18.0,
        "alpha": 0.01,
        "made": "2026-03-01T00:00:00Z",
    }
    return StandardEntry(**(fields | changes))  # type: ignore[arg-type]


def test_limits_that_are_fixed_anew_replace_and_change_none(either: Store, where: str) -> None:
    add_sweep(either, "a", "2026-01-02T08:00:00Z", result_of(0.03))
    either.standards.fix(entry())
    either.standards.fix(entry(n=12, made="2026-04-01T00:00:00Z"))
    newest = either.standards.newest("flange", "", "as left")
    assert newest is not None
    assert (newest.n, newest.baseline, newest.mean_sin_mm) == (12, ["a"], -0.2)
    assert [one.n for one in either.standards.all()] == [12, 10]
    assert ask(where, "SELECT n, replaces IS NULL FROM standards ORDER BY n") == [(10, 1), (12, 0)]


def test_limits_hold_for_their_own_serial_and_stage(either: Store) -> None:
    add_sweep(either, "a", "2026-01-02T08:00:00Z", result_of(0.03))
    either.standards.fix(entry())
    assert either.standards.newest("flange", "2", "as left") is None
    assert either.standards.newest("flange", "", "as found") is None
    with pytest.raises(StoreError, match="found no part 'hub' ''"):
        either.standards.fix(entry(part="hub"))


def again(store: Store, tir_mm: float, state: str) -> int:
    return store.add_analysis(
        "a",
        state,
        result_of(tir_mm, state=state),
        "0.2.0",
        numerics=2,
        made="2026-05-01T00:00:00Z",
        why="numerics 1 to 2",
    )


def test_another_result_is_another_edition_and_the_same_one_is_none(either: Store, where: str) -> None:
    add_sweep(either, "a", "2026-01-02T08:00:00Z", result_of(0.03))
    assert again(either, 0.03, "within") == 0
    assert again(either, 0.06, "over") == 1
    assert again(either, 0.06, "over") == 1
    assert again(either, 0.03, "within") == 2
    rows = ask(where, "SELECT edition, replaces, value_mm, state, why FROM analyses ORDER BY edition")
    assert rows == [
        (0, None, 0.03, "within", "recorded"),
        (1, 0, 0.06, "over", "numerics 1 to 2"),
        (2, 1, 0.03, "within", "numerics 1 to 2"),
    ]
    assert ask(where, "SELECT edition, state FROM decisions ORDER BY edition") == [
        (0, "within"),
        (1, "over"),
        (2, "within"),
    ]
    assert [(one.edition, one.state) for one in either.sweeps(["a"])] == [(2, "within")]
    # The turns as they were recorded are what is listed, once.
    assert [row.state for row in either.history()] == ["within"]


def test_what_was_never_finished_is_not_analysed_again(either: Store) -> None:
    add_sweep(either, "a", "2026-01-02T08:00:00Z", None)
    with pytest.raises(StoreError, match="found recording a not finished"):
        again(either, 0.03, "within")
