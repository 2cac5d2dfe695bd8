"""Samples, turns, orders and the store as frames of the real pandas, polars and arrow."""

import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pandas
import polars
import pyarrow
import pytest
from made_histories import add_sweep, result_of
from made_sweeps import capture, made, wobble

import analysis
from analysis.errors import BadInput
from analysis.frames import KINDS
from analysis.store import HistoryFilter

SWEEP = made(wobble(0.142), noise_mm=0.0008, step_mm=0.001)
TYPES = {"pandas": pandas.DataFrame, "polars": polars.DataFrame, "arrow": pyarrow.Table}


def as_lists(found: Any) -> dict[str, list[Any]]:
    if isinstance(found, pandas.DataFrame):
        return {str(name): found[name].tolist() for name in found.columns}
    return (
        dict(found.to_pydict()) if isinstance(found, pyarrow.Table) else dict(found.to_dict(as_series=False))
    )


@pytest.mark.parametrize("kind", KINDS)
def test_the_samples_of_a_sweep_are_a_frame(kind: str) -> None:
    taken = capture(SWEEP, 0.001)
    found = taken.frame(kind)
    assert type(found) is TYPES[kind]
    columns = as_lists(found)
    assert list(columns) == ["t_s", "turn", "angle_deg", "reading_mm", "new"]
    assert columns["reading_mm"] == taken.samples.reading_mm.tolist()
    whole = np.radians(360.0 * np.array(columns["turn"]) + np.array(columns["angle_deg"]))
    np.testing.assert_allclose(whole, taken.samples.angle_rad, atol=1e-10)
    assert min(columns["angle_deg"]) >= 0.0
    assert max(columns["angle_deg"]) <= 360.0


@pytest.mark.parametrize("kind", KINDS)
def test_turns_and_orders_of_a_result_are_frames(kind: str) -> None:
    result = analysis.analyse(capture(SWEEP, 0.001))
    turns, orders = as_lists(result.turns_frame(kind)), as_lists(result.orders_frame(kind))
    assert turns["tir_fit_mm"] == [turn.tir_fit_mm for turn in result.turns]
    assert orders["n"] == [order.n for order in result.pooled.orders]
    assert orders["u_mm"] == [order.u_mm for order in result.pooled.orders]


@pytest.mark.parametrize("kind", KINDS)
def test_the_store_is_a_frame_of_turns_and_one_of_recordings(tmp_path: Path, kind: str) -> None:
    with analysis.open_store(tmp_path / "kept.db") as store:
        add_sweep(store, "a", "2026-01-02T08:00:00Z", result_of(0.03), serial="1")
        add_sweep(store, "b", "2026-02-02T08:00:00Z", result_of(0.04, limit_mm=None), job="J")
        add_sweep(store, "c", "2026-03-02T08:00:00Z", None)
        turns = as_lists(store.frame("turns", "flange", kind=kind))
        recordings = as_lists(store.frame("recordings", kind=kind))
        only = as_lists(store.frame("recordings", only=HistoryFilter(job="J"), kind=kind))
        with pytest.raises(BadInput, match="none of turns, recordings"):
            store.frame("sweeps")
        assert repr(store) == f"Store('{tmp_path / 'kept.db'}')"
    assert turns["recording_id"] == ["a", "b", "c"]
    assert recordings["measured"] == [f"2026-0{month}-02T08:00:00Z" for month in (1, 2, 3)]
    assert recordings["value_mm"][:2] == [0.03, 0.04]
    assert recordings["low_mm"][:2] == [0.03 - 0.004, 0.04 - 0.002]
    assert recordings["limit_mm"][0] == 0.05
    assert pandas.isna([recordings["value_mm"][2], recordings["limit_mm"][1]]).all()
    assert (only["recording_id"], only["job"]) == (["b"], ["J"])


def from_pandas(frame: pandas.DataFrame) -> tuple[Any, Any, Any]:
    return np.radians(frame["angle_deg"] + 360.0 * frame["turn"]), frame["reading_mm"], frame["t_s"]


def from_polars(frame: polars.DataFrame) -> tuple[Any, Any, Any]:
    whole = (polars.col("angle_deg") + 360.0 * polars.col("turn")).radians()
    return frame.select(whole).to_series(), frame["reading_mm"], frame["t_s"]


@pytest.mark.parametrize(("kind", "columns"), [("pandas", from_pandas), ("polars", from_polars)])
def test_columns_of_a_frame_are_fitted_as_the_arrays_they_are(
    kind: str, columns: Callable[[Any], tuple[Any, Any, Any]]
) -> None:
    taken = capture(SWEEP, 0.001)
    of_frame = analysis.fit_sweep(*columns(taken.frame(kind)), resolution_mm=0.001)
    s = taken.samples
    of_arrays = analysis.fit_sweep(s.angle_rad, s.reading_mm, s.t_s, resolution_mm=0.001)
    # Angles went through degrees and back, to the ninth decimal.
    assert of_frame.pooled.tir_first.value == pytest.approx(of_arrays.pooled.tir_first.value, abs=1e-9)


@pytest.mark.parametrize(
    ("kind", "module"), [("pandas", "pandas"), ("polars", "polars"), ("arrow", "pyarrow")]
)
def test_a_library_that_is_missing_is_named_with_its_extra(
    monkeypatch: pytest.MonkeyPatch, kind: str, module: str
) -> None:
    monkeypatch.setitem(sys.modules, module, None)
    with pytest.raises(BadInput, match=rf"{module} is not installed: pip install 'fullturn\["):
        capture(SWEEP, 0.001).frame(kind)


def test_another_kind_of_frame_is_refused() -> None:
    with pytest.raises(BadInput, match="frame 'excel' is not one of pandas, polars, arrow"):
        capture(SWEEP, 0.001).frame("excel")
