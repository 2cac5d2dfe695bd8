"""Push-pull captures: with events and without, and the gate."""

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from analysis.capture.events import Pulled, Pushed, TimedEvent
from analysis.capture.samples import Capture, Samples
from analysis.errors import BadInput
from analysis.measurands import push_pull_holds
from analysis.measurands.push_pull_holds import FLOATS_WANTED, push_pull_floats
from analysis.measurands.shaft_end_float import end_float
from analysis.setup import Setup, parse_setup

CYCLES, PER_HOLD = 4, 40


def capture(
    float_mm: float,
    *,
    noted: bool = True,
    noise_mm: float = 0.0005,
    hold: int = PER_HOLD,
    step_mm: float = 0.001,
) -> Capture:
    rng = np.random.default_rng(1)
    level = np.tile(np.repeat([0.0, float_mm], hold), CYCLES)
    n = len(level)
    t_s = np.arange(n) * 0.02
    samples = Samples(
        t_s, np.zeros(n), level + rng.normal(0, noise_mm, n), np.ones(n, bool), np.zeros(n, bool),
        np.zeros(n, np.int16),
    )  # fmt: skip
    events = tuple(TimedEvent(float(t_s[k * hold]), (Pushed(), Pulled())[k % 2]) for k in range(2 * CYCLES))
    return Capture(samples, Setup(), resolution_mm=step_mm, events=events if noted else ())


@pytest.mark.parametrize("noted", [True, False])
def test_the_float_is_the_step_between_push_and_pull(noted: bool) -> None:
    found = end_float(capture(0.21, noted=noted))
    # Medians of twenty readings with 0.0005 mm of noise.
    assert found.end_float.value == pytest.approx(0.21, abs=0.0005)


@pytest.mark.parametrize(
    ("float_mm", "state"), [(0.004, "clear"), (0.02, "doubtful"), (0.03, "refused"), (0.21, "refused")]
)
def test_the_gate_is_a_share_of_the_limit(float_mm: float, state: str) -> None:
    assert end_float(capture(float_mm, step_mm=0.0005), 0.050).state == state


@pytest.mark.parametrize(
    ("float_mm", "state", "decided"),
    [(0.03, "clear", "within"), (0.0495, "doubtful", "undecided"), (0.0505, "doubtful", "undecided"),
     (0.07, "refused", "over")],
)  # fmt: skip
def test_its_own_limit_is_decided_with_the_lines_that_every_decision_has(
    float_mm: float, state: str, decided: str
) -> None:
    found = end_float(capture(float_mm), 0.050, own_limit=True)
    assert found.decision is not None
    assert (found.state, found.decision.state) == (state, decided)
    # A gauge without a certificate that steps by 0.001 mm: limits of 0.002 mm, a rectangle (JCGM 100, 4.3.7).
    assert found.decision.number.parts["gauge's own error"].u == pytest.approx(0.002 / math.sqrt(3))
    assert found.taken_as == ("gauge taken as +-0.002 mm: no certificate entered",)


def test_a_certificate_makes_its_guard_band_narrower() -> None:
    given = capture(0.0470)
    plain = end_float(given, 0.050, own_limit=True)
    certified = replace(
        given, setup=parse_setup({"gauge_error": "0.0002 mm", "gauge_hysteresis": "0.0002 mm"})
    )
    known = end_float(certified, 0.050, own_limit=True)
    assert plain.decision is not None
    assert known.decision is not None
    assert known.decision.guard_mm < plain.decision.guard_mm / 2
    assert (plain.decision.state, known.decision.state) == ("undecided", "within")


def test_without_a_limit_there_is_no_state() -> None:
    found = end_float(capture(0.03))
    assert (found.share_of_limit, found.state) == (None, None)


@pytest.mark.parametrize("noted", [True, False])
@pytest.mark.parametrize(
    "given",
    [{"float_mm": 0.0, "noise_mm": 0.0}, {"float_mm": 0.0}, {"float_mm": 0.004, "noise_mm": 0.0},
     {"float_mm": 0.02, "noise_mm": 0.005}, {"float_mm": 0.21, "hold": 20}],
    ids=["stands", "noise", "four steps", "four noises", "held 0.4 s"],
)  # fmt: skip
def test_a_float_that_was_not_seen_is_not_measured(given: dict[str, Any], noted: bool) -> None:
    found = end_float(capture(**given, noted=noted), 0.050)
    assert (found.end_float, found.share_of_limit, found.state, found.cycles) == (None, None, None, 0)


