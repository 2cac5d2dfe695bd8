"""Lines that no sweep shows by itself, in sweeps of a bench: play that a hand going back shows, and where none is."""

import numpy as np
import pytest
from made_sweeps import capture, made, wobble
from simulated_motion import Bench, draw_part, hand_that_goes_back, made_capture, spindle

from analysis.results import SweepResult
from analysis.sweep.pipeline import analyse
from analysis.uncertainty import LineOn, LineOrigin

PLAY_MM = 0.005


def turned_back(seed: int, play_mm: float, step_mm: float = 0.001) -> tuple[SweepResult, float]:
    """A hand that goes back once a turn, the limit half the play under the truth; the truth in mm."""
    rng = np.random.default_rng([905, seed])
    part = draw_part(rng, rng.uniform(0.010, 0.03))
    motion = hand_that_goes_back(rng, 2.4, rng.uniform(4, 10))
    truth = part.truth.tir_mm
    bench = Bench(
        play_mm=play_mm,
        step_mm=step_mm,
        setup={"limit": f"{truth - PLAY_MM / 2:.6f} mm", "turns_planned": "2"},
    )
    return analyse(made_capture(rng, motion, part, bench)), truth


def line(result: SweepResult, source: str, on: LineOn = LineOn.TIR):
    return next((each for each in result.unseen if (each.source, each.on) == (source, on)), None)


@pytest.mark.parametrize("seed", [0, 3, 9, 12])
def test_play_that_going_back_shows_reaches_up_to_the_truth_and_nothing_is_called_within(seed: int) -> None:
    result, truth = turned_back(seed, PLAY_MM)
    decision = result.decision
    assert decision is not None
    # The reading is short of the truth by the play, the limit lies between the two.
    assert decision.number.value < decision.limit_mm < truth
    assert decision.state == "undecided"
    assert decision.number.interval()[1] >= truth
    held = line(result, "hysteresis")
    assert held.origin == LineOrigin.SWEEP
    assert held.part.shift == pytest.approx(PLAY_MM, abs=0.0011)
    # What a repeat with the same gauge would show is not moved by it.
    assert result.pooled.tir_fit.interval()[1] < truth


def test_without_play_the_default_stands() -> None:
    result, _ = turned_back(0, 0.0)
    assert line(result, "hysteresis").origin == LineOrigin.DEFAULT


def test_less_than_a_step_is_no_play_that_was_found() -> None:
    result, _ = turned_back(3, 0.0, step_mm=0.01)
    assert line(result, "hysteresis").origin == LineOrigin.DEFAULT


def test_an_encoder_has_its_centre_and_a_mark_its_eye() -> None:
    rng = np.random.default_rng(3)
    sweep = made_capture(rng, spindle(rng, 2.2, 6.0), draw_part(rng, 0.01), Bench(setup={"mark": "index"}))
    result = analyse(sweep)
    assert line(result, "encoder off centre") is not None
    assert line(result, "encoder off centre", LineOn.ANGLE) is not None
    assert line(result, "mark touched by eye", LineOn.ANGLE) is None


def test_without_counts_there_is_no_encoder_off_its_centre() -> None:
    result = analyse(capture(made(wobble(0.05), noise_mm=0.0005, step_mm=0.001), 0.001))
    assert line(result, "encoder off centre") is None
    assert line(result, "mark touched by eye", LineOn.ANGLE) is not None


def test_a_drift_that_bends_is_half_its_change_of_slope() -> None:
    # 0.00004 mm a turn and turn: over three turns the slope changes by 2 x 0.00004 x 3, half is 0.00012 mm.
    bent = made(wobble(0.05), noise_mm=0.0002, step_mm=0.0001, also=lambda deg: 0.00004 * (deg / 360.0) ** 2)
    result = analyse(capture(bent, 0.0001))
    assert not result.pooled.lines
    drift = line(result, "drift that bends")
    assert (drift.part.u, drift.origin) == (pytest.approx(0.00012 / np.sqrt(3.0), rel=0.25), LineOrigin.SWEEP)
