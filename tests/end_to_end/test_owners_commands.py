"""What commands tell of part, seat, spindle and shaft in practice sweeps: every figure inside its interval.

Truths are the scenarios' own parameters. All through the command line, fixed seeds.
"""

import cmath
import contextlib
import io
import math

import pytest
from practice_commands import AFTER, ARBOR, DISC, FOUND, HALF_AFTER, MOUNT, RIG, inside, json_of, ran
from truth_in_interval import off_deg

from logger.practice.bench.orders import Orders
from logger.practice.stories import moved_tips, rig_check as check_rig, wind_pump
from logger.practice.stories.catalogue import scenario

HALF_BEFORE = "practice:wind-pump/half-turn-before"
NEAR, FAR, MIDDLE = (f"practice:long-roller/{name}" for name in ("near", "far", "middle"))


def z_of(orders: Orders, n: int) -> complex:
    return dict(orders.terms).get(n, 0j)


# The half turn after a cut, explained in the numbers seen.


@pytest.mark.parametrize("arguments", [(HALF_AFTER, "--cut-at", "0"), (AFTER, HALF_AFTER)])
def test_a_half_turn_after_the_cut_reads_twice_the_spindle(arguments: tuple[str, ...]) -> None:
    status, found = json_of("separate", *arguments)
    (half,) = found["half_turn"]
    assert (status, half["times"]) == (0, pytest.approx(2.0))
    # Four standard uncertainties of a sweep's order 1 is under 0.0003 mm.
    assert half["reads_first_mm"] == pytest.approx(0.060, abs=0.0003)
    assert inside(0.030, half["spindle_first_95_mm"])
    assert abs(off_deg(half["spindle_first_arbor_deg"], 150.0)) < 0.5


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
    assert abs(off_deg(before["after_cut_half_turn_arbor_deg"], after["pooled"]["high_side_deg"])) < 0.5


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
    assert abs(off_deg(part, math.degrees(cmath.phase(expected)))) < 0.3
