"""Every JSON object has the keys that the README promises, and nothing else where a key is missing."""

import math
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import pytest
from running import FLANGE, inside

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
