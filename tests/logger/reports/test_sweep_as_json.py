"""A sweep as one JSON object: every key is there, what cannot be had is null, nothing is rounded."""

import json
import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from analysis.capture.events import GapCause
from analysis.capture.samples import Gap, LinkCounts
from analysis.results import SweepResult
from analysis.sweep.pipeline import fit_sweep
from logger.inputs.origin import SweepOrigin
from logger.reports import sweep

ORIGIN = SweepOrigin("a.mcap", "5f0c0e9e", True)
LINK = LinkCounts(
    frames=100, bad=1, lost=2, dropped=3, enc_errors=4, restarts=0, gaps=(Gap(1.0, 2.5, 2, GapCause.LOST),)
)


@pytest.fixture(scope="module")
def analysed() -> SweepResult:
    rng = np.random.default_rng(2)
    angle = np.linspace(0, 4 * math.pi, 2 * 180 + 1)
    reading = 0.05 * np.cos(angle - 1) + rng.normal(0, 0.0005, len(angle))
    return fit_sweep(angle, reading, np.linspace(0, 16, len(angle)), limit="0.05 mm")


@pytest.fixture(scope="module")
def found(analysed: SweepResult) -> dict[str, Any]:
    return sweep.as_json(analysed, ORIGIN, LINK)


def test_it_is_what_json_knows(found: dict[str, Any]):
    assert json.loads(json.dumps(found, allow_nan=False)) == found


def test_numbers_are_not_rounded(analysed: SweepResult, found: dict[str, Any]):
    assert found["pooled"]["tir_fit_mm"] == analysed.pooled.tir_fit.value
    assert found["decision"]["value_mm"] == analysed.decision.number.value  # type: ignore[union-attr]


def test_where_it_came_from_is_told(found: dict[str, Any]):
    assert (found["file"], found["recording_id"], found["closed"]) == ("a.mcap", "5f0c0e9e", True)


def test_the_link_is_told_with_its_gaps(found: dict[str, Any]):
    assert found["link"] == {
        "frames": 100,
        "bad": 1,
        "lost": 2,
        "dropped": 3,
        "enc_errors": 4,
        "restarts": 0,
        "not_decoded": 0,
        "gaps": [{"start_s": 1.0, "end_s": 2.5, "lost": 2, "why": "lost"}],
    }


def test_of_readings_without_a_link_it_is_null(analysed: SweepResult):
    found = sweep.as_json(analysed, SweepOrigin("typed", None, None), None)
    assert (found["link"], found["recording_id"], found["closed"]) == (None, None, None)


def test_without_a_limit_the_decision_is_null(analysed: SweepResult):
    assert sweep.as_json(replace(analysed, decision=None), ORIGIN, LINK)["decision"] is None


def test_a_number_that_cannot_be_had_is_null(analysed: SweepResult):
    pooled = replace(analysed.pooled, dof=math.inf, closure_mm=math.nan)
    got = sweep.as_json(replace(analysed, pooled=pooled), ORIGIN, LINK)["pooled"]
    assert (got["dof"], got["closure_mm"]) == (None, None)


def test_every_order_is_told_by_both_components(found: dict[str, Any]):
    first = found["pooled"]["orders"][0]
    assert first["amplitude_mm"] == pytest.approx(math.hypot(first["cos_mm"], first["sin_mm"]), rel=1e-12)
    assert first["high_deg"] == pytest.approx(
        math.degrees(math.atan2(first["sin_mm"], first["cos_mm"])) % 360
    )


def test_what_so_many_places_show_comes_from_the_fitted_curve(found: dict[str, Any]):
    # Of a plain wobble four places see at least cos 45 deg of it.
    assert list(found["pooled"]["clock"]) == ["4", "8", "12"]
    assert 0.7071 <= found["pooled"]["clock"]["4"] / found["pooled"]["tir_first_mm"] <= 1.02
