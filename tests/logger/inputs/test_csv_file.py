"""Readings that come as text: clock places and CSV files, in and out; what is written is read back."""

import io
from pathlib import Path

import numpy as np
import pytest
from few_readings import few_readings
from hypothesis import given, strategies as st

from analysis.capture.events import ClosingReading, TimedEvent
from analysis.capture.from_recording import FromRecording, RecordedCheck
from analysis.capture.samples import Capture
from analysis.checks.recorded_checks import with_recorded_checks
from analysis.errors import BadInput
from analysis.results import Check, CheckState
from analysis.units import MM_PER, PRINTED_UNITS
from logger.inputs import csv_file
from logger.inputs.csv_file import read_csv, typed_capture
from logger.inputs.csv_writing import write_csv
from logger.inputs.sample_files import is_sample_file
from logger.inputs.sample_table import table_of


def csv(tmp_path: Path, text: str, setup: dict[str, str] | None = None) -> Capture:
    path = tmp_path / "read.csv"
    path.write_text(text, encoding="utf-8")
    return read_csv(path, setup or {})


def degrees(capture: Capture) -> list[float]:
    return np.degrees(capture.samples.angle_rad).round(9).tolist()


# --- typed ------------------------------------------------------------------------------------------------


def test_clock_places_are_put_in_order():
    capture = typed_capture("270:3 0:0 90:1 180:-2 um", {})
    assert degrees(capture) == [0.0, 90.0, 180.0, 270.0]
    assert capture.samples.reading_mm.tolist() == pytest.approx([0.0, 0.001, -0.002, 0.003])


def test_typed_readings_have_no_time_and_no_link():
    capture = typed_capture("0:0 90:1 180:-2 thou", {})
    assert (capture.timed, capture.link, capture.angle_source) == (False, None, "typed")


@pytest.mark.parametrize(
    ("text", "step_mm"),
    [("0:0 90:1 180:2 thou", 0.0254), ("0:0 90:.5 180:2 thou", 0.00254), ("0:0 90:1,25 180:2 mm", 0.01)],
)
def test_the_step_is_the_last_digit_written(text: str, step_mm: float):
    assert typed_capture(text, {}).resolution_mm == pytest.approx(step_mm)


def test_the_first_place_typed_again_closes_the_turn():
    capture = typed_capture("0:0 90:3 180:1 360:0.5 um", {})
    assert len(capture.samples) == 3
    assert capture.events == (TimedEvent(None, ClosingReading(pytest.approx(0.0005))),)


def test_typed_readings_take_a_set_up():
    assert typed_capture("0:0 90:1 180:2 um", {"surface": "bore"}).setup.surface == "bore"


# --- CSV in -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("unit", PRINTED_UNITS)
def test_readings_come_in_the_unit_of_their_column(tmp_path: Path, unit: str):
    got = csv(tmp_path, f"angle_deg,reading_{unit}\n0,0\n90,1\n180,-2\n").samples.reading_mm
    assert got.tolist() == pytest.approx([0.0, MM_PER[unit], -2 * MM_PER[unit]])


def test_columns_may_come_in_any_order_and_others_are_passed_over(tmp_path: Path):
    got = csv(tmp_path, "remark,READING_MM , Angle_deg\nnick,0.1,0\n,0.2,90\n,0.3,180\n")
    assert degrees(got) == [0.0, 90.0, 180.0]
    assert got.samples.reading_mm.tolist() == [0.1, 0.2, 0.3]


def test_lines_with_a_hash_are_the_set_up(tmp_path: Path):
    got = csv(
        tmp_path, "# part = disc\n#surface=bore\n# just a remark\nangle_deg,reading_mm\n0,0\n90,1\n180,2\n"
    )
    assert (got.setup.part, got.setup.surface) == ("disc", "bore")


def test_what_is_typed_goes_before_what_the_file_says(tmp_path: Path):
    text = "# surface = bore\nangle_deg,reading_mm\n0,0\n90,1\n180,2\n"
    assert csv(tmp_path, text, {"surface": "outside"}).setup.surface == "outside"


def test_empty_lines_are_passed_over(tmp_path: Path):
    assert len(csv(tmp_path, "\n\nangle_deg,reading_mm\n\n0,0\n , \n90,1\n180,2\n\n").samples) == 3


def test_what_a_spreadsheet_puts_before_a_file_is_passed_over(tmp_path: Path):
    path = tmp_path / "sheet.csv"
    path.write_bytes(b"\xef\xbb\xbfangle_deg,reading_mm\r\n0,0\r\n90,1\r\n180,2\r\n")
    assert len(read_csv(path, {}).samples) == 3


