"""Every fault of the bench is really done: each is looked for in the bytes, without any analysis."""

from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray
from practice_runs import Run, drive, fit_orders, run

from analysis.errors import BadInput
from logger.practice.bench.bench import Bench
from logger.practice.bench.faults import FAULTS, MISSED_COUNTS, fault
from logger.practice.stories.catalogue import names, scenario
from logger.wire.messages import Heartbeat, Hello, Index, Sample
from logger.wire.parsing import MessageDecoder

CHECKS = (
    *("coverage", "turns", "speed", "gauge-rate", "closure", "drift", "direction", "counts", "tip", "stuck"),
    *("stand", "link", "repeat", "bumps", "lag", "backward-forward", "unit", "mark", "end-float"),
    "comparability",
)
"""The names of checks as commands.md promises them."""


def turn_of(found: Run, number: int) -> NDArray[np.float64]:
    """Return the readings of one turn by the counts, in order."""
    readings: NDArray[np.float64] = found.reading_mm[np.floor(found.turns) == number]
    return readings


def same_places(found: Run) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return time (s) and reading less the good run's of the same samples: faults of the reading only."""
    good = run("wind-pump")
    since_us = (found.column("t_us") - found.started_us).astype(np.float64)
    return since_us * 1e-6, found.reading_mm - good.reading_mm


@pytest.mark.parametrize("name", FAULTS)
def test_every_fault_names_a_check_that_is_promised_or_none(name: str) -> None:
    assert FAULTS[name].check in (*CHECKS, "")


@pytest.mark.parametrize(("number", "sweep"), list(enumerate(names())))
def test_a_fault_can_be_put_into_every_scenario(number: int, sweep: str) -> None:
    # Each fault at least twice; every fault in every scenario: tests/campaigns/faults_in_scenarios.py.
    assert run(sweep, list(FAULTS)[number % len(FAULTS)], turns=2).samples


def test_every_fault_meets_two_scenarios_or_more() -> None:
    assert len(names()) >= 2 * len(FAULTS)


@pytest.mark.parametrize("name", [name for name in FAULTS if name not in ("drop", "restart")])
def test_only_a_damaged_link_or_a_restart_damages_frames(name: str) -> None:
    assert run("wind-pump", name).bad == 0


def test_drop_damages_frames_and_lets_none_of_them_pass() -> None:
    dropped = run("wind-pump", "drop")
    good = {(s.t_us, s.count, s.value) for s in run("wind-pump").samples}
    assert dropped.bad > 20
    assert {(s.t_us, s.count, s.value) for s in dropped.samples} < good


def test_restart_gives_another_boot_that_counts_from_nothing_and_waits_for_start() -> None:
    found = run("wind-pump", "restart")
    hellos = found.of(Hello)
    after = [m for m in found.of(Heartbeat) if m.seq > 2][-1]
    assert hellos[0].boot_id != hellos[-1].boot_id
    assert (after.streaming, after.count < 9000, after.turns) == (False, True, 4)


def test_a_restarted_board_streams_again_when_it_is_told_to() -> None:
    bench = Bench(scenario("wind-pump"), fault=fault("restart"))
    drive(bench, [50_000])
    restarted_us = bench.time_of(1.6)
    assert restarted_us is not None
    bench.advance(restarted_us + 1_000_000)
    bench.command(b"9 start\n", bench.now_us)
    samples = [m for m in MessageDecoder().feed(bench.advance(bench.now_us + 500_000)) if type(m) is Sample]
    assert len(samples) == 25


def test_unplug_leaves_three_seconds_out_and_the_same_boot_goes_on() -> None:
    found = run("wind-pump", "unplug")
    gaps = np.diff(found.column("t_us"))
    assert gaps.max() == pytest.approx(3_000_000, abs=40_000)  # two values of 20 ms at its ends
    assert len({hello.boot_id for hello in found.of(Hello)}) == 1


def test_unplug_shows_as_missing_numbers_of_frames() -> None:
    seqs = [message.seq for message in run("wind-pump", "unplug").messages]
    assert max(np.diff(seqs)) > 150  # 3 s of 50 samples a second


def test_lost_counts_make_one_index_to_index_short_by_twelve() -> None:
    counts = [m.count for m in run("wind-pump", "lost-counts").of(Index)]
    assert [2400 - step for step in np.diff([0, *counts])] == [0, MISSED_COUNTS, 0, 0, 0]


def test_reverse_comes_back_from_the_second_turn_on() -> None:
    found = run("wind-pump", "reverse")
    assert found.turns.max() == pytest.approx(1.0, abs=0.001)  # a count or two
    assert found.turns[-1] == pytest.approx(-3.06, abs=0.01)  # four turns and the overrun


def test_reverse_passes_the_index_backwards_off_by_its_width() -> None:
    found = [(m.count, m.turns) for m in run("wind-pump", "reverse").of(Index)]
    assert found == [(2400, 1), (6, 0), (-2394, -1), (-4794, -2), (-7194, -3)]


def test_stuck_shows_one_value_for_a_third_of_a_turn() -> None:
    found = run("wind-pump", "stuck")
    sticking = found.column("value")[(found.turns > 1.26) & (found.turns < 1.54)]
    assert (len(sticking) > 50, len(set(sticking.tolist()))) == (True, 1)


