"""Arrays at the bare counts of an encoder of few counts; simulated, turned or read standing (own model)."""

from dataclasses import replace

import numpy as np
import pytest
from simulated_motion import TWO_PI, Bench, Part, Turned, draw_part, hand, made_capture, spindle

from analysis.angle import told_between_counts
from analysis.capture.samples import Capture
from analysis.results import CheckState
from analysis.sweep.pipeline import fit_sweep

COUNTS = 24


def turned_past(
    how: str, *, noise_mm: float = 0.0008, part: Part | None = None
) -> tuple[Capture, Turned, Part]:
    """Return a sweep as an encoder of few counts gives it, how it was turned, and the part."""
    rng = np.random.default_rng(7)
    turned = (hand if how == "hand" else spindle)(rng, 3.3, 8.0)
    part = part or draw_part(rng, 0.010, 12)
    capture = made_capture(rng, turned, part, Bench(noise_mm=noise_mm, counts=COUNTS))
    return replace(capture, counts_per_turn=0.0), turned, part


def read_standing(each: int, *, pause_s: float, noise_mm: float = 0.0008) -> Capture:
    """Return a part stopped at every count over three turns, and read so often at each."""
    rng = np.random.default_rng(3)
    part = draw_part(rng, 0.010, 12)
    place = np.repeat(np.arange(3 * COUNTS + 1), each)
    t = np.arange(len(place)) / 60.0 + place * pause_s
    angle = place / COUNTS * TWO_PI
    reading = part.reading_mm(angle) + rng.normal(0, noise_mm, len(place))
    capture = turned_past("driven")[0]
    n = len(place)
    samples = replace(
        capture.samples, t_s=t, angle_rad=angle, reading_mm=reading, new=np.ones(n, bool),
        out_of_range=np.zeros(n, bool), segment=np.zeros(n, np.int16),
    )  # fmt: skip
    return replace(capture, samples=samples)


@pytest.mark.parametrize("how", ["hand", "driven"])
def test_each_reading_gets_the_angle_at_which_it_was_taken(how: str) -> None:
    capture, turned, _ = turned_past(how)
    interpolated = told_between_counts(capture)
    assert interpolated.between_counts
    assert interpolated.counts_per_turn == COUNTS
    # What was handed over stands for the middle of its count: here marks lie at the edge of one.
    off = (interpolated.samples.angle_rad - turned.at(interpolated.samples.t_s)) / TWO_PI * COUNTS + 0.5
    assert np.abs(off).max() < 0.2
    assert len(interpolated.samples) > 0.97 * len(capture.samples)


@pytest.mark.parametrize("timed", [True, False])
def test_it_is_not_decided_by_its_noisiest_readings(timed: bool) -> None:
    capture, _, part = turned_past("driven")
    s = capture.samples
    result = fit_sweep(
        s.angle_rad,
        s.reading_mm,
        s.t_s if timed else None,
        setup={"surface": "outside", "turns_planned": "3"},
        limit=1.05 * part.truth.tir_mm,
        resolution_mm=0.001,
    )
    low, high = result.pooled.tir_fit.interval()
    assert low <= part.truth.tir_mm <= high
    assert result.pooled.tir_raw_mm > 1.1 * part.truth.tir_mm
    assert result.decision is not None
    assert str(result.decision.state) != "over"
    assert result.angle_between_counts


@pytest.mark.parametrize(("each", "pause_s"), [(1, 2.0), (3, 2.0), (20, 0.5), (20, 0.0)])
def test_readings_taken_standing_stay_as_they_are(each: int, pause_s: float) -> None:
    capture = read_standing(each, pause_s=pause_s)
    assert told_between_counts(capture) is capture


def test_angles_of_many_counts_stay_as_they_are() -> None:
    rng = np.random.default_rng(1)
    capture = made_capture(rng, spindle(rng, 2.3, 2.0), draw_part(rng, 0.01), Bench(counts=720))
    assert told_between_counts(capture) is capture


def test_where_nothing_tells_turning_from_standing_nothing_is_decided() -> None:
    round_part = Part(np.full(1, 1e-7 + 0j))
    capture, _, _ = turned_past("driven", part=round_part)
    s = capture.samples
    result = fit_sweep(
        s.angle_rad, s.reading_mm, s.t_s, setup={"surface": "outside"}, limit="0.003 mm", resolution_mm=0.001
    )
    (counts,) = (check for check in result.checks if check.name == "counts")
    assert counts.state is CheckState.REFUSED
    assert "do not tell whether the part stood or turned" in counts.text
    assert result.decision is not None
    assert str(result.decision.state) == "undecided"
