"""Samples as CSV, JSON and Parquet: read by the libraries people have, and read back by ourselves."""

import json
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pandas
import polars
import pyarrow.parquet
import pytest
from few_readings import few_readings

from analysis.capture import Capture, FromRecording, RecordedCheck
from analysis.errors import BadInput
from logger.inputs import SampleTable, format_of, table_of, write_sample_file
from logger.inputs.sample_files import FORMATS, read_sample_file

RECORDED = FromRecording(
    "id-1", "ab" * 32, None, (RecordedCheck("counts", "refused", "counts were lost", "sweep"),)
)


def sweep(*, timed: bool = True) -> Capture:
    return few_readings(400, timed=timed, part="Zahnrad, groß", limit="0,05 mm")


def write(
    folder: Path, form: str, capture: Capture | None = None, unit: str = "mm"
) -> tuple[Path, SampleTable]:
    path = folder / f"samples{FORMATS[form]}"
    table = table_of(capture or sweep(), RECORDED)
    write_sample_file(path, table, form, unit)
    return path, table


@pytest.mark.parametrize("form", FORMATS)
@pytest.mark.parametrize("timed", [True, False], ids=["timed", "not timed"])
def test_what_is_written_is_read_back(tmp_path: Path, form: str, timed: bool) -> None:
    capture = sweep(timed=timed)
    path, _ = write(tmp_path, form, capture)
    got = read_sample_file(path, {})
    np.testing.assert_allclose(got.samples.angle_rad, capture.samples.angle_rad, atol=1e-11)
    np.testing.assert_allclose(got.samples.reading_mm, capture.samples.reading_mm, atol=1e-10)
    assert got.samples.new.tolist() == capture.samples.new.tolist()
    assert (got.timed, got.resolution_mm) == (timed, 0.001)
    assert got.setup.text == capture.setup.text
    assert got.from_recording == RECORDED


@pytest.mark.parametrize("form", FORMATS)
def test_the_second_pass_writes_the_same_bytes(tmp_path: Path, form: str) -> None:
    path, _ = write(tmp_path, form)
    read = read_sample_file(path, {})
    again = tmp_path / "again" / path.name
    again.parent.mkdir()
    write_sample_file(again, table_of(read, read.from_recording), form, "mm")
    assert again.read_bytes() == path.read_bytes()


def by_pandas(path: Path) -> dict[str, Any]:
    return dict(pandas.read_parquet(path).to_dict("list"))


def by_polars(path: Path) -> dict[str, Any]:
    return polars.read_parquet(path).to_dict(as_series=False)


def by_arrow(path: Path) -> dict[str, Any]:
    return dict(pyarrow.parquet.read_table(path).to_pydict())


def by_json(path: Path) -> dict[str, Any]:
    return dict(json.loads(path.read_text())["samples"])


@pytest.mark.parametrize(
    ("form", "read"),
    [("parquet", by_pandas), ("parquet", by_polars), ("parquet", by_arrow), ("json", by_json)],
    ids=["pandas", "polars", "arrow", "json"],
)
def test_other_libraries_read_every_digit(
    tmp_path: Path, form: str, read: Callable[[Path], dict[str, Any]]
) -> None:
    path, table = write(tmp_path, form)
    assert read(path) == {name: column.tolist() for name, column in table.columns.items()}


@pytest.mark.parametrize(
    ("form", "how"),
    [("csv", {"comment": "#"}), ("csv-semicolons", {"comment": "#", "sep": ";", "decimal": ","})],
)
def test_pandas_reads_both_kinds_of_csv(tmp_path: Path, form: str, how: dict[str, str]) -> None:
    path, table = write(tmp_path, form, unit="um")
    frame = pandas.read_csv(path, **how)  # type: ignore[call-overload]
    assert list(frame.columns) == ["t_s", "turn", "angle_deg", "reading_um", "new"]
    np.testing.assert_allclose(frame["reading_um"], table.columns["reading_mm"] * 1000, atol=1e-6)
    np.testing.assert_allclose(frame["angle_deg"], table.columns["angle_deg"], atol=1e-9)


def test_polars_reads_a_csv(tmp_path: Path) -> None:
    path, table = write(tmp_path, "csv")
    frame = polars.read_csv(path, comment_prefix="#")
    np.testing.assert_allclose(frame["reading_mm"].to_numpy(), table.columns["reading_mm"], atol=1e-10)


def test_a_file_with_decimal_commas_is_its_twin_with_points(tmp_path: Path) -> None:
    (tmp_path / "comma").mkdir()
    comma = read_sample_file(write(tmp_path / "comma", "csv-semicolons")[0], {})
    point = read_sample_file(write(tmp_path, "csv")[0], {})
    for name in ("t_s", "angle_rad", "reading_mm", "new"):
        assert getattr(comma.samples, name).tolist() == getattr(point.samples, name).tolist()
    assert (comma.resolution_mm, comma.setup, comma.from_recording) == (
        point.resolution_mm,
        point.setup,
        point.from_recording,
    )