def test_tip_off_shows_the_stop_at_the_lowest_places_of_every_turn() -> None:
    found = run("wind-pump", "tip-off")
    shares = [float(np.mean(turn_of(found, k) == 0.0)) for k in range(5)]
    assert min(shares) > 0.10
    assert found.reading_mm.min() == 0.0


def test_drift_grows_with_time() -> None:
    t_s, off_mm = same_places(run("wind-pump", "drift"))
    assert np.polyfit(t_s, off_mm, 1)[0] == pytest.approx(0.0013, rel=0.01)  # rounding to 0.001 averages out


def test_spike_is_one_knock_of_two_or_three_values() -> None:
    _, off_mm = same_places(run("wind-pump", "spike"))
    knocked = np.flatnonzero(off_mm > 0.05)
    assert (len(knocked) in (2, 3), knocked[-1] - knocked[0] < 3) == (True, True)


def test_nick_is_at_the_same_place_on_every_turn() -> None:
    found = run("wind-pump", "nick")
    _, off_mm = same_places(found)
    raised = off_mm > 0.015
    assert set(np.floor(found.turns[raised])) == {0, 1, 2, 3, 4}
    assert found.turns[raised] % 1.0 * 360.0 == pytest.approx(217.0, abs=2.2)  # half height at a quarter of 8


def test_late_turns_the_high_side_by_the_speed_times_120_ms() -> None:
    z = {
        name: fit_orders(run("wind-pump", name).turns, run("wind-pump", name).reading_mm, 3)[1]
        for name in (None, "late")
    }
    found = run("wind-pump")
    deg_per_s = 360.0 * found.turns[-1] / ((found.ended_us - found.started_us) * 1e-6)
    turned = float(np.degrees(np.angle(z["late"] / z[None])))
    assert turned == pytest.approx(0.12 * deg_per_s, rel=0.15)  # the hand rests, and goes back once


def test_hysteresis_reads_otherwise_on_the_way_back() -> None:
    kind = FAULTS["hysteresis"]
    # The same hand with a gauge that has no play.
    well = replace(kind, put_in=lambda good: replace(kind.put_in(good), gauge=good.gauge))
    found, good = run("wind-pump", "hysteresis"), run("wind-pump", well)
    off_mm = found.reading_mm - good.reading_mm
    direction = np.sign(np.gradient(good.turns))
    slope = np.sign(np.gradient(good.reading_mm)) * direction
    assert abs(off_mm[(direction < 0) & (slope != 0)].mean() - off_mm[direction > 0].mean()) > 0.002


def test_hysteresis_takes_its_play_off_the_tir() -> None:
    good, played = (np.ptp(turn_of(run("wind-pump", name), 0)) for name in (None, "hysteresis"))
    assert good - played == pytest.approx(0.012, abs=0.003)  # extremes of noise of 0.0008


def test_unit_pressed_divides_what_the_window_shows_by_25_4() -> None:
    found, good = run("wind-pump", "unit-pressed"), run("wind-pump")
    ratio = good.reading_mm / found.reading_mm
    assert ratio[found.turns < 1.49] == pytest.approx(1.0)
    assert ratio[found.turns > 1.51] == pytest.approx(25.4, rel=0.02)  # steps of 0.001 of 0.049


def test_zero_pressed_makes_the_window_jump_to_near_zero() -> None:
    found = run("wind-pump", "zero-pressed")
    at = int(np.argmax(found.turns >= 1.501))
    assert abs(found.reading_mm[at]) < 0.006  # a little of the curve past the press


def test_stand_jump_is_a_step_in_time_that_stays() -> None:
    t_s, off_mm = same_places(run("wind-pump", "stand-jump"))
    step_s = t_s[np.argmax(off_mm > 0.02)]
    assert off_mm[t_s < step_s] == pytest.approx(0.0, abs=0.0015)  # one step of rounding
    assert off_mm[t_s >= step_s] == pytest.approx(0.030, abs=0.0015)


def test_too_fast_sees_six_places_for_ever() -> None:
    found = run("wind-pump", "too-fast", turns=40)
    moving = found.turns[found.turns > 0.01]
    assert len({round(turn * 2400) % 400 for turn in moving}) <= 2  # a count either way of one in six


def test_wrap_wraps_count_clock_and_frame_number() -> None:
    found = run("wind-pump", "wrap")
    assert (np.diff(found.column("count")).min() < -(1 << 31), np.diff(found.column("t_us")).min() < 0) == (
        True,
        True,
    )
    assert min(np.diff([message.seq for message in found.messages])) < 0


def test_wrap_changes_nothing_once_it_is_unwrapped() -> None:
    found, good = run("wind-pump", "wrap"), run("wind-pump")
    steps = (np.diff(found.column("count")) + (1 << 31)) % (1 << 32) - (1 << 31)
    assert np.array_equal(steps, np.diff(good.column("count")))


def test_a_wrapped_count_still_stands_at_a_whole_turn_at_the_mark() -> None:
    assert run("wind-pump", "wrap").samples[0].count % 2400 == 0


def test_an_unknown_fault_is_refused_with_the_names_there_are() -> None:
    with pytest.raises(BadInput, match="stand-jump"):
        fault("rust")