def test_angles_that_fall_back_are_the_next_turn(tmp_path: Path):
    rows = "".join(f"{deg % 360},0\n" for deg in range(0, 800, 40))
    assert degrees(csv(tmp_path, f"angle_deg,reading_mm\n{rows}")) == [
        float(deg) for deg in range(0, 800, 40)
    ]


def test_angles_that_go_on_are_taken_as_they_are(tmp_path: Path):
    rows = "".join(f"{deg},0\n" for deg in range(-100, 800, 100))
    assert degrees(csv(tmp_path, f"angle_deg,reading_mm\n{rows}")) == [
        float(deg) for deg in range(-100, 800, 100)
    ]


def test_a_column_of_turns_tells_the_turn(tmp_path: Path):
    got = csv(tmp_path, "turn,angle_deg,reading_mm\n0,10,0\n0,200,0\n3,20,0\n")
    assert degrees(got) == [10.0, 200.0, 1100.0]


def test_times_are_taken_where_they_are_given(tmp_path: Path):
    got = csv(tmp_path, "t_s,angle_deg,reading_mm\n1.5,0,0\n1.7,90,1\n1.9,180,2\n")
    assert (got.timed, got.samples.t_s.tolist()) == (True, [1.5, 1.7, 1.9])


def test_without_times_there_are_none(tmp_path: Path):
    assert not csv(tmp_path, "angle_deg,reading_mm\n0,0\n90,1\n180,2\n").timed


def test_values_that_are_not_new_are_told(tmp_path: Path):
    got = csv(tmp_path, "angle_deg,reading_mm,new\n0,0,1\n90,0,0\n180,2,1\n")
    assert got.samples.new.tolist() == [True, False, True]


@pytest.mark.parametrize(
    ("cell", "step_mm"), [("0.25", 0.01), ("5", 1.0), ("1e-3", 0.001), ("2.50E-2", 0.0001)]
)
def test_the_step_of_a_file_is_its_last_digit(tmp_path: Path, cell: str, step_mm: float):
    assert csv(tmp_path, f"angle_deg,reading_mm\n0,0\n90,{cell}\n180,1\n").resolution_mm == pytest.approx(
        step_mm
    )


@pytest.mark.parametrize(
    ("name", "sample_file"),
    [
        ("a.csv", True),
        ("a.CSV", True),
        ("a.txt", True),
        ("a.parquet", True),
        ("a.json", True),
        ("a.mcap", False),
    ],
)
def test_a_file_of_samples_is_told_by_its_name(name: str, sample_file: bool):
    assert is_sample_file(Path(name)) is sample_file


def test_the_line_that_is_wrong_is_named(tmp_path: Path):
    with pytest.raises(
        BadInput, match="line 6: reading_mm is 'worn', expected a number with a decimal point"
    ):
        csv(tmp_path, "# part = disc\n\nangle_deg,reading_mm\n0,0\n90,1\n180,worn\n")


@pytest.mark.parametrize(
    "row",
    [
        "1e308,0.1,0,0",
        "-4e11,0.1,0,0",
        "5,1e7,0,0",
        "5,-1e308,0,0",
        "5,0.1,1e300,0",
        "5,0.1,0,1e10",
        "1e12,0.1,0,0",
    ],
)
def test_numbers_beyond_any_sweep_are_refused_by_their_line(tmp_path: Path, row: str):
    # Of an angle of 1e308 degrees the fit never came to an end.
    rows = "".join(f"{k},{k % 7},{k},0\n" for k in range(50))
    with pytest.raises(BadInput, match=r"read\.csv line 52: (angle_deg|reading_mm|t_s|turn) is .* more than"):
        csv(tmp_path, f"angle_deg,reading_mm,t_s,turn\n{rows}{row}\n")


def test_an_exponent_of_any_length_is_a_number_or_refused(tmp_path: Path):
    text = "angle_deg,reading_mm\n0,0.1\n90,0.2\n180,1e-" + "9" * 5000 + "\n"
    assert csv(tmp_path, text).samples.reading_mm[2] == 0.0


@pytest.mark.parametrize("mark", [";", "\t"])
def test_columns_parted_otherwise_may_have_decimal_commas(tmp_path: Path, mark: str):
    rows = [["angle_deg", "reading_mm"], ["0,0", "0,012"], ["90,5", "-0,003"], ["180", "1"]]
    got = csv(tmp_path, "\n# part = disc\n" + "".join(mark.join(row) + "\n" for row in rows))
    assert degrees(got) == [0.0, 90.5, 180.0]
    assert got.samples.reading_mm.tolist() == [0.012, -0.003, 1.0]
    assert got.resolution_mm == pytest.approx(0.001)


