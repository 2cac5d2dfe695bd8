"""What the commands of owners and remedies tell of practice sweeps: every figure inside its interval.

Truths are the scenarios' own parameters. All through the command line, fixed seeds.
"""

import cmath
import contextlib
import io
import math
from functools import lru_cache, partial
from pathlib import Path
from typing import Any

import pytest
import running
from running import printed

from logger.practice.bench.orders import Orders, extremes
from logger.practice.stories import moved_tips, rig_check as check_rig, wind_pump, wind_pump_shop
from logger.practice.stories.catalogue import scenario

HALF_AFTER, AFTER = "practice:wind-pump/half-turn-after", "practice:wind-pump/after-cut"
FOUND, MOUNT = "practice:wind-pump/as-found", "practice:wind-pump/mount-2"
HALF_BEFORE = "practice:wind-pump/half-turn-before"
ARBOR, INNER = "practice:wind-pump-shop/arbor", "practice:wind-pump-shop/mount-2-inner"
BETWEEN = "practice:wind-pump-shop/between-passes"
TWO_TIPS, DISC = "practice:turntable/two-tips", "practice:bicycle-disc/two-tips"
NEAR, FAR, MIDDLE = (f"practice:long-roller/{name}" for name in ("near", "far", "middle"))
RIG = "practice:check-rig"
BOTH_WAYS = tuple(f"{RIG}/{name}" for name in ("slow-on", "slow-back", "fast-on", "fast-back"))


ran = lru_cache(maxsize=64)(printed)
"""What a command prints, run once for all that is asked of it."""
json_of = partial(running.json_of, ran=ran)


def inside(value: float, interval: list[float]) -> bool:
    return interval[0] <= value <= interval[1]


def z_of(orders: Orders, n: int) -> complex:
    return dict(orders.terms).get(n, 0j)


def off_deg(one: float, other: float) -> float:
    return abs((one - other + 180.0) % 360.0 - 180.0)


# The half turn after a cut, explained in the numbers seen.


@pytest.mark.parametrize("arguments", [(HALF_AFTER, "--cut-at", "0"), (AFTER, HALF_AFTER)])
def test_a_half_turn_after_the_cut_reads_twice_the_spindle(arguments: tuple[str, ...]) -> None:
    status, found = json_of("separate", *arguments)
    (half,) = found["half_turn"]
    assert (status, half["times"]) == (0, pytest.approx(2.0))
    # Four standard uncertainties of a sweep's order 1 is under 0.0003 mm.
    assert half["reads_first_mm"] == pytest.approx(0.060, abs=0.0003)
    assert inside(0.030, half["spindle_first_95_mm"])
    assert off_deg(half["spindle_first_arbor_deg"], 150.0) < 0.5


def test_and_says_that_it_is_blind_to_the_seat_and_to_even_orders() -> None:
    _, out = ran("separate", HALF_AFTER, "--cut-at", "0")
    assert "blind to the part's own seat" in out
    assert "orders 2, 4, 6, 8 ... are not seen" in out
    assert "no verdict on the part" in out


def test_where_the_part_stands_as_it_was_cut_nothing_is_told() -> None:
    status, found = json_of("separate", AFTER, "--cut-at", "0")
    assert (status, found["half_turn"][0]["spindle_first_mm"]) == (3, None)
    assert found["orders"][0]["spindle_cos_mm"] is None


def test_what_a_half_turn_will_read_is_told_before_the_cut_and_found_after_it() -> None:
    _, before = json_of("separate", MOUNT, HALF_BEFORE)
    _, after = json_of("sweep", HALF_AFTER)
    known = 3 * math.hypot(2 * 2 * before["orders"][0]["u_spindle_mm"], after["pooled"]["u_tir_first_mm"])
    assert before["after_cut_half_turn_first_mm"] == pytest.approx(after["pooled"]["tir_first_mm"], abs=known)
    assert off_deg(before["after_cut_half_turn_arbor_deg"], after["pooled"]["high_side_deg"]) < 0.5


def test_before_the_cut_the_spindle_lies_in_its_interval() -> None:
    assert inside(0.030, json_of("separate", MOUNT, HALF_BEFORE)[1]["spindle_first_95_mm"])


# The arbor alone as a sweep of the spindle's share.


