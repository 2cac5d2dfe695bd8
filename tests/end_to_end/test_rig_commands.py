"""What several sweeps tell of gauge, stand and encoder, and of what goes with the part or stays with the arbor.

Truths are the scenarios' own parameters. All through the command line, fixed seeds.
"""

from pathlib import Path

import pytest
from practice_commands import RIG, json_of, ran

from logger.practice.stories import rig_check as check_rig

BOTH_WAYS = tuple(f"{RIG}/{name}" for name in ("slow-on", "slow-back", "fast-on", "fast-back"))


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
