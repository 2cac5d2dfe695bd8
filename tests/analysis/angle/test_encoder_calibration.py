"""An encoder learnt by turning by the mark: fractional counts, sense, slip, and what cannot be learnt."""

import numpy as np
import pytest

from analysis.angle.encoder_calibration import calibrate_encoder
from analysis.errors import BadInput


def test_whole_counts_come_out_whole() -> None:
    learnt = calibrate_encoder([100, 2500, 4900, 7300])
    assert learnt.counts_per_turn.value == 2400.0
    assert learnt.sense == 1
    assert learnt.turns == 3
    assert learnt.slip_deg == 0.0


def test_falling_counts_have_the_other_sense() -> None:
    assert calibrate_encoder([0, -2400, -4800]).sense == -1


def test_a_roller_has_a_fractional_count_inside_its_interval() -> None:
    rng = np.random.default_rng(1)
    covered = 0
    for _ in range(400):
        per_turn = 5321.37
        slip = rng.normal(0.0, 6.0, 8)
        counts = np.concatenate([[0.0], np.cumsum(per_turn + slip)])
        low, high = calibrate_encoder(np.round(counts).tolist()).counts_per_turn.interval()
        covered += low <= per_turn <= high
    # Two standard deviations of 400 trials at 95 % are 2.2 %.
    assert 0.928 <= covered / 400 <= 0.972


def test_slip_is_told_in_degrees() -> None:
    learnt = calibrate_encoder([0, 2400, 4824, 7200, 9624])
    assert learnt.slip_deg == pytest.approx(360 * np.std([2400, 2424, 2376, 2424], ddof=1) / 2406, rel=1e-9)


def test_several_turns_between_presses() -> None:
    assert calibrate_encoder([0, 4800, 12000], [2, 3]).counts_per_turn.value == 2400.0


@pytest.mark.parametrize(
    ("counts", "words"),
    [([0, 2400], "at least 3"), ([5, 5, 5], "no counts between"), ([0, 2400, 0], "do not agree")],
)
def test_what_cannot_be_learnt_is_told(counts: list[float], words: str) -> None:
    with pytest.raises(BadInput, match=words):
        calibrate_encoder(counts)
