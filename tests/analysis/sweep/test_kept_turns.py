"""Which turns of a long sweep keep their readings: evenly taken ones, and those where something stands out."""

import math

import numpy as np
import pytest
from numpy.typing import NDArray

from analysis.capture.samples import Samples
from analysis.sweep.kept_turns import KeptTurns

PER_TURN = 600
STEP_MM = 0.001


def turn_of(
    number: int,
    *,
    noise_mm: float = 5e-4,
    knock_mm: float = 0.0,
    width_deg: float = 5.0,
    ridge_mm: float = 0.0,
) -> Samples:
    """One turn of a part that runs out, with a drift, a ridge of its own and a knock at 200 degrees."""
    rng = np.random.default_rng(number)
    deg = (np.arange(PER_TURN) + rng.uniform()) * (360.0 / PER_TURN)
    angle = np.radians(deg) + 2.0 * math.pi * number
    reading = 0.05 * np.cos(angle - 1.0) + 0.01 * np.cos(3 * angle) + 2e-4 * number
    reading = (
        reading + ridge_mm * (np.abs(deg - 70.0) < 2.0) + knock_mm * (np.abs(deg - 200.0) < width_deg / 2)
    )
    reading = np.round((reading + noise_mm * rng.standard_normal(PER_TURN)) / STEP_MM) * STEP_MM
    everything: NDArray[np.bool_] = np.ones(PER_TURN, bool)
    return Samples(
        np.arange(PER_TURN) / PER_TURN + number,
        angle,
        reading,
        everything,
        ~everything,
        np.zeros(PER_TURN, np.int16),
    )


def kept(turns: list[Samples], **limits: int) -> list[int]:
    store = KeptTurns(STEP_MM, **limits)
    for k, turn in enumerate(turns):
        store.offer(k, turn)
    return list(store.turns)


def test_a_short_sweep_keeps_every_turn() -> None:
    assert kept([turn_of(k) for k in range(10)]) == list(range(10))


def test_of_a_long_one_turns_are_kept_at_even_distances() -> None:
    assert kept([turn_of(k) for k in range(40)], whole=3000, most=3000) == [0, 8, 16, 24, 32]


def test_their_readings_stay_below_the_bound_however_long_it_is() -> None:
    store = KeptTurns(STEP_MM, whole=6000, most=3000)
    for k in range(300):
        store.offer(k, turn_of(k, knock_mm=0.02 * (k % 3 == 0)))
        assert sum(len(turn) for turn in store.turns.values()) <= 6000 + 3000


@pytest.mark.parametrize("at", [1, 7, 37, 151, 298])
def test_a_knock_in_one_turn_is_kept_wherever_it_comes(at: int) -> None:
    turns = [turn_of(k, knock_mm=0.02 * (k == at)) for k in range(300)]
    assert at in kept(turns, whole=3000, most=3000)


def test_a_ridge_that_is_on_every_turn_makes_none_stand_out() -> None:
    turns = [turn_of(k, ridge_mm=0.02) for k in range(100)]
    assert kept(turns, whole=3000, most=3000) == list(range(0, 100, 32))


def test_noise_alone_makes_hardly_any_turn_stand_out() -> None:
    even = set(range(0, 300, 64))
    found = set(kept([turn_of(k) for k in range(300)], whole=3000, most=3000))
    assert even <= found
    # Six standard deviations: 2e-9 a reading; the noise itself is told to a few per cent.
    assert len(found - even) <= 1


def test_a_gauge_that_sticks_on_one_turn_is_kept() -> None:
    turns = [turn_of(k) for k in range(100)]
    stuck = turns[45].reading_mm.copy()
    stuck[300:360] = stuck[300]
    held = Samples(*(getattr(turns[45], name) for name in ("t_s", "angle_rad")), stuck,
                   turns[45].new, turns[45].out_of_range, turns[45].segment)  # fmt: skip
    assert 45 in kept([*turns[:45], held, *turns[46:]], whole=3000, most=3000)


def test_where_too_many_stand_out_those_do_most_are_kept() -> None:
    heights = {11: 0.02, 23: 0.03, 35: 0.04, 47: 0.05, 59: 0.06, 71: 0.07}
    turns = [turn_of(k, knock_mm=heights.get(k, 0.0)) for k in range(100)]
    found = kept(turns, whole=3000, most=1800)
    assert [k for k in found if k in heights] == [47, 59, 71]