@pytest.mark.parametrize(
    ("rows", "words"),
    [
        ("angle_deg,reading_mm\n0,0\n90,0,012\n180,1\n", "line 3: 3 values, expected 2: a decimal comma"),
        ("angle_deg;reading_mm\n0;0\n90;1.234,5\n180;1\n", "line 3: reading_mm is '1.234,5'.*grouping"),
        ("angle_deg;reading_mm\n0;0\n90;1,234,5\n180;1\n", "line 3: reading_mm is '1,234,5'.*grouping"),
    ],
)
def test_a_comma_that_may_mean_two_things_is_refused_by_its_line(tmp_path: Path, rows: str, words: str):
    with pytest.raises(BadInput, match=words):
        csv(tmp_path, rows)


# --- CSV out ----------------------------------------------------------------------------------------------


def sweep(*, timed: bool = True, resolution_mm: float = 0.001, **keys: str) -> Capture:
    return few_readings(50, timed=timed, resolution_mm=resolution_mm, **keys)


def written(capture: Capture, unit: str = "mm") -> str:
    file = io.StringIO()
    write_csv(table_of(capture), file, unit)
    return file.getvalue()


@pytest.mark.parametrize("unit", PRINTED_UNITS)
@pytest.mark.parametrize("timed", [True, False], ids=["timed", "not timed"])
def test_what_is_written_is_read_back(tmp_path: Path, unit: str, timed: bool):
    capture = sweep(timed=timed, part="disc", surface="bore")
    got = csv(tmp_path, written(capture, unit))
    # Nine decimals of a degree, and a ten-thousandth of a micrometre.
    np.testing.assert_allclose(got.samples.angle_rad, capture.samples.angle_rad, atol=1e-11)
    np.testing.assert_allclose(got.samples.reading_mm, capture.samples.reading_mm, atol=1e-7)
    np.testing.assert_array_equal(got.samples.new, capture.samples.new)
    assert got.timed is timed
    assert (got.setup.part, got.setup.surface) == ("disc", "bore")


@pytest.mark.parametrize("unit", PRINTED_UNITS)
def test_the_gauge_s_step_is_read_back(tmp_path: Path, unit: str):
    assert csv(tmp_path, written(sweep(resolution_mm=0.00127), unit)).resolution_mm == pytest.approx(0.00127)


def test_the_gauge_s_step_is_no_key_of_the_set_up(tmp_path: Path):
    assert csv(tmp_path, written(sweep())).setup.unknown == ()


def test_a_step_that_is_not_known_is_not_written():
    assert "resolution" not in written(sweep(resolution_mm=0.0))


def test_units_stand_in_the_header():
    lines = written(sweep(part="disc"), "thou").splitlines()
    assert lines[:3] == ["# part = disc", "# resolution = 0.001 mm", "t_s,turn,angle_deg,reading_thou,new"]


def test_an_angle_lies_within_its_turn():
    rows = [line.split(",") for line in written(sweep()).splitlines()[2:]]
    assert all(0.0 <= float(row[2]) < 360.0 for row in rows)
    assert [rows[0][1], rows[-1][1]] == ["-1", "2"]


@pytest.mark.parametrize("part", ["=HYPERLINK(1)", "disc\nturn,9", "\x1b[31mred", "two, three", '"quoted"'])
def test_text_of_a_set_up_stays_in_its_line(tmp_path: Path, part: str):
    text = written(sweep(part=part))
    # A line that begins with # is no cell of a spreadsheet's formula, and holds no second line.
    assert text.splitlines()[2].startswith("t_s,")
    assert text.isascii() or part.isascii()
    assert all(character.isprintable() or character == "\n" for character in text)
    assert len(csv(tmp_path, text).samples) == 50


# --- what the recording knew ------------------------------------------------------------------------------

TOLD = FromRecording(
    "8f2c",
    "ab" * 32,
    {"frames": 900, "bad": 1, "lost": 0, "dropped": 0, "enc_errors": 3, "restarts": 0},
    (
        RecordedCheck("link", "clear", "900 frames, none lost"),
        RecordedCheck(
            "counts", "refused", "the encoder reported 3 impossible steps", "turn more slowly, look, again"
        ),
        RecordedCheck("gauge-rate", "doubtful", "few values; or so,"),
        RecordedCheck("lag", "doubtful", "late by 3 deg; or so,"),
    ),
)


def exported(recorded: FromRecording = TOLD) -> str:
    file = io.StringIO()
    write_csv(table_of(sweep(part="disc"), recorded), file)
    return file.getvalue()


def test_what_the_recording_knew_is_read_back_and_is_no_set_up(tmp_path: Path):
    got = csv(tmp_path, exported())
    assert got.from_recording is not None
    assert (got.from_recording.recording_id, got.from_recording.sha256) == ("8f2c", "ab" * 32)
    assert got.from_recording.link == TOLD.link
    assert [(one.name, one.state, one.do) for one in got.from_recording.checks] == [
        (one.name, one.state, one.do) for one in TOLD.checks
    ]
    assert got.from_recording.damaged == ""
    assert (got.setup.unknown, got.link) == ((), None)


