"""The wind-pump job in closed form: every number of its story, from the scenarios' own parameters."""

import json
import math

import pytest

from analysis.errors import BadInput
from analysis.setup import parse_setup
from logger.practice.bench.orders import extremes
from logger.practice.bench.scenario import Scenario
from logger.practice.stories.catalogue import SCENARIOS, names, scenario

WIND_PUMP = (
    "end-float",
    "as-found",
    "mount-1",
    "mount-2",
    "half-turn-before",
    "after-cut",
    "half-turn-after",
    "as-left",
)


def truth(name: str) -> dict[str, float | str | None]:
    return scenario(f"wind-pump/{name}").truth()


def test_the_wind_pump_has_its_eight_sweeps_in_the_order_of_the_story() -> None:
    assert names()[: len(WIND_PUMP)] == [f"wind-pump/{name}" for name in WIND_PUMP]


@pytest.mark.parametrize(
    ("name", "key", "value", "tolerance"),
    [  # the numbers as the job prints them; tolerance half a unit of the last printed digit
        ("end-float", "end_float_mm", 0.21, 0.005),
        ("as-found", "tir_first_mm", 0.142, 0.0005),
        ("as-found", "high_side_deg", 63.0, 0.5),
        ("as-found", "tir_fit_mm", 0.146, 0.0005),
        ("as-found", "high_point_deg", 50.3, 0.05),
        ("mount-1", "tir_first_mm", 0.192, 0.0005),
        ("mount-1", "high_side_deg", 51.6, 0.05),
        ("mount-1", "mount_first_mm", 0.060, 0.0005),
        ("mount-2", "tir_first_mm", 0.124770, 0.0000005),
        ("mount-2", "high_side_deg", 73.869, 0.0005),
        ("mount-2", "mount_first_mm", 0.0305, 0.00005),
        ("mount-2", "mount_first_part_deg", 192.6, 0.05),
        ("half-turn-before", "tir_first_mm", 0.124814, 0.0000005),
        ("half-turn-before", "high_side_deg", 226.049, 0.0005),
        ("after-cut", "tir_first_mm", 0.0, 1e-12),
        ("after-cut", "tir_fit_mm", 0.0, 1e-12),
        ("half-turn-after", "tir_first_mm", 0.060, 0.0005),
        ("half-turn-after", "high_side_deg", 150.0, 0.05),
        ("as-left", "tir_first_mm", 0.0305, 0.00005),
        ("as-left", "high_side_deg", 12.6, 0.05),
    ],
)
def test_the_truth_is_the_number_of_the_story(name: str, key: str, value: float, tolerance: float) -> None:
    assert truth(name)[key] == pytest.approx(value, abs=tolerance)


def test_half_the_sum_of_the_two_half_turns_is_the_spindle() -> None:
    z = [dict(scenario(f"wind-pump/{n}").plant.orders.terms)[1] for n in ("mount-2", "half-turn-before")]
    spindle = (z[0] + z[1]) / 2
    assert 2 * abs(spindle) == pytest.approx(0.030, abs=1e-12)  # exact but for rounding
    assert math.degrees(math.atan2(spindle.imag, spindle.real)) == pytest.approx(150.0, abs=1e-9)


def test_the_half_turn_before_the_cut_is_high_at_46_degrees_on_the_part() -> None:
    on_part = scenario("wind-pump/half-turn-before").plant.orders.turned(-180.0).high_side_deg
    assert on_part == pytest.approx(46.0, abs=0.05)  # last printed digit


def test_a_cut_leaves_minus_the_mount_vector_in_the_bearings() -> None:
    left = scenario("wind-pump/as-left").plant.orders
    mount = scenario("wind-pump/mount-2").plant.mount
    assert extremes(left + mount).tir_mm == pytest.approx(0.0, abs=1e-12)  # rounding of four terms


def test_what_was_found_is_over_the_limit_and_what_is_left_within_it() -> None:
    limit = parse_setup(scenario("wind-pump").setup).limit
    assert limit is not None
    found, left = truth("as-found")["tir_fit_mm"], truth("as-left")["tir_fit_mm"]
    assert isinstance(found, float)
    assert isinstance(left, float)
    assert left < limit.length.mm < found


@pytest.mark.parametrize("each", SCENARIOS.values(), ids=lambda each: each.name)
def test_every_set_up_is_one_that_a_person_could_have_written(each: Scenario) -> None:
    assert parse_setup(each.setup).unknown == ()


@pytest.mark.parametrize("each", SCENARIOS.values(), ids=lambda each: each.name)
def test_every_truth_can_be_written_as_json(each: Scenario) -> None:
    assert json.loads(json.dumps(each.truth(), allow_nan=False)) == each.truth()


@pytest.mark.parametrize("name", ["half-turn-before", "half-turn-after"])
def test_a_half_turn_starts_at_the_arbors_mark_and_says_where_the_parts_is(name: str) -> None:
    setup = parse_setup(scenario(f"wind-pump/{name}").setup)
    assert (setup.mark_on, setup.index_angle_deg) == ("arbor", 180.0)


def test_what_is_turned_in_its_bearings_is_set_up_the_same_before_and_after() -> None:
    before, after = scenario("wind-pump/as-found").setup, scenario("wind-pump/as-left").setup
    # As left has promised bytes, from before a delay could be declared; readings are corrected by it.
    assert {key for key in {**before, **after} if before.get(key) != after.get(key)} == {
        "stage",
        "gauge_delay",
    }


def test_a_job_alone_is_its_sweep_as_found() -> None:
    assert scenario("wind-pump").name == "wind-pump/as-found"


def test_an_unknown_scenario_is_refused_with_the_names_there_are() -> None:
    with pytest.raises(BadInput, match="wind-pump/as-found"):
        scenario("steam-engine")