def test_the_arbor_alone_and_one_mounting_separate_every_order() -> None:
    status, found = json_of("separate", MOUNT, "--arbor", ARBOR)
    assert (status, found["not_separable"]) == (0, [])
    for n in (1, 2):
        one = found["orders"][n - 1]
        part = complex(one["part_cos_mm"], one["part_sin_mm"])
        expected = z_of(wind_pump.PART + wind_pump.SEAT, n)
        assert abs(part - expected) < 4 * one["u_part_mm"]  # two components of 2.8 u each


def test_and_the_arbors_share_is_the_spindle() -> None:
    one = json_of("separate", MOUNT, "--arbor", ARBOR)[1]["orders"][0]
    spindle = complex(one["spindle_cos_mm"], one["spindle_sin_mm"])
    assert abs(spindle - z_of(wind_pump.SPINDLE, 1)) < 4 * one["u_spindle_mm"]


def test_it_says_what_the_arbor_does_not_tell() -> None:
    assert "cones and clamping are not in it" in ran("separate", MOUNT, "--arbor", ARBOR)[1]


# Where the part sat, told by its own mark and the arbor's.


def test_two_touched_marks_tell_where_the_part_sat() -> None:
    status, found = json_of("separate", f"{RIG}/marked-0", f"{RIG}/marked-120")
    one = found["orders"][0]
    part = complex(one["part_cos_mm"], one["part_sin_mm"])
    spindle = complex(one["spindle_cos_mm"], one["spindle_sin_mm"])
    assert (status, found["not_separable"]) == (0, [3, 6, 9, 12, 15])
    assert abs(part - z_of(check_rig.PART, 1)) < 4 * one["u_part_mm"]
    assert abs(spindle - z_of(check_rig.SPINDLE, 1)) < 4 * one["u_spindle_mm"]


def test_a_typed_angle_that_the_marks_contradict_is_refused() -> None:
    err = io.StringIO()
    with contextlib.redirect_stderr(err):
        status, out = ran("separate", f"{RIG}/marked-0", f"{RIG}/marked-120@121")
    assert (status, out, "120 deg by marks and 121 deg by @" in err.getvalue()) == (2, "", True)


# Reversal, part and tip moved to the opposite side.


@pytest.mark.parametrize("n", [1, 2, 3])
def test_a_reversal_on_an_outside_separates_all_orders(n: int) -> None:
    status, found = json_of("separate", "practice:test-ball/tip-12", "practice:test-ball/tip-6")
    one = found["orders"][n - 1]
    part = complex(one["part_cos_mm"], one["part_sin_mm"])
    motion = complex(one["spindle_cos_mm"], one["spindle_sin_mm"])
    assert status == 0
    assert abs(part - z_of(moved_tips.BALL, n)) < 4 * one["u_part_mm"]
    assert abs(motion - z_of(moved_tips.BALL_MOTION, n)) < 4 * one["u_spindle_mm"]


def test_a_reversal_on_a_face_tells_the_tilt_alone() -> None:
    status, found = json_of("separate", "practice:faceplate/tip-3", "practice:faceplate/tip-9")
    one = found["orders"][0]
    tilt = complex(one["spindle_cos_mm"], one["spindle_sin_mm"])
    assert (status, one["part_cos_mm"], found["part_tir_mm"]) == (0, None, None)
    assert abs(tilt - z_of(moved_tips.PLATE_TILT, 1)) < 4 * one["u_spindle_mm"]


# Two planes.


def test_two_planes_predict_a_third_and_it_is_found_there() -> None:
    _, found = json_of("sweep", NEAR, FAR, "--plane", "300 mm")
    (at,) = found["axis"]["at"]
    true = scenario("long-roller/middle").truth()
    assert isinstance(true["tir_first_mm"], float)
    assert inside(true["tir_first_mm"], at["tir_first_95_mm"])
    middle = json_of("sweep", MIDDLE)[1]["pooled"]
    assert middle["tir_first_mm"] == pytest.approx(at["tir_first_mm"], abs=4 * middle["u_tir_first_mm"])


def test_planes_that_differ_tell_a_bent_shaft() -> None:
    assert json_of("sweep", NEAR, FAR, "--plane", "0 mm")[1]["axis"]["tilted"]
    assert "tilted or bent" in ran("sweep", NEAR, FAR, "--plane", "0 mm")[1]


