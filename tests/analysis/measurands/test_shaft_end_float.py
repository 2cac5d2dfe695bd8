"""Push-pull captures: with events and without, and the gate."""

import numpy as np
import pytest

from analysis.capture.events import Pulled, Pushed, TimedEvent
from analysis.capture.samples import Capture, Samples
from analysis.errors import BadInput
from analysis.measurands.shaft_end_float import end_float
from analysis.setup import Setup

CYCLES, PER_HOLD = 4, 40


def capture(float_mm: float, *, noted: bool = True, noise_mm: float = 0.0005) -> Capture:
    rng = np.random.default_rng(1)
    level = np.tile(np.repeat([0.0, float_mm], PER_HOLD), CYCLES)
    n = len(level)
    t_s = np.arange(n) * 0.02
    samples = Samples(
        t_s, np.zeros(n), level + rng.normal(0, noise_mm, n), np.ones(n, bool), np.zeros(n, bool),
        np.zeros(n, np.int16),
    )  # fmt: skip
    events = tuple(
        TimedEvent(float(t_s[k * PER_HOLD]), (Pushed(), Pulled())[k % 2]) for k in range(2 * CYCLES)
    )
    return Capture(samples, Setup(), resolution_mm=0.001, events=events if noted else ())


@pytest.mark.parametrize("noted", [True, False])
def test_the_float_is_the_step_between_push_and_pull(noted: bool) -> None:
    found = end_float(capture(0.21, noted=noted))
    # Medians of twenty readings with 0.0005 mm of noise.
    assert found.end_float.value == pytest.approx(0.21, abs=0.0005)


@pytest.mark.parametrize(
    ("float_mm", "state"), [(0.004, "clear"), (0.02, "doubtful"), (0.03, "refused"), (0.21, "refused")]
)
def test_the_gate_is_a_share_of_the_limit(float_mm: float, state: str) -> None:
    assert end_float(capture(float_mm), 0.050).state == state


def test_a_limit_on_end_float_itself_is_the_whole_gate() -> None:
    assert end_float(capture(0.03), 0.050, own_limit=True).state == "clear"


def test_without_a_limit_there_is_no_state() -> None:
    found = end_float(capture(0.03))
    assert (found.share_of_limit, found.state) == (None, None)


def test_a_shaft_that_only_stands_is_refused() -> None:
    standing = capture(0.0, noted=False, noise_mm=0.0)
    with pytest.raises(BadInput, match="no push"):
        end_float(standing)