def test_a_parquet_of_another_program_is_read_with_its_unit(tmp_path: Path) -> None:
    deg = np.arange(0.0, 720.0, 3.0)
    frame = polars.DataFrame({"angle_deg": deg, "reading_thou": np.cos(np.radians(deg)), "shift": "night"})
    frame.write_parquet(tmp_path / "theirs.parquet")
    got = read_sample_file(tmp_path / "theirs.parquet", {})
    assert got.samples.reading_mm[0] == pytest.approx(0.0254)
    assert np.degrees(got.samples.angle_rad[-1]) == pytest.approx(717.0)
    assert (got.timed, got.resolution_mm, got.from_recording) == (False, 0.0, None)


BAD_JSON = {
    "no object": ("[1, 2]", "holds no samples"),
    "no JSON": ("{", "is no JSON"),
    "no reading": ('{"samples": {"angle_deg": [0, 1, 2]}}', "has the columns angle_deg: expected angle_deg and one"),
    "text": ('{"samples": {"angle_deg": [0, 90, "x"], "reading_mm": [0, 0, 0]}}', "angle_deg is no list of numbers"),
    "a hole": ('{"samples": {"angle_deg": [0, 90, 180], "reading_mm": [0, null, 0]}}', "row 2: reading_mm is nan"),
    "endless": ('{"samples": {"angle_deg": [0, 1e99, 180], "reading_mm": [0, 0, 0]}}', "row 2: angle_deg is 1e"),
    "lengths": ('{"samples": {"angle_deg": [0, 90], "reading_mm": [0, 0, 0]}}', "columns of different lengths"),
    "too few": ('{"samples": {"angle_deg": [0, 90], "reading_mm": [0, 0]}}', "holds 2 readings"),
    "a step": ('{"samples": {"angle_deg": [0, 90, 180], "reading_mm": [0, 0, 0]}, "resolution_mm": -1}',
               "resolution_mm is -1"),
    "set-up": ('{"samples": {"angle_deg": [0, 90, 180], "reading_mm": [0, 0, 0]}, "setup": {"part": 1}}',
               "setup is no object of texts"),
}  # fmt: skip


@pytest.mark.parametrize("name", BAD_JSON)
def test_json_that_cannot_be_used_is_refused(tmp_path: Path, name: str) -> None:
    text, said = BAD_JSON[name]
    (tmp_path / "bad.json").write_text(text)
    with pytest.raises(BadInput) as refused:
        read_sample_file(tmp_path / "bad.json", {})
    assert said in str(refused.value)


def test_what_is_no_parquet_is_refused(tmp_path: Path) -> None:
    (tmp_path / "bad.parquet").write_bytes(b"PAR1 and nothing else")
    with pytest.raises(BadInput, match="is no Parquet that can be read"):
        read_sample_file(tmp_path / "bad.parquet", {})
    polars.DataFrame({"angle_deg": ["a", "b", "c"], "reading_mm": [0.0, 0.0, 0.0]}).write_parquet(
        tmp_path / "text.parquet"
    )
    with pytest.raises(BadInput, match="is no Parquet that can be read"):
        read_sample_file(tmp_path / "text.parquet", {})
    with pytest.raises(BadInput, match="no such file"):
        read_sample_file(tmp_path / "none.parquet", {})


def test_a_changed_origin_is_not_believed(tmp_path: Path) -> None:
    path, _ = write(tmp_path, "json")
    path.write_text(path.read_text().replace("refused: counts were lost", "clear: counts were lost"))
    got = read_sample_file(path, {}).from_recording
    assert got is not None
    assert got.damaged


@pytest.mark.parametrize(
    ("name", "wanted", "form"),
    [
        ("a.csv", None, "csv"),
        ("a.JSON", None, "json"),
        ("a.parquet", None, "parquet"),
        ("a.csv", "csv-semicolons", "csv-semicolons"),
    ],
)
def test_the_name_tells_the_format(name: str, wanted: str | None, form: str) -> None:
    assert format_of(Path(name), wanted) == form


@pytest.mark.parametrize(("name", "wanted", "said"), [("a.xls", None, "does not end in .csv, .json, .parquet"),
                                                      ("a.csv", "json", "does not end in .json")])  # fmt: skip
def test_a_name_that_would_not_be_known_again_is_refused(name: str, wanted: str | None, said: str) -> None:
    with pytest.raises(BadInput, match=said):
        format_of(Path(name), wanted)


def test_without_the_library_the_extra_is_named(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "pyarrow", None)
    with pytest.raises(BadInput, match=r"install fullturn\[lab\], or export to .csv or .json"):
        write(tmp_path, "parquet")
    assert list(tmp_path.iterdir()) == []