def test_bearings_at_two_planes_predict_a_cut_at_the_mountings_own() -> None:
    status, found = json_of(
        "plan-cut", "--bearings", NEAR, "--bearings", FAR, "--mounting", MIDDLE, "--limit", "0.01 mm"
    )
    # The third plane mounted on a true lathe is its own line again: nothing would be left.
    assert (status, found["mountings"][0]["mount_first_mm"] < 0.0003) == (0, True)


# A second, opposed tip on the face.


def test_one_tip_takes_the_shafts_walk_for_the_face_and_two_do_not() -> None:
    alone, both = (json_of("sweep", TWO_TIPS, *more) for more in ((), ("--opposed", "1")))
    assert (alone[0], alone[1]["decision"]["state"]) == (1, "over")
    assert (both[0], both[1]["decision"]["state"]) == (0, "within")


def test_the_face_under_two_tips_lies_in_its_interval() -> None:
    _, found = json_of("sweep", TWO_TIPS, "--opposed", "1")
    true = extremes(moved_tips.TABLE)
    assert inside(true.tir_mm, found["pooled"]["tir_fit_95_mm"])
    assert inside(0.080, found["opposed"]["face_first_95_mm"])
    assert off_deg(found["opposed"]["face_high_side_deg"], 40.0) < 0.3


def test_the_walk_is_told_and_what_may_be_either() -> None:
    opposed = json_of("sweep", TWO_TIPS, "--opposed", "1")[1]["opposed"]
    # 0.004 mm that does not repeat leaks some 0.001 mm into order 1 over four turns.
    assert opposed["walk_first_mm"] == pytest.approx(0.050, abs=0.0015)
    assert opposed["not_separable"] == [2, 4, 6, 8, 10, 12, 14]


def test_a_nick_stays_as_high_under_two_tips_as_under_one() -> None:
    alone, both = (
        json_of("sweep", TWO_TIPS, "--fault", "nick", *more)[1]["bumps"] for more in ((), ("--opposed", "1"))
    )
    assert [round(one["deg"]) for one in both] == [round(one["deg"]) for one in alone] == [217]
    assert both[0]["height_mm"] == pytest.approx(alone[0]["height_mm"], abs=0.003)  # a tenth of it


@pytest.mark.parametrize("fault", ["stuck", "tip-off", "unit-pressed", "stand-jump"])
def test_what_is_wrong_with_one_tip_leaves_it_undecided(fault: str) -> None:
    status, found = json_of("sweep", TWO_TIPS, "--opposed", "1", "--fault", fault)
    assert (status, found["decision"]["state"]) == (3, "undecided")
    assert any(one["state"] == "refused" and "first tip" in one["text"] for one in found["checks"])


def test_the_thickness_between_two_tips_does_not_see_the_wobble() -> None:
    status, found = json_of("thickness", DISC, "--limit", "0.030 mm")
    assert (status, found["state"]) == (0, "within")
    assert inside(extremes(moved_tips.DISC_THICKNESS).tir_mm, found["variation_95_mm"])


def test_and_is_told_from_a_recording_with_two_channels(tmp_path: Path) -> None:
    file = tmp_path / "disc.mcap"
    assert ran("practice", "bicycle-disc/two-tips", "--write", str(file))[0] == 0
    _, found = json_of("thickness", str(file))
    assert off_deg(found["thinnest_deg"], 271.0) < 8.0  # the bottom of the sum is flat


# An indicator carried round.


def test_the_sag_of_a_carried_indicator_comes_off() -> None:
    _, found = json_of("sweep", "practice:coupling/carried", "--sag", "practice:coupling/sag")
    p = found["pooled"]
    assert inside(0.120, p["tir_first_95_mm"])
    assert off_deg(p["high_side_deg"], 100.0) < 0.3


def test_without_it_the_bracket_is_taken_for_the_coupling() -> None:
    assert abs(json_of("sweep", "practice:coupling/carried")[1]["pooled"]["tir_first_mm"] - 0.120) > 0.01


# The cut: tracks, between passes, the part taken off.


