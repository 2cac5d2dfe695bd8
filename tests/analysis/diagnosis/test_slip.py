"""Slip of the encoder against the part, told from the part's own turns and from nothing that looks like it."""

import numpy as np
import pytest
from simulated_motion import TWO_PI, Bench, draw_part, drawn, made_capture, motion_beside, spindle

from analysis.capture import Floats, cut_turns
from analysis.diagnosis.slip import Slip, find_slip

RPM = 9.0


def found(name: str, turns: int, seed: int, slip_deg: float = 0.0, at_turns: float = 0.0) -> Slip | None:
    """Return what is found in one sweep of a part of 6 to 20 um that a hand or a spindle turns."""
    rng, turned, part = drawn(name, turns, seed, RPM)
    balls_mm = rng.uniform(0.003, 0.006) if "balls" in name else 0.0
    more = motion_beside(rng, name, turned, balls_mm)
    sweep = made_capture(
        rng, turned, part, Bench(), slip_deg=slip_deg, slip_at_turns=at_turns, more_mm=more
    ).samples
    cut = cut_turns(sweep)
    where = np.concatenate([turn.where for turn in cut])
    number = np.concatenate([np.full(len(turn.where), k) for k, turn in enumerate(cut)])
    slip = find_slip(sweep.t_s[where], sweep.angle_rad[where], sweep.reading_mm[where], number)
    return slip if slip is not None and slip.clear else None


@pytest.mark.parametrize("turns", [2, 3, 5])
@pytest.mark.parametrize("name", ["spindle", "hand"])
def test_a_coupling_that_slips_is_seen_with_its_size_and_place(name: str, turns: int) -> None:
    # 4 deg and more of 6 um and more is 0.4 um and more of a noise of 0.6: seen in 238 of 240 by trial.
    rng = np.random.default_rng(turns)
    seen = []
    for seed in range(6):
        deg, at = rng.uniform(4.0, 8.0) * rng.choice([-1, 1]), rng.uniform(0.5, turns - 0.5)
        slip = found(name, turns, seed, deg, at)
        if slip is not None:
            assert slip.step_deg == pytest.approx(deg, abs=4 * slip.u_deg + 0.3)  # 2 counts of 2400
            seen.append(abs(slip.turn + slip.at_deg / 360.0 - at) * 360.0)
    assert len(seen) >= 4
    # At an extreme, where the curve is flat, the place hardly shows: half of them are near.
    assert np.median(seen) < 20.0


@pytest.mark.parametrize("turns", [3, 5])
@pytest.mark.parametrize("name", ["spindle", "hand", "balls", "hand and balls", "wander", "creep"])
def test_what_is_no_slip_is_called_none(name: str, turns: int) -> None:
    # Once in 80 sweeps that wander at three turns by trial: three of eight would be p < 1e-4.
    assert sum(found(name, turns, seed) is not None for seed in range(8)) < 3


def test_bearings_of_two_turns_by_hand_are_no_slip() -> None:
    # Two turns differ in one way only. 2 of 600 by trial are called slip: three of 60 would be p < 0.001.
    rng = np.random.default_rng(5)
    assert sum(_two_turns_by_hand(rng) is not None for _ in range(60)) < 3


def _two_turns_by_hand(rng: np.random.Generator) -> Slip | None:
    """Return the slip found in two turns of some seconds each, 50 values a second, bearings of 1 to 2 um."""
    t_s = np.arange(1, 251) * 0.02
    turned = 1.02 * _by_hand(t_s / 2.6) + 1.1 * _by_hand(t_s / 2.4 - 2.6 / 2.4)
    t_s, angle = t_s[turned < 2.0], TWO_PI * turned[turned < 2.0]
    first, second, own = rng.uniform(0.0, TWO_PI, 3)
    reading_mm = 0.0713 * np.cos(angle - first) + 0.009 * np.cos(2 * angle - second)
    reading_mm += rng.uniform(0.001, 0.002) * np.cos(rng.uniform(0.36, 0.45) * angle - own)
    reading_mm += rng.normal(0.0, 0.0008, len(angle))
    slip = find_slip(t_s, angle, np.round(reading_mm, 4), np.floor(angle / TWO_PI).astype(np.int64))
    return slip if slip is not None and slip.clear else None


def _by_hand(share: Floats) -> Floats:
    """Return how much of a move is done after this share of its time: slow at both ends."""
    share = np.clip(share, 0.0, 1.0)
    return share - 0.3 * np.sin(TWO_PI * share) / TWO_PI


def test_a_part_that_hardly_runs_out_tells_no_slip() -> None:
    rng = np.random.default_rng(1)
    sweep = made_capture(
        rng, spindle(rng, 3.1, RPM), draw_part(rng, 1e-5), Bench(), slip_deg=3.0, slip_at_turns=1.5
    )
    s, number = sweep.samples, np.floor(sweep.samples.angle_rad / TWO_PI).astype(np.int64)
    assert find_slip(s.t_s, s.angle_rad, s.reading_mm, number) is None


def test_a_roller_that_creeps_turn_by_turn_is_seen_as_creeping() -> None:
    rng = np.random.default_rng(2)
    sweep = made_capture(rng, spindle(rng, 4.1, RPM), draw_part(rng, 0.05), Bench())
    s = sweep.samples
    crept = s.angle_rad * (1.0 + 1.5 / 360.0)
    slip = find_slip(s.t_s, crept, s.reading_mm, np.floor(crept / TWO_PI).astype(np.int64))
    assert slip is not None
    assert slip.creeps
    assert slip.step_deg == pytest.approx(1.5 * 4.1, abs=0.3)


def test_one_turn_tells_no_slip() -> None:
    rng = np.random.default_rng(3)
    s = made_capture(rng, spindle(rng, 1.0, RPM), draw_part(rng, 0.05), Bench()).samples
    assert find_slip(s.t_s, s.angle_rad, s.reading_mm, np.zeros(len(s), np.int64)) is None
