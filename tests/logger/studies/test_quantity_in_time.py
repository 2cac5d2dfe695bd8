"""A quantity in time: its points, and its slope beside what another library says of the same numbers."""

from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np
import pytest
import statsmodels.api as sm
from made_histories import add_sweep, result_of

from analysis.errors import BadInput
from analysis.store import StoredSweep, open_store
from logger.studies import grouped, trend

DAY = timedelta(days=1)
BEGAN = datetime(2026, 1, 1, tzinfo=UTC)


def stored_sweeps(folder: Path, tirs_mm: list[float], days: list[float], **setup: str) -> list[StoredSweep]:
    with open_store(folder / "kept.db") as store:
        for k, (tir_mm, day) in enumerate(zip(tirs_mm, days, strict=True)):
            add_sweep(store, f"r-{k}", (BEGAN + day * DAY).isoformat(), result_of(tir_mm), **setup)
        return store.sweeps(f"r-{k}" for k in range(len(days)))


def test_the_slope_and_its_interval_are_those_of_another_library(tmp_path: Path) -> None:
    days = [0.0, 3.0, 31.0, 58.5, 90.0, 92.25]
    tirs_mm = [0.0301, 0.0295, 0.0322, 0.0340, 0.0333, 0.0351]
    found = trend(stored_sweeps(tmp_path, tirs_mm, days), "tir")
    # statsmodels 0.14, ordinary least squares; a month is a twelfth of the Gregorian year of 365.2425 days.
    model = sm.OLS(tirs_mm, sm.add_constant(np.array(days) / (365.2425 / 12))).fit()
    assert found.slope_mm_per_month == pytest.approx(model.params[1], rel=1e-9)
    assert found.slope_95 == pytest.approx(tuple(model.conf_int()[1]), rel=1e-9)
    assert found.dof == model.df_resid


def test_a_quantity_that_was_decided_on_has_the_interval_of_the_decision(tmp_path: Path) -> None:
    (point,) = trend(stored_sweeps(tmp_path, [0.03], [0.0]), "tir").points
    assert (point.number.low_mm, point.number.high_mm, point.number.limit_mm) == (
        0.03 - 0.004,
        0.03 + 0.004,
        0.05,
    )


def test_another_quantity_has_that_of_its_sweep_and_no_limit(tmp_path: Path) -> None:
    (point,) = trend(stored_sweeps(tmp_path, [0.03], [0.0]), "tir_first").points
    assert (point.number.value_mm, point.number.low_mm, point.number.limit_mm) == (
        2 * abs(0.1 + 0.02j),
        None,
        None,
    )


@pytest.mark.parametrize("days", [[0.0], [0.0, 1.0], [2.0, 2.0, 2.0]], ids=["one", "two", "all at once"])
def test_too_few_times_have_no_slope(tmp_path: Path, days: list[float]) -> None:
    found = trend(stored_sweeps(tmp_path, [0.03] * len(days), days), "tir")
    assert (found.slope_mm_per_month, found.slope_95, len(found.points)) == (None, None, len(days))


def test_a_recording_without_that_quantity_is_counted(tmp_path: Path) -> None:
    found = trend(stored_sweeps(tmp_path, [0.03], [0.0]), "form")
    assert (found.points, found.without) == ((), 1)


def test_two_serials_are_no_trend(tmp_path: Path) -> None:
    first = stored_sweeps(tmp_path, [0.03], [0.0], serial="1")
    (tmp_path / "other").mkdir()
    second = stored_sweeps(tmp_path / "other", [0.04], [1.0], serial="2")
    with pytest.raises(BadInput, match=r"2 serials in one trend .'1', '2'.: name one with --serial"):
        trend([*first, *second], "tir")


def test_groups_count_recordings_and_turns(tmp_path: Path) -> None:
    with open_store(tmp_path / "kept.db") as store:
        add_sweep(store, "a", "2026-01-31T08:00:00Z", result_of(0.03), serial="1")
        add_sweep(store, "b", "2026-02-01T08:00:00Z", result_of(0.08, state="over"), serial="1")
        add_sweep(store, "c", "2026-02-02T08:00:00Z", None, job="J")
        rows = store.history()
        sweeps = store.sweeps(row.recording_id for row in rows)
    by_part = grouped("part", sweeps, rows)
    assert [(one.of, one.recordings, one.turns, dict(one.states)) for one in by_part] == [
        ("flange", 1, 1, {None: 1}),
        ("flange 1", 2, 2, {"within": 1, "over": 1}),
    ]
    assert [(one.of, one.recordings) for one in grouped("month", sweeps, rows)] == [
        ("2026-01", 1),
        ("2026-02", 2),
    ]
    assert [one.of for one in grouped("job", sweeps, rows)] == ["", "J"]