def plan(*more: str) -> tuple[int, Any]:
    return json_of("plan-cut", "--bearings", FOUND, "--mounting", MOUNT, *more)


def test_the_least_stock_is_that_of_all_tracks_on_one_zero() -> None:
    outer, inner = (scenario(name).plant.extremes for name in ("wind-pump/mount-2", INNER[9:]))
    drop = wind_pump_shop.INNER_HEIGHT_MM
    expected = max(outer.high_mm, inner.high_mm + drop) - min(outer.low_mm, inner.low_mm + drop)
    card = plan("--track", INNER)[1]["card"]
    # The second track's zero is read to a tenth of a step, each extreme to 0.0003 mm.
    assert card["least_stock_mm"] == pytest.approx(expected, abs=0.001)
    assert plan()[1]["card"]["least_stock_mm"] == pytest.approx(outer.tir_mm, abs=0.001)


def test_a_sweep_between_passes_tells_the_arc_still_uncut() -> None:
    plant = scenario(BETWEEN[9:]).plant
    assert plant.cut_to_mm is not None
    readings = [plant.orders.reading_mm(k / 3600) for k in range(3600)]
    uncut = 360.0 * sum(each < plant.cut_to_mm for each in readings) / 3600
    card = plan("--between", BETWEEN)[1]["card"]
    # A place counts as uncut from 0.002 mm under the level: two or three degrees on each side.
    assert card["still_uncut_deg"] == pytest.approx(uncut, abs=8.0)
    assert card["left_to_cut_mm"] == pytest.approx(plant.extremes.tir_mm, abs=0.001)


def test_the_card_tells_the_depth_by_angle() -> None:
    orders = scenario("wind-pump/mount-2").plant.orders
    low = extremes(orders).low_mm
    for one in plan()[1]["card"]["depth_by_angle"]:
        expected = orders.reading_mm(one["part_deg"] / 360.0) - low
        assert one["depth_mm"] == pytest.approx(expected, abs=0.0005)  # half a step of the gauge


def test_before_the_first_pass_nothing_is_cut() -> None:
    assert plan("--between", MOUNT)[1]["card"]["still_uncut_deg"] == 360.0


def test_after_the_last_pass_all_is_cut() -> None:
    assert plan("--between", AFTER)[1]["card"]["still_uncut_deg"] == 0.0


REPEATED = ("--mounting", "practice:wind-pump-shop/mount-3", "--mounting", "practice:wind-pump-shop/mount-4")


def test_scatter_of_mountings_joins_only_where_the_part_comes_off() -> None:
    stays = json_of("plan-cut", "--bearings", FOUND, *REPEATED, "--mounting", MOUNT)[1]
    leaves = json_of("plan-cut", "--bearings", FOUND, *REPEATED, "--mounting", MOUNT, "--comes-off")[1]
    width = [found["mountings"][-1]["u_predicted_tir_mm"] for found in (stays, leaves)]
    assert stays["scatter_mm"] == leaves["scatter_mm"] == pytest.approx(0.0018, abs=0.0003)
    assert width[1] > 5 * width[0]


def test_the_advice_says_that_the_scatter_is_counted_in() -> None:
    out = ran("plan-cut", "--bearings", FOUND, *REPEATED, "--mounting", MOUNT, "--comes-off")[1]
    assert "which is counted in" in out


# Gauge and rig over several sweeps.


@pytest.mark.parametrize("seed", ["1", "3"])
def test_both_ways_at_two_speeds_tell_a_late_gauge(seed: str) -> None:
    of_both = json_of("sweep", *BOTH_WAYS, "--fault", "late", "--seed", seed)[1]["together"]
    # A reading is latched up to one update (20 ms) after it was taken, 4 ms on the mean of one sweep's count.
    assert of_both["lag_s"] == pytest.approx(0.120, abs=3 * of_both["u_lag_s"] + 0.004)
    assert of_both["play_mm"] < 0.001


@pytest.mark.parametrize("seed", ["2", "3"])
def test_both_ways_at_two_speeds_tell_play(seed: str) -> None:
    of_both = json_of("sweep", *BOTH_WAYS, "--fault", "hysteresis", "--seed", seed)[1]["together"]
    # "About": the formula is of a sine, 6 % off at h = A / 5.
    assert of_both["play_mm"] == pytest.approx(0.012, rel=0.06)
    assert abs(of_both["lag_s"]) < 3 * of_both["u_lag_s"]


