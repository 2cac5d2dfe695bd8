"""Slip of the angle between turns, told from the part's own orders."""

import math

import numpy as np
import pytest

from analysis.diagnosis.slip import slip_between_turns


def test_lost_counts_show_as_a_step_between_turns() -> None:
    n = np.arange(1, 4)
    part = np.array([0.05, 0.01j, 0.004])
    turns = [part * np.exp(1j * n * math.radians(deg)) for deg in (0.0, 0.0, 1.8, 1.8)]
    slip = slip_between_turns(turns, 1e-5)
    assert slip is not None
    assert slip.step_deg == pytest.approx(1.8, abs=0.02)


def test_a_part_that_hardly_runs_out_tells_no_slip() -> None:
    assert slip_between_turns([np.array([1e-5 + 0j])] * 2, 1e-5) is None
