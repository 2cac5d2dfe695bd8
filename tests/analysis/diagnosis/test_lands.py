"""A steep land is one land and not two dents beside a form that has none; dents, ridges and holes stay what they are."""

import math

import numpy as np
import pytest
from made_sweeps import Floats, made, wobble

from analysis.diagnosis.bumps import Bump, find_bumps
from analysis.diagnosis.lands import Land

STEP_MM = 0.001


def clipped(deg: Floats, middle: float, width: float) -> Floats:
    """Return a stretch of height 1 whose sides climb over 1.5 degrees."""
    off = np.abs((deg - middle + 180.0) % 360.0 - 180.0)
    return np.asarray(np.clip((width / 2 - off) / 1.5 + 0.5, 0.0, 1.0))


def bumps(places: list[tuple[float, float]], height_mm: float, noise_mm: float, seed: int) -> list[Bump]:
    """Return what is found of stretches at these middles with these widths, on a wobble of 0.04 mm."""

    def also(deg: Floats) -> Floats:
        return np.asarray(height_mm * sum(clipped(deg, *place) for place in places))

    sweep = made(wobble(0.04), noise_mm=noise_mm, step_mm=STEP_MM, seed=seed, also=also)
    found = find_bumps(sweep.angle_rad, sweep.reading_mm, sweep.turn, resolution_mm=STEP_MM)
    return [bump for bump in found.bumps if bump.repeats]


@pytest.mark.parametrize("width", [20.0, 25.0, 30.0, 35.0, 40.0])
@pytest.mark.parametrize("height_mm", [0.02, 0.04, -0.03])
def test_a_steep_land_is_one(width: float, height_mm: float) -> None:
    found = bumps([(100.0, width)], height_mm, 0.0005, seed=int(width))
    assert len(found) == 1
    assert found[0].deg == pytest.approx(100.0, abs=2.0)
    assert found[0].width_deg == pytest.approx(width, abs=3.0)
    assert found[0].height_mm == pytest.approx(height_mm, rel=0.15)


@pytest.mark.parametrize(("width", "apart"), [(8.0, 30.0), (10.0, 40.0), (14.0, 44.0), (14.0, 34.0)])
def test_two_dents_stay_two(width: float, apart: float) -> None:
    found = bumps([(100.0, width), (100.0 + apart, width)], -0.02, 0.0005, seed=int(apart))
    assert [round(bump.height_mm, 2) for bump in found] == [-0.02, -0.02]
    assert [bump.deg for bump in found] == pytest.approx([100.0, 100.0 + apart], abs=1.5)


@pytest.mark.parametrize("width", [5.0, 10.0, 14.0])
def test_a_ridge_stays_as_wide_as_it_is(width: float) -> None:
    found = bumps([(200.0, width)], 0.025, 0.0005, seed=3)
    assert [bump.width_deg for bump in found] == pytest.approx([width], abs=2.0)


def test_six_holes_stay_six() -> None:
    found = bumps([(60.0 * k + 10.0, 10.0) for k in range(6)], -0.1, 0.0005, seed=4)
    assert [bump.deg for bump in found] == pytest.approx([60.0 * k + 10.0 for k in range(6)], abs=1.5)


def test_two_lands_are_two() -> None:
    found = bumps([(80.0, 30.0), (250.0, 35.0)], 0.03, 0.0005, seed=5)
    assert [(round(bump.deg), bump.height_mm > 0.0) for bump in found] == [(80, True), (250, True)]


def test_nothing_is_no_land() -> None:
    assert [bumps([], 0.0, 0.0005, seed=seed) for seed in range(20)] == [[]] * 20


def test_the_column_of_a_land_goes_over_the_mark() -> None:
    column = Land(350.0, 20.0, 1.0, 0.01).column(np.array([340.0, 350.0, 0.0, 10.0, 20.0]))
    assert column == pytest.approx([0.0, 0.5, 1.0, 0.5, 0.0])
    assert math.isclose(float(Land(350.0, 20.0, 1.0, 0.01).from_middle(np.array([180.0]))[0]), 180.0)