def test_a_good_gauge_shows_neither() -> None:
    status, out = ran("sweep", *BOTH_WAYS)
    assert (status, "no lag, no play seen" in out) == (0, True)


def test_one_speed_cannot_tell_lag_from_play() -> None:
    status, out = ran("sweep", *BOTH_WAYS[:2], "--fault", "late")
    assert (status, "lag or play, one speed cannot tell" in out) == (0, True)


def test_a_stand_that_crept_between_two_sweeps_is_seen() -> None:
    (creep,) = json_of("sweep", f"{RIG}/slow-on", f"{RIG}/again")[1]["together"]["creep"]
    assert creep["moved_mm"] == pytest.approx(check_rig.CREPT_MM, abs=0.0003)  # 0.3 of a step of the gauge


def test_a_stand_that_did_not_creep_is_not_accused() -> None:
    assert json_of("sweep", *BOTH_WAYS)[1]["together"]["creep"] == []


def test_slip_without_an_index_pulse_is_seen() -> None:
    states = [
        {one["name"]: one["state"] for one in json_of("sweep", f"{RIG}/no-index", *more)[1]["checks"]}[
            "counts"
        ]
        for more in ((), ("--fault", "lost-counts"))
    ]
    assert states == ["clear", "refused"]


def test_a_jump_of_the_stand_is_seen_in_one_sweep() -> None:
    checks = json_of("sweep", f"{RIG}/slow-on", "--fault", "stand-jump")[1]["checks"]
    assert [one["name"] for one in checks if one["state"] == "refused"] == ["stand"]


def test_a_nick_goes_with_the_part_across_a_re_index(tmp_path: Path) -> None:
    files = []
    for name in ("mount-2", "half-turn-before"):
        files.append(str(tmp_path / f"{name}.mcap"))
        assert ran("practice", f"wind-pump/{name}", "--fault", "nick", "--write", files[-1])[0] == 0
    (line,) = json_of("separate", *files)[1]["bumps"]
    assert "217 deg on the part" in line


def test_sweep_of_both_says_so_too() -> None:
    _, found = json_of("sweep", f"{RIG}/chip-0", f"{RIG}/chip-180")
    assert "100 deg on the arbor" in found["together"]["bumps"][0]


def test_a_chip_stays_with_the_arbor_across_a_re_index() -> None:
    (line,) = json_of("separate", f"{RIG}/chip-0", f"{RIG}/chip-180")[1]["bumps"]
    assert "100 deg on the arbor" in line
    assert "not the part" in line


# The answer comes first, and then whether to believe it.


@pytest.mark.parametrize(
    ("arguments", "begins"),
    [
        (("separate", MOUNT, HALF_BEFORE), "Once round, the part with its seat has 0.121 mm"),
        (("plan-cut", "--bearings", FOUND, "--mounting", MOUNT), "A perfect cut on the mounting that is on"),
        (("compare", FOUND, "practice:wind-pump/as-left"), "TIR of the fitted curve from 0.146 mm"),
        (("thickness", DISC), "Thickness varies by 0.019 mm"),
        (("best-hole", "practice:bicycle-disc/hub", "practice:bicycle-disc/disc", "--holes", "6"),
         "Best position: hole 1"),
        (("adjust", FOUND, "--screws", "0,90", "--screw-radius", "80 mm"), "Shims that take the wobble of"),
    ],
)  # fmt: skip
def test_the_first_line_is_the_answer_and_the_next_whether_to_believe_it(
    arguments: tuple[str, ...], begins: str
) -> None:
    lines = ran(*arguments)[1].splitlines()
    assert lines[0].startswith(begins)
    assert any(line == "All checks are clear." for line in lines[1:3])


def test_angles_of_a_separation_are_each_in_their_own_frame() -> None:
    found = json_of("separate", MOUNT, HALF_BEFORE)[1]["orders"][0]
    part = math.degrees(cmath.phase(complex(found["part_cos_mm"], found["part_sin_mm"])))
    expected = z_of(wind_pump.PART + wind_pump.SEAT, 1)
    assert off_deg(part, math.degrees(cmath.phase(expected))) < 0.3