def test_a_file_of_its_own_has_no_recording(tmp_path: Path):
    assert csv(tmp_path, written(sweep())).from_recording is None


def test_separators_that_a_spreadsheet_puts_after_a_line_change_nothing(tmp_path: Path):
    lines = exported().splitlines()
    text = "".join(f"{line},,,,\n" if "from." in line else f"{line}\n" for line in lines)
    recorded = csv(tmp_path, text).from_recording
    assert recorded is not None
    assert recorded.damaged == ""


@pytest.mark.parametrize(
    ("was", "now"),
    [
        ("counts = refused:", "counts = clear:"),
        ("counts = refused:", "counts = clear"),
        ("# from.check.counts", "# from.check.count"),
        ("# from.check.counts", "# note"),
        ("enc_errors 3", "enc_errors 0"),
        ("# from.seal = ", "# from.seal = 0"),
        ("# from.seal", "# seal"),
        ("# from.check.lag", "# from.check.link = clear: twice\n# from.check.lag"),
    ],
)
def test_a_word_changed_by_hand_is_not_believed(tmp_path: Path, was: str, now: str):
    assert was in exported()
    recorded = csv(tmp_path, exported().replace(was, now)).from_recording
    assert recorded is not None
    assert recorded.damaged
    assert recorded.checks == ()
    assert [(check.name, check.state) for check in with_recorded_checks((), recorded)] == [
        ("link", "refused")
    ]


def test_the_worse_of_file_and_recording_holds():
    own = (
        Check("counts", CheckState.CLEAR, "the turns agree", ""),
        Check("lag", CheckState.REFUSED, "worse here", ""),
        Check("drift", CheckState.DOUBTFUL, "drifts", ""),
    )
    found = {check.name: (str(check.state), check.text) for check in with_recorded_checks(own, TOLD)}
    assert found == {
        "counts": (
            "refused",
            "the encoder reported 3 impossible steps (said by the recording it came from)",
        ),
        "gauge-rate": ("doubtful", "few values; or so, (said by the recording it came from)"),
        "lag": ("refused", "worse here"),
        "drift": ("doubtful", "drifts"),
    }


def test_a_check_that_a_file_cannot_make_is_told_too():
    recorded = FromRecording(checks=(RecordedCheck("link", "refused", "the board restarted"),))
    assert [(check.name, check.state) for check in with_recorded_checks((), recorded)] == [
        ("link", "refused")
    ]


# --- all at once, and line by line -------------------------------------------------------------------

CELLS = st.one_of(
    st.decimals(-99, 99, places=4).map(str),
    st.integers(-9, 9).map(str),
    st.sampled_from(
        ["0.100", "-0.0", " 1.5 ", "1e-3", "2E+1", "+.5", "5.", "0.12345678901234567890123456", '"1.5"']
    ),
)


@given(
    st.lists(st.tuples(st.integers(0, 3600), CELLS), min_size=3, max_size=30),
    st.sampled_from([",", ";", "\t"]),
    st.sampled_from(["", "\n", "# note = x\n"]),
    st.sampled_from(["", "note"]),
)
def test_both_roads_through_a_file_come_to_the_same(
    rows: list[tuple[int, str]], mark: str, between: str, other: str
) -> None:
    names = ["angle_deg", *([other] if other else []), "reading_mm"]
    texts = [
        mark.join([str(deg / 10), *(["é, x"[: 1 if mark == "," else 4]] if other else []), cell])
        for deg, cell in rows
    ]
    text = between.join(f"{line}\r\n" for line in texts)
    table = csv_file._Table(Path("f.csv"), names, ["angle_deg", "reading_mm"], "reading_mm", mark)
    text = "".join(csv_file._data_lines(text.splitlines(keepends=True), {}, []))
    slowly, decimals = table.line_by_line(text, 1)
    at_once = table.all_at_once(text)
    if at_once is not None:
        assert at_once[1] == decimals
        assert {name: list(column) for name, column in at_once[0].items()} == {
            name: list(column) for name, column in slowly.items()
        }


def test_a_plain_file_is_read_all_at_once() -> None:
    table = csv_file._Table(
        Path("f.csv"), ["angle_deg", "reading_mm"], ["angle_deg", "reading_mm"], "reading_mm", ","
    )
    found = table.all_at_once("0.0,1.250\r\n\r\n1.0,-0.5\r\n2.0,7\r\n")
    assert found is not None
    assert (list(found[0]["reading_mm"]), found[1]) == ([1.25, -0.5, 7.0], 3)
