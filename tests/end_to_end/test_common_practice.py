"""What the trade says, by commands alone. Common practice, no source: limits and rules of thumb in inches."""

from pathlib import Path

import pytest
from running import json_of
from written_sweeps import write_csv

NOISE_IN = 1e-5
"""A tenth of a division of 0.0001 in."""
IN_MM = 25.4


def written(folder: Path, tir_in: float, **setup: str) -> str:
    return write_csv(folder / "sweep.csv", tir_in, unit="in", noise=NOISE_IN, **setup)


@pytest.mark.parametrize(("tir_in", "state", "status"), [(0.0025, "within", 0), (0.0035, "over", 1)])
def test_a_ring_gears_flange_may_run_out_by_three_thou(
    tir_in: float, state: str, status: int, tmp_path: Path
) -> None:
    """Common practice, no source: the face of a ring gear's flange, limit 0.003 in TIR."""
    found, sweep = json_of("sweep", written(tmp_path, tir_in), "--limit", "0.003 in")
    assert (found, sweep["decision"]["state"]) == (status, state)


@pytest.mark.parametrize(("tir_in", "state"), [(0.0008, "within"), (0.0012, "over")])
def test_a_lathe_arbor_may_run_out_by_one_thou(tir_in: float, state: str, tmp_path: Path) -> None:
    """Common practice, no source: a lathe arbor, at most 0.001 in TIR."""
    file = written(tmp_path, tir_in, surface="outside", mark_on="arbor")
    assert json_of("sweep", file, "--limit", "0.001 in")[1]["decision"]["state"] == state


def test_three_thou_at_a_half_turn_after_a_cut_mean_one_and_a_half_of_arbor_and_cones(tmp_path: Path) -> None:
    """Common practice, no source."""
    file = written(tmp_path, 0.003, mark_on="arbor", index_angle="180")
    status, found = json_of("separate", file, "--cut-at", "0")
    (half,) = found["half_turn"]
    low, high = half["spindle_first_95_mm"]
    assert status == 0
    assert low / IN_MM <= 0.0015 <= high / IN_MM
    assert half["spindle_first_mm"] / IN_MM == pytest.approx(0.0015, abs=1e-5)  # the noise of one reading


@pytest.mark.parametrize("surface", ["outside", "bore"])
def test_a_radial_tir_is_twice_the_eccentricity(surface: str, tmp_path: Path) -> None:
    """Common practice, no source."""
    pooled = json_of("sweep", written(tmp_path, 0.004, surface=surface))[1]["pooled"]
    assert pooled["tir_first_mm"] == pytest.approx(2 * pooled["eccentricity_mm"], rel=1e-12)
    assert pooled["eccentricity_mm"] / IN_MM == pytest.approx(0.002, abs=1e-5)


def test_a_limit_on_the_eccentricity_is_half_the_one_on_the_tir(tmp_path: Path) -> None:
    """Common practice, no source."""
    file = written(tmp_path, 0.004, surface="outside")
    states = [
        json_of("sweep", file, "--limit", limit, "--quantity", quantity)[1]["decision"]["state"]
        for limit, quantity in (("0.0042 in", "tir"), ("0.0021 in", "eccentricity"))
    ]
    assert states == ["within", "within"]
