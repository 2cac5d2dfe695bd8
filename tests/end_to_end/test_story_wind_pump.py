"""The wind-pump job by commands alone, from end float to as left; every figure inside its stated interval.

Fixed seeds; figures as the job tells them. The virtual bench is measured in process and written down once.
"""

import contextlib
import io
import math
from pathlib import Path
from typing import Any

import pytest
from running import json_of, printed

from logger.__main__ import run as fullturn
from logger.practice.stories.catalogue import scenario

LIMIT = ("--limit", "0.050 mm")


@pytest.fixture(scope="module")
def job(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Recordings of the whole job, two of its sweeps by another seed as another day would be."""
    folder = tmp_path_factory.mktemp("wind-pump")
    for name in ("end-float", "as-found", "mount-1", "mount-2", "half-turn-before", "after-cut",
                 "half-turn-after", "as-left"):  # fmt: skip
        with contextlib.redirect_stdout(io.StringIO()):
            status = fullturn(
                ["practice", f"wind-pump/{name}", "--write", str(folder / f"{name}.mcap"), "--seed", "3"]
            )
        assert status == 0
    return folder


def sweep(job: Path, name: str) -> tuple[int, Any]:
    return json_of("sweep", job / f"{name}.mcap")


def inside(value: float, interval: list[float]) -> bool:
    return interval[0] <= value <= interval[1]


def truth(name: str) -> dict[str, Any]:
    return scenario(f"wind-pump/{name}").truth()


def test_the_end_float_is_refused(job: Path) -> None:
    status, found = json_of("endfloat", job / "end-float.mcap")
    assert (status, found["state"]) == (1, "refused")
    assert found["float_mm"] == pytest.approx(0.21, abs=3 * found["u_float_mm"])


def test_as_found_it_is_over(job: Path) -> None:
    status, found = sweep(job, "as-found")
    assert (status, found["decision"]["state"]) == (1, "over")


@pytest.mark.parametrize(
    "name", ["as-found", "mount-1", "mount-2", "half-turn-before", "half-turn-after", "as-left"]
)
def test_tir_and_first_order_lie_inside_their_intervals(job: Path, name: str) -> None:
    _, found = sweep(job, name)
    p, true = found["pooled"], truth(name)
    assert inside(true["tir_fit_mm"], p["tir_fit_95_mm"])
    assert inside(true["tir_first_mm"], p["tir_first_95_mm"])


@pytest.mark.parametrize("name", ["as-found", "mount-2", "half-turn-before", "half-turn-after", "as-left"])
def test_the_high_side_lies_inside_its_interval(job: Path, name: str) -> None:
    p = sweep(job, name)[1]["pooled"]
    off = (truth(name)["high_side_deg"] - p["high_side_deg"] + 180) % 360 - 180
    low, high = (end - p["high_side_deg"] for end in p["high_side_95_deg"])
    assert low <= off <= high


@pytest.mark.parametrize("name", ["mount-1", "mount-2", "half-turn-before", "after-cut", "half-turn-after"])
def test_nothing_is_decided_on_the_lathe_and_the_sentence_says_why(job: Path, name: str) -> None:
    status, found = sweep(job, name)
    assert (status, found["decision"]) == (0, None)
    typed, found = json_of("sweep", job / f"{name}.mcap", *LIMIT)
    assert (typed, found["decision"]) == (3, None)
    assert "; nothing is decided: " in printed("sweep", job / f"{name}.mcap", *LIMIT)[1]


def plan(job: Path, *names: str) -> tuple[int, Any]:
    mountings = [word for name in names for word in ("--mounting", job / f"{name}.mcap")]
    return json_of("plan-cut", "--bearings", job / "as-found.mcap", *mountings, *LIMIT)


def test_the_first_mounting_is_to_be_mounted_again(job: Path) -> None:
    status, found = plan(job, "mount-1")
    assert (status, found["mountings"][0]["advice"]) == (1, "mount-again")
    assert inside(truth("mount-1")["mount_first_mm"], found["mountings"][0]["predicted_tir_95_mm"])


def test_and_its_card_gives_no_depth(job: Path) -> None:
    assert plan(job, "mount-1")[1]["card"]["depth_mm"] is None


def test_the_cleaned_mounting_is_good_enough(job: Path) -> None:
    status, found = plan(job, "mount-1", "mount-2")
    assert (status, found["mountings"][1]["advice"]) == (0, "mounting-good")
    assert found["mountings"][1]["mount_first_mm"] == pytest.approx(0.0305, abs=0.0003)
    assert inside(truth("mount-2")["mount_first_mm"], found["mountings"][1]["predicted_tir_95_mm"])


def test_the_last_mounting_is_the_one_that_counts(job: Path) -> None:
    status, found = plan(job, "mount-2", "mount-1")
    assert (status, found["best"].endswith("mount-2.mcap")) == (1, True)


def test_the_stock_breaks_the_plan_under_the_minimum(job: Path) -> None:
    status, found = json_of(
        "plan-cut", "--bearings", job / "as-found.mcap", "--mounting", job / "mount-2.mcap", *LIMIT,
        "--stock", "10 mm", "--minimum", "9.95 mm",
    )  # fmt: skip
    card = found["card"]
    assert (status, card["depth_mm"], card["passes"], card["first_touch_part_deg"]) == (1, None, [], None)


def test_equal_tirs_before_the_cut_separate_into_part_and_spindle(job: Path) -> None:
    status, found = json_of("separate", job / "mount-2.mcap", job / "half-turn-before.mcap")
    first = found["orders"][0]
    spindle = complex(first["spindle_cos_mm"], first["spindle_sin_mm"])
    true = 0.015 * complex(math.cos(math.radians(150)), math.sin(math.radians(150)))
    assert status == 0
    # 3 standard uncertainties of a component, on each of two.
    assert abs(spindle - true) < 3 * math.sqrt(2) * first["u_spindle_mm"]
    assert found["not_separable"] == [2, 4, 6, 8, 10, 12, 14]


def test_after_the_cut_the_half_turn_reads_twice_the_spindle(job: Path) -> None:
    p = sweep(job, "half-turn-after")[1]["pooled"]
    assert (p["tir_first_mm"], p["high_side_deg"]) == pytest.approx((0.060, 150.0), abs=0.3)
    assert inside(0.060, p["tir_first_95_mm"])


def test_as_left_it_is_within(job: Path) -> None:
    status, found = sweep(job, "as-left")
    assert (status, found["decision"]["state"]) == (0, "within")
    assert inside(truth("as-left")["tir_first_mm"], found["pooled"]["tir_first_95_mm"])


def test_before_and_after_are_comparable_and_the_change_is_a_vector(job: Path) -> None:
    status, found = json_of("compare", job / "as-found.mcap", job / "as-left.mcap")
    change = [
        truth(name)["tir_first_mm"] * complex(math.cos(a), math.sin(a))
        for name in ("as-found", "as-left")
        for a in [math.radians(truth(name)["high_side_deg"])]
    ]
    assert (status, found["comparable"]) == (0, True)
    assert found["change_first_mm"] == pytest.approx(
        abs(change[1] - change[0]), abs=3 * found["u_change_first_mm"]
    )


def test_the_sweep_on_the_cutting_mount_is_no_after(job: Path) -> None:
    status, found = json_of("compare", job / "as-found.mcap", job / "after-cut.mcap")
    assert (status, found["comparable"], found["change_first_mm"]) == (3, False, None)


@pytest.mark.parametrize("command", ["sweep", "compare", "separate"])
def test_the_sweep_on_the_cutting_mount_is_labelled_wherever_it_appears(job: Path, command: str) -> None:
    files = {
        "sweep": ["after-cut"],
        "compare": ["mount-2", "after-cut"],
        "separate": ["after-cut", "half-turn-after"],
    }[command]
    out = io.StringIO()
    with contextlib.redirect_stdout(out):
        fullturn([command, *(str(job / f"{name}.mcap") for name in files)])
    assert "on the cutting mount: not evidence of the result" in out.getvalue()