def test_with_two_moves_nothing_is_measured_yet_and_the_third_makes_it() -> None:
    whole = capture(0.21, noted=False)
    for holds, measured in ((3, False), (4, True)):
        so_far = replace(whole, samples=whole.samples.take(np.arange(len(whole.samples)) < holds * PER_HOLD))
        found = end_float(so_far)
        assert (found.cycles, found.end_float is not None) == (holds - 1, measured)


def test_a_long_hold_before_the_first_push_hides_no_float() -> None:
    whole = capture(0.21, noted=False)
    before = np.repeat(0, 3000)
    n = len(before) + len(whole.samples)
    reading = np.concatenate([whole.samples.reading_mm[before], whole.samples.reading_mm])
    long = replace(
        whole,
        samples=Samples(
            np.arange(n) * 0.02,
            np.zeros(n),
            reading,
            np.ones(n, bool),
            np.zeros(n, bool),
            np.zeros(n, np.int16),
        ),
    )
    assert end_float(long).cycles == 2 * CYCLES - 1


def test_a_shaft_that_creeps_from_end_to_end_was_held_nowhere() -> None:
    whole = capture(0.0, noted=False)
    creeping = replace(whole.samples, reading_mm=np.linspace(0.0, 0.2, len(whole.samples)))
    assert end_float(replace(whole, samples=creeping)).end_float is None


def test_a_part_that_turned_is_refused() -> None:
    whole = capture(0.21)
    turned = replace(whole.samples, angle_rad=np.linspace(0.0, 7.0, len(whole.samples)))
    with pytest.raises(BadInput, match="taken standing"):
        end_float(replace(whole, samples=turned))


@pytest.mark.parametrize("seed", range(40))
def test_noise_and_a_stand_that_wanders_are_no_float(seed: int) -> None:
    rng = np.random.default_rng(seed)
    n, every_s, noise_mm = (1000, 0.02, 0.002) if seed % 2 else (200, 0.1, 0.0005)
    noise = rng.normal(0.0, noise_mm, n)
    wander = 0.05 * np.cumsum(noise) if seed % 4 > 1 else 0.0
    assert len(push_pull_floats(np.arange(n) * every_s, np.round(noise + wander, 3), 0.001)) < FLOATS_WANTED


def on_an_even_grid(t_s: np.ndarray) -> np.ndarray:
    """The whole grid from the first reading to the last, written out plainly."""
    return np.arange(len(np.arange(t_s[0], t_s[-1] + 0.025, 0.05)))


@pytest.mark.parametrize("pauses_s", [(0.4,), (1.2, 3.9), (4.1, 40.0, 0.2), (600.0,)])
@pytest.mark.parametrize("off_s", [0.0, 123.4567])
def test_holds_across_a_silence_are_those_of_the_whole_grid(
    pauses_s: tuple[float, ...], off_s: float, monkeypatch: pytest.MonkeyPatch
) -> None:
    one = capture(0.21, noted=False).samples
    t_s = one.t_s + off_s
    for k, pause_s in enumerate(pauses_s, 1):
        t_s[k * 70 :] += pause_s
    here = push_pull_holds._level_holds(t_s, one.reading_mm, 0.001)
    looked_at = push_pull_holds._looked_at(t_s)
    assert len(looked_at) <= len(on_an_even_grid(t_s))
    monkeypatch.setattr(push_pull_holds, "_looked_at", on_an_even_grid)
    assert here == push_pull_holds._level_holds(t_s, one.reading_mm, 0.001)
    assert len(here) >= 2 * CYCLES - 1


def test_a_clock_that_jumps_makes_no_grid_over_what_it_jumped() -> None:
    t_s = np.arange(0.0, 10.0, 0.02) + np.repeat(np.arange(50.0), 10) * 2**30 * 1e-6
    assert len(push_pull_holds._looked_at(t_s)) < 50 * (2.0 + 0.2) / 0.05 + 50
