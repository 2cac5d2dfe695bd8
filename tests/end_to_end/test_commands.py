"""The commands: promised keys, the same numbers by every road, what is written, what is shown."""

import hashlib
import json
import math
import os
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import pytest
from running import Ran, fullturn, inside, move_in, practice_file, start

from analysis.store import SCHEMA_VERSION
from analysis.sweep import NUMERICS_VERSION
from logger.__main__ import run
from logger.commands import TABLE
from logger.practice.bench.faults import FAULTS
from logger.practice.stories.catalogue import SCENARIOS
from logger.recording import FORMAT, RecordingReader

FLANGE = "practice:wind-pump/as-found"


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    return move_in(tmp_path, monkeypatch)


@pytest.fixture(scope="module")
def written(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The whole as-found sweep, written down."""
    return practice_file(tmp_path_factory.mktemp("made") / "as-found.mcap")


def without(result: Mapping[str, Any], *keys: str) -> dict[str, Any]:
    return {key: value for key, value in result.items() if key not in keys}


# --- the promise ------------------------------------------------------------------------------------------

NUMBER, MAYBE, WHOLE, TEXT, TRUTH = "a number", "a number or null", "a whole number", "text", "true or false"
MAYBE_TEXT, MAYBE_TRUTH, MAYBE_WHOLE = "text or null", "true, false or null", "a whole number or null"
PAIR, ANY = [NUMBER, NUMBER], "anything"

BUDGET_LINE = {
    "source": TEXT, "u_mm": NUMBER, "dof": MAYBE, "u_deg": MAYBE, "kind": ("A", "B"),
    "from": ("sweep", "certificate", "set-up", "default"), "on": ("tir", "angle"), "one_sided": TRUTH,
    "shift_mm": MAYBE,
}  # fmt: skip
GAP = {"start_s": NUMBER, "end_s": NUMBER, "lost": WHOLE, "why": ("lost", "stalled", "unplugged")}
LINK = dict.fromkeys(("frames", "bad", "lost", "dropped", "enc_errors", "restarts"), WHOLE) | {"gaps": [GAP]}
GAUGE = {
    "rate_hz": NUMBER,
    "resolution_mm": NUMBER,
    "held_fraction": NUMBER,
    "max_rpm": NUMBER,
    "lag_s": MAYBE,
}
TURN = {
    "turn": WHOLE, "direction": (1, -1), "samples": WHOLE, "values": WHOLE, "coverage": NUMBER,
    "largest_gap_deg": NUMBER, "rpm": NUMBER, "tir_raw_mm": NUMBER, "tir_fit_mm": NUMBER,
    "tir_first_mm": NUMBER, "high_point_deg": NUMBER,
}  # fmt: skip
ORDER = dict.fromkeys(
    ("cos_mm", "sin_mm", "u_mm", "amplitude_mm", "u_amplitude_mm", "high_deg", "u_deg"), NUMBER
) | {"n": WHOLE}
POOLED = {
    "turns": WHOLE, "highest_order": WHOLE, "tir_raw_mm": NUMBER, "tir_fit_mm": NUMBER, "u_tir_fit_mm": NUMBER,
    "tir_fit_95_mm": PAIR, "tir_first_mm": NUMBER, "u_tir_first_mm": NUMBER, "tir_first_95_mm": PAIR,
    "high_point_deg": NUMBER, "high_point_95_deg": PAIR, "low_point_deg": NUMBER, "high_side_deg": NUMBER,
    "u_high_side_deg": NUMBER, "high_side_95_deg": PAIR, "eccentricity_mm": MAYBE, "centre_deg": MAYBE,
    "tilt_mrad": MAYBE, "form_mm": NUMBER, "form_95_mm": PAIR, "form_of": ("curve", "points"),
    "points": MAYBE_WHOLE, "synchronous_mm": NUMBER, "asynchronous_mm": NUMBER,
    "drift_mm_per_s": MAYBE, "closure_mm": MAYBE, "noise_mm": NUMBER, "dof": NUMBER,
    "clock": {"4": NUMBER, "8": NUMBER, "12": NUMBER}, "orders": [ORDER],
    "added_orders": [WHOLE], "order_seen_mm": MAYBE, "orders_looked_for": WHOLE,
    "wander_mm": MAYBE, "wander_dof": MAYBE, "lag1": MAYBE,
    "lines": [{"order": NUMBER, "mm": NUMBER, "predicts": NUMBER}],
}  # fmt: skip
CHECK = {"name": TEXT, "state": ("clear", "doubtful", "refused"), "text": TEXT, "do": TEXT}
BUMP = {
    "deg": NUMBER,
    "width_deg": NUMBER,
    "height_mm": NUMBER,
    "turns": WHOLE,
    "kind": ("nick", "knock", "hole", "stand", "ridge"),
    "kept": TRUTH,
}
DECISION = {
    "quantity": TEXT, "value_mm": NUMBER, "u_mm": NUMBER, "interval_mm": PAIR, "limit_mm": NUMBER,
    "limit_as_written": TEXT, "guard_mm": NUMBER, "state": ("within", "over", "undecided"), "why": TEXT,
    "more_turns": MAYBE_WHOLE,
}  # fmt: skip
SWEEP = {
    "file": TEXT, "recording_id": MAYBE_TEXT, "setup": {},
    "angle_source": ("encoder", "index", "stops", "steady", "typed"), "closed": MAYBE_TRUTH, "link": LINK,
    "gauge": GAUGE, "turns": [TURN], "pooled": POOLED,
    "budget": [BUDGET_LINE], "bumps": [BUMP], "checks": [CHECK],
    "decision": DECISION,
}  # fmt: skip
NO_LINK = SWEEP | {"recording_id": None, "closed": None, "link": None}
SEPARATED = dict.fromkeys(
    ("part_cos_mm", "part_sin_mm", "u_part_mm", "spindle_cos_mm", "spindle_sin_mm", "u_spindle_mm"), MAYBE
) | {"n": WHOLE, "separable": TRUTH, "noise_factor": MAYBE}
MOUNTING = {
    "file": TEXT, "mount_first_mm": NUMBER, "mount_first_part_deg": NUMBER, "predicted_tir_mm": NUMBER,
    "u_predicted_tir_mm": NUMBER, "predicted_tir_95_mm": PAIR,
    "advice": ("mounting-good", "mount-again", "undecided"),
}  # fmt: skip
CARD = {
    "least_stock_mm": NUMBER, "depth_mm": MAYBE, "passes": [NUMBER], "first_touch_part_deg": MAYBE,
    "uncut_after_pass": [ANY], "stock_left_mm": MAYBE, "axial_shift_mm": MAYBE, "stops": [TEXT],
}  # fmt: skip
POSITION = {
    "hole": WHOLE, "deg": NUMBER, "tir_mm": NUMBER, "u_tir_mm": NUMBER, "tir_95_mm": PAIR, "first_mm": NUMBER,
    "high_side_deg": NUMBER,
}  # fmt: skip
HISTORY = {
    "id": WHOLE, "part": TEXT, "stage": TEXT, "recorded": TEXT, "tir_fit_mm": NUMBER, "high_point_deg": NUMBER,
    "state": ("within", "over", "undecided", None), "recording_id": TEXT, "sha256": MAYBE_TEXT,
    "ended": ("running", "closed", "interrupted"), "numerics": WHOLE, "mark": MAYBE_TEXT,
}  # fmt: skip

PROMISES: dict[str, tuple[tuple[str, ...], Mapping[str, Any]]] = {
    "sweep FILE": (("sweep", "{file}"), SWEEP),
    "sweep practice:NAME": (("sweep", FLANGE), SWEEP | {"recording_id": None, "closed": None}),
    "sweep with faults": (("sweep", FLANGE, "--fault", "unplug"), SWEEP | {"recording_id": None}),
    "sweep of bumps": (("sweep", FLANGE, "--fault", "nick"), SWEEP | {"recording_id": None}),
    "sweep without a limit": (("sweep", "practice:bicycle-disc/hub"), SWEEP | {"decision": None}),
    "sweep of a bore": (("sweep", FLANGE, "--set", "surface=bore"), SWEEP | {"recording_id": None}),
    "sweep of CSV": (("sweep", "{csv}"), NO_LINK),
    "sweep --typed": (("sweep", "--typed", "0:0 90:3 180:1 270:-1 thou", "--limit", "1 mm"), NO_LINK),
    "sweep FILES": (("sweep", "{file}", "{csv}"), {"files": [SWEEP | {"link": ANY}]}),
    "record": (("record", FLANGE, "--turns", "1"), SWEEP | {"recording_id": TEXT, "closed": TRUTH}),
    "check-file": (
        ("check-file", "{file}"),
        {
            "frames": WHOLE, "bad": WHOLE, "lost": WHOLE, "gaps": [GAP], "closed": TRUTH, "bytes": WHOLE,
            "messages": WHOLE, "skipped_bytes": WHOLE, "sha256": TEXT,
        },
    ),
    "history": (("history",), {"turns": [HISTORY]}),
    "ports": (
        ("ports",),
        {
            "ports": [
                {
                    "path": TEXT, "maker": TEXT, "product": TEXT, "serial": TEXT, "known": TRUTH,
                    "hello": MAYBE_TRUTH,
                }
            ]
        },
    ),
    "separate": (
        ("separate", "practice:wind-pump/mount-2", "practice:wind-pump/half-turn-before"),
        {
            "orders": [SEPARATED], "part_tir_mm": MAYBE, "spindle_tir_mm": MAYBE, "not_separable": [WHOLE],
            "best_next_deg": NUMBER,
        },
    ),
    "plan-cut": (
        (
            "plan-cut", "--bearings", FLANGE, "--mounting", "practice:wind-pump/mount-2", "--stock", "12 mm",
            "--minimum", "11 mm", "--pass-depth", "0.05 mm",
        ),
        {"mountings": [MOUNTING], "best": TEXT, "card": CARD},
    ),
    "best-hole": (
        ("best-hole", "practice:bicycle-disc/hub", "practice:bicycle-disc/disc", "--holes", "6"),
        {"positions": [POSITION], "best": POSITION, "not_separable": [WHOLE]},
    ),
    "compare": (
        ("compare", FLANGE, "practice:wind-pump/as-left"),
        {
            "before": {}, "after": {}, "change_first_mm": NUMBER, "change_first_part_deg": NUMBER,
            "comparable": TRUTH,
            "differences": [
                {"field": TEXT, "before": ANY, "after": ANY, "effect": ("blocks", "rescaled", "noted")}
            ],
        },
    ),
    "adjust": (
        ("adjust", "practice:telescope-worm/as-found", "--screws", "0,120,240"),
        {"moves": [{"deg": NUMBER, "move_mm": NUMBER}], "left_first_mm": NUMBER},
    ),
    "backlash": (
        ("backlash", "0:0.13 90:0.14 180:0.11 270:0.12 mm"),
        {
            "mean_mm": NUMBER, "range_mm": NUMBER, "first_mm": NUMBER, "low_deg": NUMBER,
            "expected_range_mm": MAYBE, "angle_to_runout_deg": MAYBE,
        },
    ),
    "thickness": (
        ("thickness", "--typed", "0:9.98 90:9.97 180:9.99 270:9.98 mm"),
        {
            "variation_mm": NUMBER, "u_variation_mm": NUMBER, "thinnest_deg": NUMBER, "thinnest_mm": NUMBER,
            "orders": [{"n": WHOLE, "cos_mm": NUMBER, "sin_mm": NUMBER, "u_mm": NUMBER}],
        },
    ),
    "endfloat": (
        ("endfloat", "practice:wind-pump/end-float"),
        {"float_mm": NUMBER, "u_float_mm": NUMBER, "share_of_limit": MAYBE, "state": TEXT},
    ),
    "torque": (
        ("torque", "6", "--steps", "20,40,60 Nm"),
        {"steps": [{"torque": TEXT, "order": [WHOLE]}]},
    ),
}  # fmt: skip


def is_number(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and math.isfinite(value)


KINDS: dict[str, Callable[[Any], bool]] = {
    NUMBER: is_number,
    MAYBE: lambda value: value is None or is_number(value),
    WHOLE: lambda value: type(value) is int,
    MAYBE_WHOLE: lambda value: value is None or type(value) is int,
    TEXT: lambda value: isinstance(value, str),
    MAYBE_TEXT: lambda value: value is None or isinstance(value, str),
    TRUTH: lambda value: isinstance(value, bool),
    MAYBE_TRUTH: lambda value: value is None or isinstance(value, bool),
    ANY: lambda value: True,
}


def broken(promise: Any, value: Any, path: str = "") -> list[str]:
    """Return where a value does not keep its promise; more keys than promised are no breach."""
    if isinstance(promise, Mapping):
        if not isinstance(value, Mapping):
            return [f"{path} is {value!r}, promised an object"]
        missing = [f"{path}.{key} is missing" for key in promise if key not in value]
        return missing + [
            one
            for key in promise
            if key in value
            for one in broken(promise[key], value[key], f"{path}.{key}")
        ]
    if isinstance(promise, list):
        if not isinstance(value, list):
            return [f"{path} is {value!r}, promised a list"]
        if promise == PAIR and len(value) != len(PAIR):
            return [f"{path} is {value!r}, promised two ends"]
        return [one for k, each in enumerate(value) for one in broken(promise[0], each, f"{path}[{k}]")]
    if isinstance(promise, tuple):
        return [] if value in promise else [f"{path} is {value!r}, promised one of {promise}"]
    if promise is None:
        return [] if value is None else [f"{path} is {value!r}, promised null"]
    return [] if KINDS[promise](value) else [f"{path} is {value!r}, promised {promise}"]


@pytest.mark.parametrize("name", PROMISES)
def test_a_json_object_has_the_promised_keys(
    name: str, home: Path, written: Path, capsys: pytest.CaptureFixture[str]
):
    arguments, promise = PROMISES[name]
    if "{csv}" in arguments:
        inside(capsys, "export", written, "-o", "out.csv")
    if name == "history":
        inside(capsys, "record", FLANGE, "--turns", "2")
    given = [argument.format(file=written, csv="out.csv") for argument in arguments]
    ran = inside(capsys, *given, "--json")
    assert broken(promise, ran.result) == []
    assert len(ran.out.splitlines()) == 1


def test_a_promise_that_is_broken_is_found():
    assert broken({"a": NUMBER, "b": [PAIR], "c": TEXT}, {"a": math.nan, "b": [[1, 2, 3]]}) == [
        ".c is missing",
        ".a is nan, promised a number",
        ".b[0] is [1, 2, 3], promised two ends",
    ]


# --- the same numbers by every road -----------------------------------------------------------------------


def test_the_same_seed_writes_the_same_bytes(home: Path, written: Path):
    assert practice_file(home / "again.mcap").read_bytes() == written.read_bytes()


def test_another_process_writes_the_same_bytes(home: Path, written: Path):
    assert fullturn(home, "practice", "wind-pump/as-found", "--write", "again.mcap").status == 0
    assert (home / "again.mcap").read_bytes() == written.read_bytes()


def test_another_seed_writes_other_readings(home: Path, written: Path, capsys: pytest.CaptureFixture[str]):
    practice_file(home / "other.mcap", "wind-pump/as-found", "--seed", 2)
    one, other = (inside(capsys, "sweep", file, "--json").result for file in (written, "other.mcap"))
    assert one["recording_id"] != other["recording_id"]
    assert one["pooled"]["tir_first_mm"] != other["pooled"]["tir_first_mm"]


def test_a_written_bench_is_swept_as_the_bench_itself(
    home: Path, written: Path, capsys: pytest.CaptureFixture[str]
):
    one = inside(capsys, "sweep", written, "--json").result
    other = inside(capsys, "sweep", FLANGE, "--json").result
    # The file carries an opening of its own; nothing of what was measured may differ.
    whence = ("file", "recording_id", "closed", "link", "checks", "provenance")
    assert without(one, *whence) == without(other, *whence)
    assert [check["state"] for check in one["checks"]] == [check["state"] for check in other["checks"]]


def test_a_fault_is_written_and_swept_alike(home: Path, capsys: pytest.CaptureFixture[str]):
    practice_file(home / "nick.mcap", "wind-pump/as-found", "--fault", "nick")
    one = inside(capsys, "sweep", "nick.mcap", "--json").result
    other = inside(capsys, "sweep", FLANGE, "--fault", "nick", "--json").result
    assert one["bumps"] == other["bumps"] != []


def test_record_prints_what_sweep_of_its_file_prints(home: Path, capsys: pytest.CaptureFixture[str]):
    recorded = inside(capsys, "record", FLANGE, "--turns", "2", "--out", "mine.mcap", "--json")
    from_file = inside(capsys, "sweep", "mine.mcap", "--json")
    assert recorded.status == from_file.status == 1
    assert recorded.result == from_file.result


@pytest.fixture
def in_another_unit(
    request: pytest.FixtureRequest, home: Path, written: Path, capsys: pytest.CaptureFixture[str]
) -> dict[str, Any]:
    inside(capsys, "export", written, "-o", "out.csv", "--units", request.param)
    return inside(capsys, "sweep", "out.csv", "--json").result


@pytest.mark.parametrize("in_another_unit", ["mm", "um", "in", "thou"], indirect=True)
def test_an_exported_csv_is_swept_to_the_same_tir(
    in_another_unit: dict[str, Any], written: Path, capsys: pytest.CaptureFixture[str]
):
    one, other = inside(capsys, "sweep", written, "--json").result["pooled"], in_another_unit["pooled"]
    for key in ("tir_raw_mm", "tir_fit_mm", "tir_first_mm"):
        # A millionth of a millimetre: readings are written to a tenth of that.
        assert other[key] == pytest.approx(one[key], abs=1e-6)
    assert other["high_side_deg"] == pytest.approx(one["high_side_deg"], abs=1e-3)


def test_json_is_in_millimetres_whatever_the_unit(written: Path, capsys: pytest.CaptureFixture[str]):
    plain = inside(capsys, "sweep", written, "--json").out
    assert inside(capsys, "sweep", written, "--json", "--units", "thou").out == plain


def test_typed_readings_are_their_own_max_less_min(home: Path, capsys: pytest.CaptureFixture[str]):
    result = inside(capsys, "sweep", "--typed", "0:0 90:+3 180:-2 270:+3 thou", "--json").result
    assert result["pooled"]["tir_raw_mm"] == pytest.approx(5 * 0.0254, rel=1e-12)
    assert result["angle_source"] == "typed"


def test_typed_readings_of_a_wobble_give_it_back(home: Path, capsys: pytest.CaptureFixture[str]):
    places = " ".join(f"{deg}:{50 * math.cos(math.radians(deg - 40)):.6f}" for deg in range(0, 360, 30))
    pooled = inside(capsys, "sweep", "--typed", f"{places} um", "--json").result["pooled"]
    assert pooled["tir_first_mm"] == pytest.approx(0.1, abs=1e-6)
    assert pooled["high_side_deg"] == pytest.approx(40.0, abs=1e-3)


def test_typed_readings_within_allow_for_what_lies_between(home: Path, capsys: pytest.CaptureFixture[str]):
    # Four places of 5 thou may hide a wobble of 5 / cos 45 = 7.1 thou.
    typed = ("sweep", "--typed", "0:0 90:+3 180:-2 270:+3 thou", "--json")
    states = [
        inside(capsys, *typed, "--limit", limit).result["decision"]["state"]
        for limit in ("3 thou", "6 thou", "10 thou")
    ]
    assert states == ["over", "undecided", "within"]


def test_several_files_are_told_in_the_order_they_were_named(
    home: Path, written: Path, capsys: pytest.CaptureFixture[str]
):
    inside(capsys, "export", written, "-o", "out.csv")
    result = inside(capsys, "sweep", "out.csv", written, "--json").result
    assert [one["file"] for one in result["files"]] == ["out.csv", str(written)]


# --- options of sweep -------------------------------------------------------------------------------------


def test_a_window_is_left_out_with_its_reason(written: Path, capsys: pytest.CaptureFixture[str]):
    result = inside(capsys, "sweep", written, "--leave-out", "100:106=keyway", "--json").result
    assert result["left_out"] == [{"from_deg": 100.0, "to_deg": 106.0, "reason": "keyway"}]
    whole = inside(capsys, "sweep", written, "--json").result
    assert all(
        one["values"] < other["values"] for one, other in zip(result["turns"], whole["turns"], strict=True)
    )


def test_orders_can_be_asked_for(written: Path, capsys: pytest.CaptureFixture[str]):
    result = inside(capsys, "sweep", written, "--orders", "4", "--json").result
    assert [order["n"] for order in result["pooled"]["orders"]] == [1, 2, 3, 4]


def test_another_quantity_can_be_decided(written: Path, capsys: pytest.CaptureFixture[str]):
    ran = inside(capsys, "sweep", written, "--limit", "0.03 mm", "--quantity", "form", "--json")
    assert (ran.status, ran.result["decision"]["quantity"]) == (0, "form")


def test_a_set_up_file_is_taken(home: Path, written: Path, capsys: pytest.CaptureFixture[str]):
    Path("set-up.toml").write_text('part = "mine"\nlimit = "0.2 mm"\n')
    result = inside(capsys, "sweep", written, "--setup", "set-up.toml", "--json").result
    assert (result["setup"]["part"], result["decision"]["state"]) == ("mine", "within")


def test_a_value_typed_goes_before_the_set_up_file(
    home: Path, written: Path, capsys: pytest.CaptureFixture[str]
):
    Path("set-up.toml").write_text('part = "theirs"\n')
    result = inside(capsys, "sweep", written, "--setup", "set-up.toml", "--set", "part=mine", "--json").result
    assert result["setup"]["part"] == "mine"


def test_sense_turns_the_sweep_round(home: Path, written: Path, capsys: pytest.CaptureFixture[str]):
    there = inside(capsys, "sweep", written, "--json").result["pooled"]
    back = inside(capsys, "sweep", written, "--set", "sense=-1", "--json").result["pooled"]
    assert back["high_side_deg"] == pytest.approx(360 - there["high_side_deg"], abs=0.1)
    assert back["tir_first_mm"] == pytest.approx(there["tir_first_mm"], abs=1e-5)


def test_stages_are_one_line_per_step(written: Path, capsys: pytest.CaptureFixture[str]):
    shown = inside(capsys, "sweep", written, "--stages").out
    steps = [line.split(":")[0].strip() for line in shown.split("Stages:\n")[1].splitlines()]
    assert steps[:4] == ["recording", "frames", "scaling", "samples"]
    assert "decision" in steps


# --- record -----------------------------------------------------------------------------------------------


def test_a_recording_goes_to_the_data_folder_by_date_and_part(home: Path, capsys: pytest.CaptureFixture[str]):
    ran = inside(capsys, "record", FLANGE, "--turns", "1")
    (kept,) = (home / "data").glob("*-bull-gear-flange.mcap")
    assert ran.out.splitlines()[-2] == f"Recorded to {kept}"


def test_a_recording_names_what_to_type_next(home: Path, capsys: pytest.CaptureFixture[str]):
    ran = inside(capsys, "record", FLANGE, "--turns", "1", "--out", "my sweep.mcap")
    live, replay = f"`fullturn watch {FLANGE}`", "`fullturn watch 'my sweep.mcap'`"
    assert ran.out.splitlines()[-1] == f"Next: {live} shows the same live, {replay} replays this"


def test_every_turn_recorded_stands_in_the_history(home: Path, capsys: pytest.CaptureFixture[str]):
    result = inside(capsys, "record", FLANGE, "--turns", "2", "--out", "mine.mcap", "--json").result
    turns = inside(capsys, "history", "--json").result["turns"]
    sha256 = hashlib.sha256(Path("mine.mcap").read_bytes()).hexdigest()
    assert [turn["recording_id"] for turn in turns] == [result["recording_id"]] * 2
    assert [turn["sha256"] for turn in turns] == [sha256] * 2
    assert [turn["state"] for turn in turns] == ["over"] * 2
    assert [(turn["ended"], turn["numerics"]) for turn in turns] == [("closed", NUMERICS_VERSION)] * 2
    assert turns[0]["mark"] == turns[1]["mark"]
    # Stored as they ended, each from what had come by then: the same turn as in the file, to a step's share.
    assert [turn["tir_fit_mm"] for turn in turns] == pytest.approx(
        [turn["tir_fit_mm"] for turn in result["turns"]], abs=1e-4
    )


def test_without_a_store_nothing_is_stored(home: Path, capsys: pytest.CaptureFixture[str]):
    assert inside(capsys, "record", FLANGE, "--turns", "1", "--no-store").status == 1
    assert not (home / "store.db").exists()


def test_a_store_can_be_named(home: Path, capsys: pytest.CaptureFixture[str]):
    inside(capsys, "record", FLANGE, "--turns", "1", "--store", "other.db")
    assert not (home / "store.db").exists()
    assert len(inside(capsys, "history", "--store", "other.db", "--json").result["turns"]) == 1


def test_too_few_seconds_for_a_turn_keep_the_recording_and_name_it(
    home: Path, capsys: pytest.CaptureFixture[str]
):
    ran = inside(capsys, "record", FLANGE, "--seconds", "2", "--out", "mine.mcap", "--json")
    assert (ran.status, ran.out) == (2, "")
    assert ran.err.splitlines()[-1].endswith("the recording is kept in mine.mcap")
    assert len(list(RecordingReader("mine.mcap").items())) > 10


def test_a_row_of_recordings_is_told_as_one_object(home: Path, capsys: pytest.CaptureFixture[str]):
    ran = inside(capsys, "record", FLANGE, "--turns", "1", "--every", "1 s", "--for", "2 s", "--json")
    assert ran.status == 1
    assert len({one["recording_id"] for one in ran.result["files"]}) == 3
    assert len(list((home / "data").glob("*.mcap"))) == 3


def test_the_set_up_is_in_the_recording(home: Path, capsys: pytest.CaptureFixture[str]):
    inside(capsys, "record", FLANGE, "--turns", "1", "--out", "mine.mcap", "--limit", "2 thou")
    setup = RecordingReader("mine.mcap").setup
    assert (setup["limit"], setup["part"]) == ("2 thou", "bull-gear flange")


# --- what is kept and shown -------------------------------------------------------------------------------


def test_looking_at_a_history_makes_no_store(home: Path, capsys: pytest.CaptureFixture[str]):
    assert inside(capsys, "history", "--json").result == {"turns": []}
    assert inside(capsys, "history", "--store", "other.db").first_line.startswith("No turns in the store")
    assert not list(home.glob("*.db"))


def test_the_history_of_one_part(home: Path, capsys: pytest.CaptureFixture[str]):
    for part in ("hub", "disc", "hub"):
        inside(capsys, "record", FLANGE, "--turns", "1", "--set", f"part={part}")
    assert [one["part"] for one in inside(capsys, "history", "disc", "--json").result["turns"]] == ["disc"]
    newest = inside(capsys, "history", "--last", "2", "--json").result["turns"]
    assert [one["part"] for one in newest] == ["disc", "hub"]
    assert inside(capsys, "history").first_line.startswith("3 turns in ")


def test_a_file_is_checked_in_words(written: Path, capsys: pytest.CaptureFixture[str]):
    ran = inside(capsys, "check-file", written)
    assert ran.status == 0
    assert f"{written} is whole: " in ran.first_line
    assert hashlib.sha256(written.read_bytes()).hexdigest() in ran.out


def test_a_cut_file_is_read_and_called_not_closed(
    home: Path, written: Path, capsys: pytest.CaptureFixture[str]
):
    Path("cut.mcap").write_bytes(written.read_bytes()[:60_000])
    assert "not closed" in inside(capsys, "check-file", "cut.mcap").first_line
    assert inside(capsys, "check-file", "cut.mcap", "--json").result["closed"] is False
    assert inside(capsys, "sweep", "cut.mcap", "--json").result["closed"] is False


def test_every_scenario_and_fault_is_listed(capsys: pytest.CaptureFixture[str]):
    listed = inside(capsys, "practice", "--list").out
    assert all(name in listed for name in (*SCENARIOS, *FAULTS))


def test_the_versions_are_shown(capsys: pytest.CaptureFixture[str]):
    ran = inside(capsys, "--version")
    assert ran.status == 0
    assert ran.out.startswith("fullturn ")
    assert f"recording format {FORMAT}, store version {SCHEMA_VERSION}" in ran.out


def test_help_names_every_command(capsys: pytest.CaptureFixture[str]):
    shown = inside(capsys, "--help").out
    assert all(command in shown for command in TABLE)


@pytest.mark.parametrize("command", TABLE)
def test_every_command_has_help(command: str, capsys: pytest.CaptureFixture[str]):
    ran = inside(capsys, command, "--help")
    assert ran.status == 0
    assert "Usage: fullturn " in ran.out


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_a_shell_gets_its_script(shell: str, capsys: pytest.CaptureFixture[str]):
    ran = inside(capsys, "completion", shell)
    assert ran.status == 0
    assert "_FULLTURN_COMPLETE" in ran.out


def test_what_the_script_asks_for_is_answered(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
):
    monkeypatch.setenv("_FULLTURN_COMPLETE", "bash_complete")
    monkeypatch.setenv("COMP_WORDS", "fullturn re")
    monkeypatch.setenv("COMP_CWORD", "1")
    run([])
    assert capsys.readouterr().out == "plain,record\n"


def test_what_is_done_can_be_logged(home: Path, capsys: pytest.CaptureFixture[str]):
    ran = inside(capsys, "--log", "log.txt", "record", FLANGE, "--turns", "1", "--out", "mine.mcap", "--json")
    logged = Path("log.txt").read_text()
    steps = (
        "command record",
        "to mine.mcap",
        "opening 1 of practice:",
        "closed after 1 turns",
        "ended with 1",
    )
    assert [step for step in steps if step not in logged] == []
    assert "command record" not in ran.err


def test_what_is_done_can_be_watched(home: Path, written: Path, capsys: pytest.CaptureFixture[str]):
    ran = inside(capsys, "--verbose", "sweep", written, "--json")
    assert "fullturn.inputs: " in ran.err
    assert ran.result["closed"]


def test_a_refusal_is_logged(home: Path, capsys: pytest.CaptureFixture[str]):
    ran = inside(capsys, "--log", "log.txt", "sweep", "none.mcap")
    assert ran.status == 2
    assert "refused with 2: no file none.mcap" in Path("log.txt").read_text()


def test_without_being_asked_nothing_is_logged(home: Path, written: Path, capsys: pytest.CaptureFixture[str]):
    inside(capsys, "--verbose", "--log", "log.txt", "sweep", written)
    before = Path("log.txt").read_text()
    assert inside(capsys, "sweep", written).err == ""
    assert Path("log.txt").read_text() == before


def test_a_reader_that_has_had_enough_is_no_trouble(home: Path):
    # As in `fullturn practice --list | head -1`: the reading end is closed before anything is written.
    reading, writing = os.pipe()
    os.close(reading)
    process = start(home, "practice", "--list", stdout=writing)
    os.close(writing)
    with process:
        _, err = process.communicate()
    assert (process.returncode, err) == (0, "")


def test_text_and_json_agree(written: Path, capsys: pytest.CaptureFixture[str]):
    text = inside(capsys, "sweep", written)
    result = inside(capsys, "sweep", written, "--json")
    assert f"{result.result['pooled']['tir_fit_mm']:.3f} mm" in text.first_line
    assert text.status == result.status == 1


def test_progress_and_warnings_go_to_standard_error(home: Path, capsys: pytest.CaptureFixture[str]):
    ran: Ran = inside(capsys, "record", FLANGE, "--turns", "1", "--json")
    assert json.loads(ran.out)
    assert "streams; recording to" in ran.err
    assert "turn 1 of 1 is round" in ran.err
