"""Before and after: what blocks, what is rescaled, what is only noted, and the change as a vector."""

import math
from typing import Any

import numpy as np
import pytest
from wobbles import order_one

from analysis import fit_sweep
from analysis.measurands.comparison import comparability_check, compare
from analysis.results import SweepResult

PHI = np.arange(3 * 240) * (2 * math.pi / 240)
BASE = {"part": "hub", "surface": "face", "track_radius": "100 mm", "preload": "shimmed", "stage": "as found"}


def analysed(z: complex, turned_deg: float = 0.0, **changed: Any) -> SweepResult:
    setup = {key: value for key, value in (BASE | changed).items() if value is not None}
    noise = np.random.default_rng(1).normal(0, 1e-6, len(PHI))
    at = PHI + math.radians(turned_deg)
    return fit_sweep(PHI, (z * np.exp(-1j * at)).real + noise, PHI * 2, setup=setup)


BEFORE, AFTER = order_one(0.14, 60), order_one(0.03, 10)
FOUND = analysed(BEFORE)


def test_the_change_is_a_vector_not_a_difference_of_numbers() -> None:
    found = compare(FOUND, analysed(AFTER, stage="as left"))
    assert found.first is not None
    assert found.first.tir_first.value == pytest.approx(2 * abs(AFTER - BEFORE), abs=1e-6)


@pytest.mark.parametrize(
    ("changed", "field", "effect"),
    [
        ({"part": "disc"}, "part", "blocks"),
        ({"surface": "outside"}, "surface", "blocks"),
        ({"preload": "loose"}, "preload", "blocks"),
        ({"preload": None}, "preload", "blocks"),
        ({"stage": "after cut"}, "axis", "blocks"),
        ({"limit": "0.1 mm", "limit_quantity": "tir_first"}, "quantity", "blocks"),
        ({"track_radius": None}, "track_radius", "blocks"),
        ({"track_radius": "50 mm"}, "track_radius", "rescaled"),
        ({"declared_end": "far"}, "declared_end", "rescaled"),
        ({"gauge_angle": "20"}, "gauge_angle", "rescaled"),
        ({"torque": "40 Nm"}, "torque", "noted"),
        ({"gauge_id": "another"}, "gauge_id", "noted"),
        ({"operator": "another"}, "operator", "noted"),
    ],
)
def test_each_field_does_its_own_harm(changed: dict[str, Any], field: str, effect: str) -> None:
    found = compare(FOUND, analysed(AFTER, **changed))
    assert [one.effect for one in found.differences if one.field == field] == [effect]
    assert found.comparable == (effect != "blocks")


def test_where_something_blocks_there_is_no_change() -> None:
    assert compare(FOUND, analysed(AFTER, part="disc")).change is None


def test_another_radius_is_scaled_to_the_first() -> None:
    found = compare(FOUND, analysed(BEFORE / 2, track_radius="50 mm"))
    assert found.first is not None
    assert found.first.tir_first.value == pytest.approx(0.0, abs=1e-6)


def test_the_far_end_is_mirrored() -> None:
    found = compare(FOUND, analysed(BEFORE.conjugate(), declared_end="far"))
    assert found.first is not None
    assert found.first.tir_first.value == pytest.approx(0.0, abs=1e-6)


def test_a_zero_at_the_arbor_is_brought_to_the_part() -> None:
    after = analysed(BEFORE, turned_deg=-90.0, mark_on="arbor", index_angle="90")
    found = compare(FOUND, after)
    assert found.first is not None
    assert found.first.tir_first.value == pytest.approx(0.0, abs=1e-6)


def test_the_arbors_mark_without_an_index_angle_blocks() -> None:
    found = compare(FOUND, analysed(AFTER, mark_on="arbor"))
    assert [one.field for one in found.differences if one.effect == "blocks"] == ["index_angle"]


@pytest.mark.parametrize(
    ("changed", "state"), [({}, "clear"), ({"declared_end": "far"}, "doubtful"), ({"part": "x"}, "refused")]
)
def test_comparability_is_a_check(changed: dict[str, Any], state: str) -> None:
    assert comparability_check(compare(FOUND, analysed(AFTER, **changed)).differences).state == state
